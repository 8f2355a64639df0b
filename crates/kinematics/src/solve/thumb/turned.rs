//! The turn from one frame to another, about one axis, and how it changes as the other turns on.
//!
//! With ω the turn per radian of an angle the turn θ changes by ω − ½ θ×ω + k·θ×(θ×ω), where
//! k = (1 − ½θ·cot ½θ)/θ² (the inverse of the exponential map's derivative; derived again here).
use crate::Vec3;

/// A squared turn below which k is told by its first terms.
const SMALL: f64 = 0.01;

pub(super) struct Turned {
    /// Its axis, as long as its angle.
    pub(super) by: Vec3,
    /// k, and how it goes with θ².
    rate: [f64; 2],
}

impl Turned {
    /// From one frame of three unit vectors to another. At half a turn either way is right.
    pub(super) fn new(from: &[Vec3; 3], to: &[Vec3; 3]) -> Self {
        let (mut across, mut along) = (Vec3::zeros(), -1.0);
        for (from, to) in from.iter().zip(to) {
            across += from.cross(to);
            along += from.dot(to);
        }
        // Twice its sine and its cosine.
        let sine = across.norm();
        let angle = libm::atan2(sine, along);
        let by = if sine > 0.0 {
            across * (angle / sine)
        } else {
            Vec3::zeros()
        };
        let square = angle * angle;
        let rate = if square < SMALL {
            let first = 1.0 / 12.0 + square * (1.0 / 720.0 + square / 30240.0);
            [
                first,
                1.0 / 720.0 + square * (1.0 / 15120.0 + square / 403_200.0),
            ]
        } else {
            let (s, c) = libm::sincos(0.5 * angle);
            let (cot, part) = (c / s, 0.125 / (s * s));
            [
                (1.0 - 0.5 * angle * cot) / square,
                (part + 0.25 * cot / angle - 1.0 / square) / square,
            ]
        };
        Self { by, rate }
    }

    /// How it goes with an angle about an axis.
    pub(super) fn slope(&self, axis: &Vec3) -> Vec3 {
        let aside = self.by.cross(axis);
        axis - aside * 0.5 + self.by.cross(&aside) * self.rate[0]
    }

    /// How the slope with one angle changes with another, that turns its axis by `carried`.
    pub(super) fn curve(&self, other: &Vec3, axis: &Vec3, carried: &Vec3) -> Vec3 {
        let (by, [rate, change]) = (self.by, self.rate);
        let moved = self.slope(other);
        let aside = by.cross(axis);
        self.slope(carried) - moved.cross(axis) * 0.5
            + by.cross(&aside) * (2.0 * change * by.dot(&moved))
            + (moved.cross(&aside) + by.cross(&moved.cross(axis))) * rate
    }
}
