//! The surface an end rolls on, and where it has rolled to.
use super::outline::Outline;
use crate::{Contact, Rotation, Transform, Vec3};

/// Under this a direction is none.
const NOTHING: f64 = 1e-9;

/// A flat surface and where an end was planted on it, in any one frame.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Surface {
    /// Off the surface.
    pub(crate) normal: Vec3,
    /// Level, the way the end pointed when it was planted.
    pub(crate) ahead: Vec3,
    /// Level, the target's x.
    pub(crate) across: Vec3,
    /// Where the core was then.
    pub(crate) at: Vec3,
    /// How it was tilted then.
    pub(crate) tilt: f64,
    /// Its pitch then.
    pub(crate) pitch: f64,
}

/// How a digit's last bone stands to a surface.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stance {
    /// Outline's pitch, radians, wrapped.
    pub(crate) pitch: f64,
    /// By how much the hinge's axis points into the surface, radians.
    pub(crate) tilt: f64,
    /// Level forward.
    pub(crate) forward: Vec3,
    /// The hinge's axis, levelled.
    pub(crate) aside: Vec3,
}

/// What a contact lies on, in the target's own frame: what of a surface no pose changes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct On {
    pub(crate) outline: Outline,
    ahead: Vec3,
    tilt: f64,
    pitch: f64,
}

impl On {
    pub(crate) fn new(contact: &Contact) -> Self {
        let (sine, cosine) = libm::sincos(contact.heading);
        Self {
            outline: Outline::new(contact),
            ahead: Vec3::new(cosine, 0.0, -sine),
            tilt: contact.tilt,
            pitch: contact.pitch,
        }
    }

    /// The target's surface, in the frame the target is seen from.
    pub(crate) fn surface(&self, target: &Transform) -> Surface {
        Surface {
            normal: target.rotation * Vec3::y(),
            ahead: target.rotation * self.ahead,
            across: target.rotation * Vec3::x(),
            at: target.translation.vector,
            tilt: self.tilt,
            pitch: self.pitch,
        }
    }
}

impl Surface {
    /// The target's surface, in the frame the target is seen from.
    pub(crate) fn new(target: &Transform, contact: &Contact) -> Self {
        On::new(contact).surface(target)
    }

    /// How a bone stands whose frame has these directions: out of the palm and along the bone.
    pub(crate) fn stance(&self, palm: &Vec3, bone: &Vec3) -> Stance {
        let axis = bone.cross(palm);
        let forward = axis.cross(&self.normal);
        let size = forward.norm();
        // An axis that stands upright has no level heading; it keeps the one it was planted with.
        let forward = if size > NOTHING {
            forward / size
        } else {
            self.ahead
        };
        let into = -axis.dot(&self.normal);
        Stance {
            pitch: Outline::pitch(palm, bone, &self.normal),
            // The sine alone loses its digits near a quarter turn.
            tilt: libm::atan2(into, size),
            forward,
            aside: self.normal.cross(&forward),
        }
    }

    /// Half-way between the heading it was planted with and another.
    pub(crate) fn halfway(&self, forward: &Vec3) -> Vec3 {
        let sum = self.ahead + forward;
        let size = sum.norm();
        if size > NOTHING { sum / size } else { *forward }
    }

    /// Where the core has rolled to: forward by the outline's length along the half-way heading,
    /// aside on the sphere that sweeps it.
    pub(crate) fn rolled(&self, outline: &Outline, stance: &Stance) -> Vec3 {
        let forward = outline.rolled(self.pitch, stance.pitch);
        let aside = outline.radius * (stance.tilt - self.tilt);
        self.at + self.halfway(&stance.forward) * forward + stance.aside * aside
    }

    /// From where the core should have rolled to, to where it is: for a tip's centre and the
    /// last bone's rotation.
    pub(crate) fn slip(&self, outline: &Outline, centre: &Vec3, last: &Rotation) -> Vec3 {
        let (palm, bone) = (last * Vec3::x(), last * -Vec3::y());
        let stance = self.stance(&palm, &bone);
        centre + outline.core(&palm, &bone, stance.pitch) - self.rolled(outline, &stance)
    }
}
