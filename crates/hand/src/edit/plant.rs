//! Edits of contacts: planting and letting go. Planting moves nothing; a digit let go of goes to
//! its relaxed pose, as far as the surface lets it, and nothing else moves.
//!
//! A digit is held by its anchor's end, whichever of its last parts is named. It is planted where
//! it is, with the numbers that make its solve give the pose it has.
use super::refusal::Refusal;
use crate::build;
use crate::build::rolls::{self, Flesh};
use recipe::{DialRole, DigitPart, Part, bones};
use rig::fault::Item;
use rig::{
    Anchor, AnchorId, Channel, Contact, DEGREES, Dial, DialId, Document, Drive, Form, Kind, Node,
    NodeId, Plant, Posed, Rig, Solver, Target, Transform, Unit, Vec3,
};

/// A contact nearer than this to its place, mm, is there: its target keeps its bits.
pub(super) const THERE: f64 = 1e-9;
/// Degrees of the middle joint from which the last one's part of it can be told.
const BENT: f64 = 0.1;

pub(super) fn plant(
    posed: &Posed,
    to: &mut Document,
    id: NodeId,
    surface: Option<NodeId>,
) -> Result<String, Refusal> {
    let name = node(to, id)?.name.clone();
    surface.map(|surface| node(to, surface)).transpose()?;
    let id = held_by(to, id);
    let at = posed.local(surface, &posed.point(id));
    match to.anchors.iter().position(|anchor| anchor.end == id) {
        Some(anchor) => hold_here(to, posed, anchor, surface)?,
        None => hold_digit(to, posed, id, surface)?,
    }
    let plant = Plant {
        node: id,
        at,
        surface,
        turned: rolls::turn(to, posed, id, surface),
    };
    match to.plants.iter_mut().find(|plant| plant.node == id) {
        Some(old) => *old = plant,
        None => to.plants.push(plant),
    }
    tell_recipe(to, id, true);
    Ok(format!("plant {name}"))
}

pub(super) fn release(to: &mut Document, id: NodeId) -> Result<String, Refusal> {
    let name = node(to, id)?.name.clone();
    let id = held_by(to, id);
    if !to.plants.iter().any(|plant| plant.node == id) {
        return Err(Refusal::NotPlanted { node: name });
    }
    if let Some(anchor) = to.anchors.iter().position(|anchor| anchor.end == id) {
        let Anchor { id, target, .. } = *to.anchors[anchor];
        to.setting.active[anchor] = false;
        to_neutral(to, id);
        // What was planted over its surface is to rest on it.
        let form = |target: &Node| to.node(target.parent?)?.surface;
        if let (Some(contact), Some(form)) = (
            contact_of(&to.anchors[anchor].solver),
            to.node(target).and_then(form),
        ) {
            seat(to, anchor, target, (contact, form))?;
        }
    }
    to.plants.retain(|plant| plant.node != id);
    tell_recipe(to, id, false);
    Ok(format!("release {name}"))
}

/// What a digit of which one of the last parts is named is held by; of anything else, itself.
fn held_by(to: &Rig, id: NodeId) -> NodeId {
    let Some(digit) = digit_of(to, id) else {
        return id;
    };
    let part = |part| to.part(&Part::of(&digit.name, part));
    let Some(last) = part(DigitPart::PhalanxDistal).filter(|last| last.id != id) else {
        return id;
    };
    if !to.is_below(id, last.id) {
        return id;
    }
    let mut anchors = to.anchors.iter();
    let held = anchors.find(|anchor| anchor.end != last.id && to.is_below(anchor.end, last.id));
    let end = held.map(|anchor| anchor.end);
    end.or(part(DigitPart::TipContact).map(|tip| tip.id))
        .unwrap_or(id)
}

fn contact_of(solver: &Solver) -> Option<Contact> {
    match *solver {
        Solver::Finger { contact, .. } | Solver::Thumb { contact, .. } => contact,
        _ => None,
    }
}

