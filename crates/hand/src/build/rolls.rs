//! How a digit that is planted on a surface touches it: the flesh that rolls, and where it stood.
use crate::flesh::Segment;
use recipe::bones::{CHANGEOVER, CHANGEOVER_BELOW, PAD_ROUND, TIP_ROUND};
use rig::{
    Contact, DEGREES, Document, Fault, Form, NodeId, Posed, ROOT, Rig, Rotation, Round, Transform,
    Vec3, surface,
};

/// How much thinner than what just touches planted flesh is taken to be, mm: rounding's room.
const SLACK: f64 = 1e-6;
/// How thick a bone's belly is, in parts of the width drawn at its joints.
const BELLY: f64 = 1.07;
/// A radius, mm, that is none.
const ROUNDED: f64 = 1e-9;
/// Halvings of a thickness: to a nanometre.
const HALVINGS: u32 = 40;

/// A digit's flesh, mm.
#[derive(Clone, Copy)]
pub(crate) struct Flesh {
    /// Of the tip's round end.
    pub tip: f64,
    /// At its middle and at its last joint.
    pub joints: [f64; 2],
}

/// Where a contact's target stands for a place over a surface, both in the surface's frame: there,
/// its y off the surface under it.
pub(crate) fn stands(form: Form, at: &Vec3) -> Transform {
    let off = surface::normal(form, at);
    let turn = match form {
        Form::Plane => Rotation::identity(),
        Form::Rail { .. } | Form::Edge { .. } => {
            super::make::about(Vec3::z(), 0.0 - libm::atan2(off.x, off.y))
        }
    };
    Transform::from_parts((*at).into(), turn)
}

/// How a surface is round under a tip's centre in its frame; a tip that is not on it takes it to be
/// its radius under it all the same.
fn round(form: Form, at: &Vec3, tip: f64) -> Option<Round> {
    let off = surface::normal(form, at);
    let here = libm::atan2(off.x, off.y) * DEGREES;
    let radius = surface::distance(form, at) - tip;
    let round = match form {
        Form::Plane => return None,
        Form::Rail { radius: own } => Round {
            radius: own + radius,
            ahead: 0.0,
            aside: 0.0,
            from: -180.0,
            to: 180.0,
        },
        Form::Edge { radius: own } => Round {
            radius: own + radius,
            // On a flat part its corner's axis is ahead of it, or behind.
            ahead: if off.x == 0.0 {
                0.0 - (at.x + own)
            } else if off.y == 0.0 {
                at.y + own
            } else {
                0.0
            },
            aside: 0.0,
            from: 0.0 - here,
            to: 90.0 - here,
        },
    };
    Some(round)
}

/// The flesh about a digit's joints that is to stay out of a surface: round a curve a bone touches
/// with its belly too, which is a little thicker (`flesh/section.rs`).
pub(crate) fn about(form: Form, flesh: Flesh) -> Flesh {
    let by = match form {
        Form::Plane => 1.0,
        Form::Rail { .. } | Form::Edge { .. } => BELLY,
    };
    Flesh {
        joints: flesh.joints.map(|radius| by * radius),
        ..flesh
    }
}

