//! How a digit that is planted on a surface touches it: the flesh that rolls, and where it stood.
use recipe::bones::{CHANGEOVER, CHANGEOVER_BELOW, PAD_ROUND, TIP_ROUND};
use rig::{
    Contact, DEGREES, Document, Fault, Form, NodeId, Posed, Rig, Rotation, Round, Transform, Vec3,
    surface,
};

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
            from: 0.0 - here,
            to: 90.0 - here,
        },
    };
    Some(round)
}

/// The contact of a digit that stands with its tip's centre at a frame of the surface's: how it
/// points over what is under it; none for one deeper in it than it is round. Its pad gives way to its tip well before that pitch, so that it is
/// the tip's round end that touches and its centre that is planted.
pub(crate) fn contact(flesh: Flesh, form: Form, tip: &Transform) -> Option<Contact> {
    let at = tip.translation.vector;
    let tip = &stands(form, &at).inv_mul(tip);
    let round = round(form, &at, flesh.tip);
    if round.is_some_and(|round| round.radius < 0.0) {
        return None;
    }
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