/// Hangs an anchor's target from a surface where its end is now, holding fully.
pub(super) fn hold_here(
    to: &mut Document,
    posed: &Posed,
    anchor: usize,
    surface: Option<NodeId>,
) -> Result<(), Refusal> {
    let Anchor {
        id, end, target, ..
    } = *to.anchors[anchor];
    if to.anchors.iter().filter(|a| a.target == target).count() > 1 {
        let name = &to.anchors[anchor].name;
        return Err(Refusal::TargetShared {
            anchor: name.clone(),
        });
    }
    let world = |id: Option<NodeId>| id.map_or(Transform::identity(), |id| *posed.world(id));
    let held = posed.hold(id) >= 1.0;
    let off = (posed.point(end) - posed.point(target)).norm();
    let rolls = rolling(to, posed, end, surface);
    let was = contact_of(&to.anchors[anchor].solver);
    let there = held && off <= THERE && same(was, rolls);
    let turn = stands(to, posed, end, surface).rotation;
    let hung = node_mut(to, target)?;
    if !(there && hung.parent == surface) {
        let mut wanted = *posed.world(target);
        if rolls.is_some() {
            // It rolls in the directions of its surface, there.
            wanted.rotation = world(surface).rotation * turn;
        }
        if !(held && off <= THERE) {
            wanted.translation = posed.point(end).into();
        }
        let channels = hung.rest().inv_mul(&posed.channel_local(target));
        hung.set_rest(&(world(surface).inv_mul(&wanted) * channels.inverse()));
        hung.parent = surface;
    }
    if !there {
        set_contact(&mut to.anchors[anchor].solver, rolls);
    }
    if !held {
        let solver = to.anchors[anchor].solver;
        let chain = (to.anchors[anchor].base, end);
        to.anchors[anchor].solver = fitted(to, posed, chain, solver, posed.collapse(id));
        to.setting.active[anchor] = true;
        to_neutral(to, id);
    }
    Ok(())
}

fn set_contact(solver: &mut Solver, to: Option<Contact>) {
    if let Solver::Finger { contact, .. } | Solver::Thumb { contact, .. } = solver {
        *contact = to;
    }
}

/// Whether two contacts stand alike, to what rounding leaves.
fn same(a: Option<Contact>, b: Option<Contact>) -> bool {
    match (a, b) {
        (None, None) => true,
        (Some(a), Some(b)) => {
            let near = |a: f64, b: f64| (a - b).abs() <= THERE;
            near(a.pitch, b.pitch) && near(a.tilt, b.tilt) && near(a.heading, b.heading)
        }
        _ => false,
    }
}

/// The dials that let an anchor go, back to neutral.
fn to_neutral(to: &mut Document, anchor: AnchorId) {
    for (dial, value) in to.rig.dials.iter().zip(&mut to.setting.dials) {
        if dial.drives.iter().any(|d| d.target == Target::Hold(anchor)) {
            *value = dial.neutral;
        }
    }
}

/// Where a target stands on a surface for an end that is planted as it is, in the surface's frame:
/// its y off it there.
fn stands(to: &Document, posed: &Posed, end: NodeId, surface: Option<NodeId>) -> Transform {
    let here: Vec3 = posed.local(surface, &posed.point(end)).into();
    let form = surface.and_then(|surface| to.node(surface)?.surface);
    rolls::stands(form.unwrap_or(Form::Plane), &here)
}

/// Brings a target that was planted over its surface, or in it, to a tip's radius over it.
fn seat(
    to: &mut Document,
    anchor: usize,
    target: NodeId,
    (mut contact, form): (Contact, Form),
) -> Result<(), Refusal> {
    let hung = node_mut(to, target)?;
    let at = Vec3::from(hung.translation);
    let over = rig::surface::distance(form, &at) - contact.radius;
    if form == Form::Plane {
        hung.translation[1] = contact.radius;
        // Its pad gave way earlier where it was planted flatter: let go it lies on all of it again.
        contact.changeover = bones::CHANGEOVER;
        set_contact(&mut to.anchors[anchor].solver, Some(contact));
    } else if let Some(round) = &mut contact.round {
        hung.translation = (at - rig::surface::normal(form, &at) * over).into();
        round.radius -= over;
        set_contact(&mut to.anchors[anchor].solver, Some(contact));
    }
    Ok(())
}

