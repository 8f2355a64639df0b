//! What must hold of every document before it is evaluated. The door: nothing behind it
//! meets a number that is not finite, a name twice or an id that leads nowhere.
use crate::compile::{anchor_place, fits, node_place, unknown_node};
use crate::fault::{Item, Structure, Value};
use crate::file::bounds;
use crate::index::Index;
use crate::{
    Anchor, Contact, Dial, Document, Fault, Form, Grip, Kind, Link, Node, NodeId, Posed, Ramp,
    Round, Share, Solver,
};
use kinematics::{Channel, Transform};
use std::collections::BTreeSet;

/// Greatest size of any number in a document. Sums of products of smaller ones stay finite.
pub const LARGEST: f64 = 1e9;
/// A bone shorter than this, mm, has no direction.
pub const SHORTEST_BONE: f64 = 1e-6;

/// Checks everything and compiles.
///
/// # Errors
/// The first fault found, with its place and mend.
///
/// ```
/// use rig::fault::{Kind, Value};
/// use rig::{Document, Node, NodeId, validate};
///
/// let mut document = Document::default();
/// let mut mount = Node::mount(NodeId(0), "rail", None, [0.0; 3]);
/// mount.width = -2.0;
/// document.nodes.push(mount.into());
/// let fault = validate::document(&document).unwrap_err();
/// let (which, value) = ("width", -2.0);
/// assert_eq!(fault.kind, Kind::Value(Value::Negative { which, value }));
/// assert_eq!(fault.to_string(), "nodes[0] 'rail': its width is -2.0; give it 0 or more.");
/// ```
pub fn document(document: &Document) -> Result<Posed, Fault> {
    bounds::document(document)?;
    fits(document)?;
    let index = Index::new(document.nodes.iter().map(|n| n.id.0));
    let dials = Index::new(document.dials.iter().map(|d| d.id.0));
    if let Some(bench) = document.bench {
        number("bench", "height", bench)?;
    }
    let mut names = BTreeSet::new();
    for (at, item) in document.nodes.iter().enumerate() {
        let place = node_place(document, at);
        name(&place, Item::Node, &item.name, &mut names)?;
        node(&dials, &place, item)?;
    }
    names.clear();
    for (at, item) in document.anchors.iter().enumerate() {
        let place = anchor_place(document, at);
        name(&place, Item::Anchor, &item.name, &mut names)?;
        if let Solver::Finger {
            coupling,
            rest,
            collapse,
            give,
            contact,
        } = item.solver
        {
            number(&place, "coupling", coupling)?;
            number(&place, "rest flexion", rest)?;
            number(&place, "collapse", collapse)?;
            not_negative(&place, "give", give)?;
            contact.map_or(Ok(()), |contact| self::contact(&place, &contact))?;
        }
        if let Solver::Thumb { rest, contact } = item.solver {
            contact.map_or(Ok(()), |contact| self::contact(&place, &contact))?;
            rest.iter()
                .try_for_each(|&x| number(&place, "rest flexion", x))?;
        }
        if let Solver::SetDown { low } = item.solver {
            for [x, y, z, radius] in low {
                for place_of in [x, y, z] {
                    number(&place, "ball's place", place_of)?;
                }
                not_negative(&place, "ball's radius", radius)?;
            }
        }
        if let Solver::Twist { share } = item.solver {
            number(&place, "share", share)?;
        }
        if let Solver::TwoBone { softness, bend, .. } = item.solver {
            not_negative(&place, "softness", softness)?;
            bend.iter().try_for_each(|&x| number(&place, "bend", x))?;
            if bend == [0.0; 3] {
                return Err(Fault::new(place, Value::NoBendAxis));
            }
        }
    }
    names.clear();
    for (at, item) in document.dials.iter().enumerate() {
        let place = format!("dials[{at}] '{}'", item.name);
        name(&place, Item::Dial, &item.name, &mut names)?;
        dial(&place, item, document.setting.dials[at])?;
    }
    for (at, item) in document.links.iter().enumerate() {
        link(&format!("links[{at}]"), item)?;
    }
    for (at, plant) in document.plants.iter().enumerate() {
        let place = format!("plants[{at}]");
        plant
            .at
            .iter()
            .try_for_each(|&x| number(&place, "point", x))?;
        if let Some(turned) = plant.turned {
            unit(&place, &turned)?;
        }
        for id in std::iter::once(plant.node).chain(plant.surface) {
            if index.get(id.0).is_none() {
                return Err(unknown_node(place));
            }
        }
    }
    // Compiling finds circles, which the walk along the chains below could not survive.
    let posed = Posed::new(document)?;
    for (at, anchor) in document.anchors.iter().enumerate() {
        bones(document, &index, &anchor_place(document, at), anchor)?;
    }
    Ok(posed)
}

