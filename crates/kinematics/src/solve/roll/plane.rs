//! The plane a finger flexes in, by how far its knuckle's outer turn has tipped it.
use crate::Vec3;

/// The least cosine of a tilt that is divided by: a finger on its very edge has no pitch.
const EDGE: f64 = 1e-6;

/// The plane at one outer turn, seen along the outer axis, the inner one and their product.
#[derive(Clone, Copy)]
pub(super) struct Plane {
    /// Of the outer turn.
    pub(super) sine: f64,
    pub(super) cosine: f64,
    /// The finger's pitch when nothing is flexed, as cosine and sine.
    pub(super) level: (f64, f64),
    /// Cosine and sine of the tilt, and the tilt.
    pub(super) upright: f64,
    pub(super) into: f64,
    pub(super) tilt: f64,
    /// Level forward.
    pub(super) forward: Vec3,
}

impl Plane {
    pub(super) fn new(n: &Vec3, outer: f64) -> Self {
        let (sine, cosine) = libm::sincos(outer);
        // The unturned bone's direction is (0, −sine, cosine), the hinges' (0, cosine, sine).
        let along = cosine * n.z - sine * n.y;
        let into = -(cosine * n.y + sine * n.z);
        let upright = libm::sqrt(n.x * n.x + along * along);
        let upright = if upright > EDGE { upright } else { EDGE };
        let level = (-n.x / upright, -along / upright);
        Self {
            sine,
            cosine,
            level,
            upright,
            into,
            tilt: libm::atan2(into, upright),
            forward: Vec3::new(-level.1, -sine * level.0, cosine * level.0),
        }
    }

    /// The finger's pitch when nothing is flexed, radians.
    pub(super) fn level(&self) -> f64 {
        libm::atan2(self.level.1, self.level.0)
    }
}