/// How a hand's digit rolls on a surface, planted as it stands: its end is the centre of its tip's
/// round flesh.
fn rolling(to: &Document, posed: &Posed, end: NodeId, surface: Option<NodeId>) -> Option<Contact> {
    let surface = to.node(surface?)?;
    let form = surface.surface?;
    let tip = to.node(end)?;
    let part = tip.part.as_ref()?;
    let digit = part.digit()?;
    if *part != Part::of(digit, DigitPart::TipContact) {
        return None;
    }
    let width = |part| to.part(&Part::of(digit, part)).map(|node| 0.5 * node.width);
    let middle = if digit_of(to, end)?.thumb {
        DigitPart::PhalanxProximal
    } else {
        DigitPart::PhalanxIntermediate
    };
    let at = |part| {
        let node = to.part(&Part::of(digit, part))?;
        Some(Vec3::from(
            posed.local(Some(surface.id), &posed.point(node.id)),
        ))
    };
    let root = if middle == DigitPart::PhalanxProximal {
        middle
    } else {
        DigitPart::PhalanxProximal
    };
    let places = [
        at(root)?,
        at(middle)?,
        at(DigitPart::PhalanxDistal)?,
        at(DigitPart::TipContact)?,
    ];
    let flesh = Flesh {
        tip: 0.5 * tip.width,
        joints: [width(middle)?, width(DigitPart::PhalanxDistal)?],
    };
    let flesh = rolls::fitted(form, flesh, places)?;
    // One drawn without any width has no flesh to roll on.
    let there = posed.world(surface.id).inv_mul(posed.world(end));
    if flesh.tip <= 0.0 {
        return None;
    }
    let mut contact = rolls::contact(flesh, form, &there)?;
    if let Some(round) = &mut contact.round
        && !digit_of(to, end)?.thumb
    {
        let knuckle = to.part(&Part::of(digit, root))?;
        let limits = |axis: usize| knuckle.limits[Channel::ALL[axis].index()];
        let mut axes = knuckle.order.axes().into_iter();
        let outer = axes.find(|&axis| limits(axis) != Some((0.0, 0.0)))?;
        // What its channels make of it, and what its anchor has.
        let channel = posed.channel(knuckle.id, Channel::ALL[outer]) * DEGREES;
        round.aside = posed.turns(knuckle.id)[outer] - channel + 0.0;
    }
    Some(contact)
}

/// A solver's numbers for the bend its chain has now.
fn fitted(
    to: &Document,
    posed: &Posed,
    (base, end): (NodeId, NodeId),
    mut solver: Solver,
    loaded: f64,
) -> Solver {
    let above = |id: NodeId| to.node(id).and_then(|node| node.parent);
    let chain = std::iter::successors(above(end), |&id| if id == base { None } else { above(id) });
    let joints: Vec<_> = chain
        .filter(|&id| to.node(id).is_some_and(|node| node.kind == Kind::Joint))
        .collect();
    let flexion = |id: NodeId| posed.turns(id)[2];
    match (&mut solver, &joints[..]) {
        (Solver::Finger { coupling, rest, .. }, &[last, middle, _]) => {
            *rest = flexion(middle);
            if rest.abs() > BENT {
                *coupling = flexion(last) / *rest + loaded;
            }
        }
        (Solver::Thumb { rest, .. }, &[last, middle, _]) => {
            *rest = [flexion(middle), flexion(last)];
        }
        _ => {}
    }
    solver
}