/// The greatest radius up to one that is good, as all smaller ones are, if any is.
fn thickest(most: f64, good: impl Fn(f64) -> bool) -> Option<f64> {
    if good(most) || !good(0.0) {
        return good(most).then_some(most);
    }
    let (mut low, mut high) = (0.0, most);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if good(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(low)
}

/// The thickest flesh at the middle and at the last joint, no thicker than told, with which a planted
/// digit's bones are not in a round surface: what its solve is to keep out of it, it must not
/// start in. None for bones that are in it however thin, as of a digit planted off it may be in what
/// it takes for it. For its knuckle (a thumb: its middle joint again), middle and last joint and its
/// tip's centre, in the surface's frame.
pub(crate) fn fitted(
    form: Form,
    flesh: Flesh,
    [knuckle, middle, last, tip]: [Vec3; 4],
) -> Option<Flesh> {
    if form == Form::Plane {
        return Some(flesh);
    }
    // What is planted over its surface takes that to be under it.
    let over = surface::distance(form, &tip) - flesh.tip;
    let off = |ends: [Vec3; 2], radii: [f64; 2]| {
        let surface = surface::Surface {
            frame: Transform::identity(),
            form,
            node: None,
        };
        Segment { ends, radii }.clearance(&surface) - over
    };
    let root = knuckle + (middle - knuckle) * ROOT.0;
    let [own_middle, own_last] = about(form, flesh).joints;
    let thin = |radius: f64| {
        off([root, middle], [ROOT.1 * radius, radius]) > SLACK
            && off([middle, last], [radius, 0.0]) > SLACK
    };
    let at_middle = thickest(own_middle, thin)?;
    let at_last = thickest(own_last, |radius| {
        off([last, tip], [radius, flesh.tip - SLACK]) > 0.0
            && off([middle, last], [at_middle, radius]) > SLACK
    })?;
    Some(Flesh {
        joints: [at_middle, at_last],
        ..flesh
    })
}

/// The contact of a digit that stands with its tip's centre at a frame of the surface's: how it
/// points over what is under it; none for one deeper in it than it is round. Its pad gives way to its tip well before that pitch, so that it is
/// the tip's round end that touches and its centre that is planted.
pub(crate) fn contact(flesh: Flesh, form: Form, tip: &Transform) -> Option<Contact> {
    let at = tip.translation.vector;
    let tip = &stands(form, &at).inv_mul(tip);
    let round = round(form, &at, flesh.tip);
    let round = match round {
        Some(round) if round.radius < 0.0 - ROUNDED => return None,
        // A corner is one, whatever rounding leaves of it.
        Some(round) if round.radius < ROUNDED => Some(Round {
            radius: 0.0,
            ..round
        }),
        round => round,
    };
    // The surface's normal, and the last hinge's axis on the surface.
    let up = tip.rotation.inverse() * rig::Vec3::y();
    let hinge = tip.rotation * rig::Vec3::z();
    // The palm's normal x is turned from the way down towards the bone, −y.
    let pitch = libm::atan2(up.y, 0.0 - up.x) * DEGREES;
    let flat = pitch - CHANGEOVER_BELOW;
    Some(Contact {
        radius: flesh.tip,
        // What is left of the width drawn where the tip is made smaller.
        pad: PAD_ROUND / TIP_ROUND * flesh.tip,
        changeover: if flat < CHANGEOVER { flat } else { CHANGEOVER },
        joints: flesh.joints,
        pitch,
        tilt: 0.0 - libm::asin(hinge.y) * DEGREES,
        // The way it points is level and square to the hinge: hinge × y.
        heading: libm::atan2(0.0 - hinge.x, 0.0 - hinge.z) * DEGREES,
        round,
    })
}

/// Tells of everything planted that no anchor holds how it is turned there: it rolls with the palm.
pub(super) fn turned(document: &mut Document) -> Result<(), Fault> {
    let held = |node| document.anchors.iter().any(|anchor| anchor.end == node);
    if document.plants.iter().all(|plant| held(plant.node)) {
        return Ok(());
    }
    let posed = Posed::new(document)?;
    for at in 0..document.plants.len() {
        let (node, surface) = (document.plants[at].node, document.plants[at].surface);
        document.plants[at].turned = turn(document, &posed, node, surface);
    }
    Ok(())
}

/// How a part that no anchor holds is turned on its surface.
pub(crate) fn turn(
    rig: &Rig,
    posed: &Posed,
    node: NodeId,
    surface: Option<NodeId>,
) -> Option<[f64; 4]> {
    let held = rig.anchors.iter().any(|anchor| anchor.end == node);
    let surface = surface.filter(|_| !held)?;
    let turn = posed.world(surface).rotation.inverse() * posed.world(node).rotation;
    // An exact unit is asked for at the door.
    let [x, y, z, w]: [f64; 4] = Rotation::new_normalize(turn.into_inner()).coords.into();
    Some([x + 0.0, y + 0.0, z + 0.0, w + 0.0])
}