fn name(place: &str, item: Item, name: &str, seen: &mut BTreeSet<String>) -> Result<(), Fault> {
    if name.trim().is_empty() {
        return Err(Fault::new(place, Value::Nameless(item)));
    }
    bounds::name(place, item, name)?;
    if !seen.insert(name.to_owned()) {
        return Err(Fault::new(place, Value::SameName(item, name.to_owned())));
    }
    Ok(())
}

fn number(place: &str, which: &'static str, value: f64) -> Result<(), Fault> {
    if value.is_finite() && value.abs() <= LARGEST {
        return Ok(());
    }
    let most = LARGEST;
    Err(Fault::new(place, Value::NotANumber { which, value, most }))
}

/// Refuses a rotation that is no unit quaternion.
fn unit(place: &str, rotation: &[f64; 4]) -> Result<(), Fault> {
    rotation
        .iter()
        .try_for_each(|&x| number(place, "rotation", x))?;
    let norm = rotation.iter().map(|x| x * x).sum::<f64>();
    if (norm - 1.0).abs() >= UNIT {
        return Err(Fault::new(place, Value::NotARotation));
    }
    Ok(())
}

fn not_negative(place: &str, which: &'static str, value: f64) -> Result<(), Fault> {
    number(place, which, value)?;
    if value >= 0.0 {
        return Ok(());
    }
    Err(Fault::new(place, Value::Negative { which, value }))
}

fn node(known: &Index, place: &str, node: &Node) -> Result<(), Fault> {
    node.translation
        .iter()
        .try_for_each(|&x| number(place, "translation", x))?;
    unit(place, &node.rotation)?;
    not_negative(place, "width", node.width)?;
    if let Some(Form::Edge { radius } | Form::Rail { radius }) = node.surface {
        not_negative(place, "surface's radius", radius)?;
    }
    for channel in Channel::ALL {
        if let Some((min, max)) = node.limits[channel.index()] {
            limits(place, min, max)?;
        }
    }
    for &(min, max) in node.loaded.iter().flatten() {
        limits(place, min, max)?;
    }
    match &node.grip {
        Grip::None => Ok(()),
        Grip::Place(handle) => handle.iter().try_for_each(|&x| number(place, "grip", x)),
        Grip::Dials(dials) => {
            if !matches!(dials.len(), 1 | 2) {
                return Err(Fault::new(place, Value::GripCount(dials.len())));
            }
            if dials.iter().all(|id| known.get(id.0).is_some()) {
                return Ok(());
            }
            Err(Fault::new(place, Value::GripUnknown))
        }
    }
}