/// Holds a hand's digit that has no anchor yet by its end; other parts are carried by the palm
/// and need none.
fn hold_digit(
    to: &mut Document,
    posed: &Posed,
    end: NodeId,
    surface: Option<NodeId>,
) -> Result<(), Refusal> {
    let Some(digit) = digit_of(to, end).cloned() else {
        return Ok(());
    };
    let part = |part| to.part(&Part::of(&digit.name, part));
    let start = if digit.thumb {
        DigitPart::Metacarpal
    } else {
        DigitPart::PhalanxProximal
    };
    let (Some(base), Some(last)) = (part(start), part(DigitPart::PhalanxDistal)) else {
        return Ok(());
    };
    if end == last.id || !to.is_below(end, last.id) {
        return Ok(());
    }
    let base = base.id;
    let contact = rolling(to, posed, end, surface);
    let solver = if digit.thumb {
        Solver::Thumb {
            rest: [0.0; 2],
            contact,
        }
    } else {
        Solver::Finger {
            coupling: bones::COUPLING,
            rest: bones::BRANCH_FLEXION,
            collapse: 0.0,
            give: 0.0,
            contact,
        }
    };
    let solver = fitted(to, posed, (base, end), solver, 0.0);
    let target = NodeId(to.take_id());
    let place = posed.local(surface, &posed.point(end));
    let name = format!("{}-plant", digit.name);
    let mut hung = Node::mount(target, &name, surface, place);
    if contact.is_some() {
        hung.set_rest(&stands(to, posed, end, surface));
    }
    hung.part = Some(Part::of(&digit.name, DigitPart::Plant));
    to.nodes.push(hung.into());
    let anchor = AnchorId(to.take_id());
    let held = Anchor {
        id: anchor,
        name: digit.name.clone(),
        base,
        end,
        target,
        solver,
    };
    to.add_anchor(held, true);
    add_release(to, &digit.name, anchor);
    Ok(())
}

/// The dial that lets a planted digit go, where it has none.
fn add_release(to: &mut Document, digit: &str, anchor: AnchorId) {
    let role = DialRole::Release(digit.to_owned());
    if to.role(&role).is_some() {
        return;
    }
    let id = DialId(to.take_id());
    let name = format!("release {digit}");
    let drives = vec![Drive::whole(Target::Hold(anchor), -0.01)];
    let mut dial = Dial::new(id, &name, Unit::Percent, (0.0, 100.0), drives);
    dial.role = Some(role);
    to.add_dial(dial, 0.0);
}

/// The digit that a node is part of.
fn digit_of(to: &Rig, id: NodeId) -> Option<&recipe::Digit> {
    let name = to.node(id)?.part.as_ref()?.digit()?;
    let mut digits = to.hand.as_deref()?.hand.digits.iter();
    digits.find(|digit| digit.name == name)
}

/// Keeps the recipe in step with which digits are planted, where a hand can be built so.
fn tell_recipe(to: &mut Document, id: NodeId, planted: bool) {
    let Some(digit) = digit_of(to, id).map(|digit| digit.name.clone()) else {
        return;
    };
    let Some(mut recipe) = to.hand.clone() else {
        return;
    };
    let Some(planting) = &mut recipe.planting else {
        return;
    };
    planting.digits.retain(|name| *name != digit);
    if planted {
        planting.digits.push(digit);
    }
    if build::document(&recipe).is_ok() {
        to.hand = Some(recipe);
    }
}

pub(super) fn gone() -> Refusal {
    rig::Refusal::Lost(Item::Node).into()
}

pub(super) fn node(rig: &Rig, id: NodeId) -> Result<&Node, Refusal> {
    rig.node(id).ok_or_else(gone)
}

pub(super) fn node_mut(rig: &mut Rig, id: NodeId) -> Result<&mut Node, Refusal> {
    let found = rig.nodes.iter_mut().find(|node| node.id == id);
    found.map(|node| &mut **node).ok_or_else(gone)
}
