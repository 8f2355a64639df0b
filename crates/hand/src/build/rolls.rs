//! How a digit that is planted on a plane touches it: the flesh that rolls, and where it stood.
use recipe::bones::{CHANGEOVER, CHANGEOVER_BELOW, PAD_ROUND, TIP_ROUND};
use rig::{Contact, DEGREES, Transform};

/// A digit's flesh, mm.
#[derive(Clone, Copy)]
pub(crate) struct Flesh {
    /// Of the tip's round end.
    pub tip: f64,
    /// At its middle and at its last joint.
    pub joints: [f64; 2],
}

/// The contact of a digit that stands with its tip's centre at a frame of the surface's (y off
/// it): how it points there. Its pad gives way to its tip well before that pitch, so that it is
/// the tip's round end that touches and its centre that is planted.
pub(crate) fn contact(flesh: Flesh, tip: &Transform) -> Contact {
    // The surface's normal, and the last hinge's axis on the surface.
    let up = tip.rotation.inverse() * rig::Vec3::y();
    let hinge = tip.rotation * rig::Vec3::z();
    // The palm's normal x is turned from the way down towards the bone, −y.
    let pitch = libm::atan2(up.y, 0.0 - up.x) * DEGREES;
    let flat = pitch - CHANGEOVER_BELOW;
    Contact {
        radius: flesh.tip,
        // What is left of the width drawn where the tip is made smaller.
        pad: PAD_ROUND / TIP_ROUND * flesh.tip,
        changeover: if flat < CHANGEOVER { flat } else { CHANGEOVER },
        joints: flesh.joints,
        pitch,
        tilt: 0.0 - libm::asin(hinge.y) * DEGREES,
        // The way it points is level and square to the hinge: hinge × y.
        heading: libm::atan2(0.0 - hinge.x, 0.0 - hinge.z) * DEGREES,
    }
}