/// What a contact may be: the solvers ask for a tip, and for a pad no rounder than it.
fn contact(place: &str, contact: &Contact) -> Result<(), Fault> {
    let Contact {
        radius,
        pad,
        changeover,
        joints,
        pitch,
        tilt,
        heading,
        round,
    } = *contact;
    for (which, value) in [
        ("contact's changeover", changeover),
        ("contact's pitch", pitch),
        ("contact's tilt", tilt),
        ("contact's heading", heading),
    ] {
        number(place, which, value)?;
    }
    for radius in joints {
        not_negative(place, "contact's radius at a joint", radius)?;
    }
    number(place, "contact's radius", radius)?;
    number(place, "contact's pad", pad)?;
    if let Some(round) = round {
        let Round {
            radius,
            ahead,
            aside,
            from,
            to,
        } = round;
        not_negative(place, "round surface's radius", radius)?;
        for (which, value) in [
            ("round surface's axis ahead", ahead),
            ("knuckle's turn aside", aside),
            ("round surface's beginning", from),
            ("round surface's end", to),
        ] {
            number(place, which, value)?;
        }
        if !round.is_sound() {
            return Err(Fault::new(place, Value::NotOnRound { ahead, from, to }));
        }
    }
    if radius > 0.0 && pad >= radius {
        return Ok(());
    }
    Err(Fault::new(place, Value::NoContact { radius, pad }))
}

/// How far from 1 the squared norm of a rotation may be.
pub(crate) const UNIT: f64 = 1e-12;

/// Refuses bounds that are not finite or the wrong way round.
fn limits(place: &str, min: f64, max: f64) -> Result<(), Fault> {
    number(place, "lower limit", min)?;
    number(place, "upper limit", max)?;
    if min <= max {
        return Ok(());
    }
    Err(Fault::new(place, Value::Reversed { min, max }))
}

fn dial(place: &str, dial: &Dial, value: f64) -> Result<(), Fault> {
    limits(place, dial.min, dial.max)?;
    for (which, value) in [("neutral", dial.neutral), ("value", value)] {
        number(place, which, value)?;
        if value < dial.min || value > dial.max {
            let (min, max) = (dial.min, dial.max);
            let outside = Value::Outside {
                which,
                value,
                min,
                max,
            };
            return Err(Fault::new(place, outside));
        }
    }
    dial.softness
        .map_or(Ok(()), |width| not_negative(place, "softness", width))?;
    dial.drives.iter().try_for_each(|drive| match drive.ramp {
        Ramp::RisingPast(stage) => {
            number(place, "gain", drive.gain)?;
            not_negative(place, "second stage", stage)
        }
        _ => number(place, "gain", drive.gain),
    })
}

fn link(place: &str, link: &Link) -> Result<(), Fault> {
    match link.share {
        Share::All { from } => number(place, "start", from)?,
        Share::Past { from, softness } => {
            number(place, "threshold", from)?;
            not_negative(place, "softness", softness)?;
            if from == 0.0 {
                return Err(Fault::new(place, Value::NoSide));
            }
        }
        Share::Fading { until, left, .. } => {
            number(place, "end", until)?;
            not_negative(place, "part left", left)?;
            if until == 0.0 {
                return Err(Fault::new(place, Value::NoSide));
            }
        }
    }
    let mut gains = link.to.iter().map(|passed| passed.gain);
    gains.try_for_each(|gain| number(place, "gain", gain))
}

/// Refuses an anchor's chain with a bone that has no length. Bones run between joints; mounts
/// on the way are rigid parts of them. Measured in the rest pose.
fn bones(document: &Document, index: &Index, place: &str, anchor: &Anchor) -> Result<(), Fault> {
    let node = |id: NodeId| &*document.nodes[index.get(id.0).expect("compiled before")];
    let mut far = node(anchor.end);
    let mut at = far;
    let mut offset = Transform::identity();
    while at.id != anchor.base {
        offset = at.rest() * offset;
        at = node(
            at.parent
                .expect("the base carries the end: compiled before"),
        );
        if at.kind == Kind::Joint || at.id == anchor.base {
            if offset.translation.vector.norm() < SHORTEST_BONE {
                let (near, far) = (at.name.clone(), far.name.clone());
                return Err(Fault::new(place, Structure::NoLength { near, far }));
            }
            far = at;
            offset = Transform::identity();
        }
    }
    Ok(())
}
