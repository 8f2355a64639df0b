//! The least that a finger's limits leave between its end and the place it has rolled to.
//!
//! Levenberg and Marquardt's steps on the whole way from place to core, in space, its part off the
//! surface counted ten times, over the knuckle's two turns and the middle joint's flexion within their bounds. It starts at the
//! closure with its turns brought within them, so where the closure meets a limit both are one
//! pose. It serves a finger whose hinges are not in one plane as well: what the closure of the
//! finger seen in the plane leaves is then its start.
use super::super::boxed::{self, Pace, Unknown, Valley};
use super::super::pad::{Pad, Place};
use super::super::saddle::{swung, tipped};
use super::closure::Follow;
use super::outline::Outline;
use super::surface::Surface;
use crate::Vec3;
use nalgebra::Matrix3;

/// A distance, as a part of the tip's radius, that is none.
const NONE: f64 = 1e-13;

/// How much worse it is to be a millimetre in the surface or over it than beside one's place on it
/// (chosen here: of what limits leave, a hundredth sinks and the rest slips; alike, a finger whose
/// abduction ends sank by half of what it was off).
const STIFF: f64 = 10.0;

/// The tip's centre, and the directions out of the palm and along the last bone, by flexion.
#[derive(Clone, Debug, Default)]
pub(crate) struct Solid {
    pub(crate) centre: Pad,
    pub(crate) palm: Pad,
    pub(crate) bone: Pad,
}

pub(crate) struct Loaded<'a, F: Follow> {
    pub(crate) solid: &'a Solid,
    pub(crate) flexion: &'a F,
    pub(crate) surface: &'a Surface,
    pub(crate) outline: &'a Outline,
    /// By how much the end stays ahead of its place for want of reach, mm.
    pub(crate) short: f64,
}

/// What is left, and how it changes by the three unknowns; off the surface [`STIFF`] times.
struct Left {
    way: Vec3,
    by: [Vec3; 3],
}

impl<F: Follow> Loaded<'_, F> {
    /// The outer turn, the inner and the flexion that leave least, from a start and within bounds;
    /// and the steps tried.
    pub(crate) fn least(&self, start: [f64; 3], bounds: [(f64, f64); 3]) -> ([f64; 3], u32) {
        let [outer, inner, q] = [0, 1, 2].map(|i| Unknown::new(start[i], bounds[i]));
        let mut unknowns = [outer, inner, q];
        let reach = self.solid.centre.bend();
        let pace = Pace {
            // Far from its place the steps shorten by a tenth at a time: one of some 100,000 poses
            // takes more than 200, and left there it stood 40° a degree beside its neighbour.
            tries: 2000,
            first: 0.0,
            raise: (10.0, 1e-4 * reach),
            ease: [0.1; 3],
            longest: 0.5,
            still: 1e-11,
            flat: 1e-15,
        };
        let mut valley = Miss {
            left: self.left(unknowns.map(|unknown| unknown.at)),
            square: Matrix3::zeros(),
            loaded: self,
        };
        let tried = boxed::descend(&mut valley, &mut unknowns, &pace);
        (unknowns.map(|unknown| unknown.at), tried)
    }

    fn left(&self, [outer, inner, q]: [f64; 3]) -> Left {
        let (surface, outline) = (self.surface, self.outline);
        let n = &surface.normal;
        let (last, rate) = self.flexion.follow(q);
        let turns = (libm::sincos(q), libm::sincos(last));
        let (inward, outward) = (libm::sincos(inner), libm::sincos(outer));
        let turned = |v: Vec3| tipped(outward, swung(inward, v));
        let axes = [Vec3::x(), Vec3::new(0.0, outward.1, outward.0)];
        // Each with its slopes: turned by the two axes of the knuckle, and by q.
        let moved = |pad: &Pad| {
            let Place { at, slopes } = pad.place(turns.0, turns.1);
            let at = turned(at);
            let by_q = turned(slopes[0] + slopes[1] * rate);
            (at, [axes[0].cross(&at), axes[1].cross(&at), by_q])
        };
        let [centre, palm, bone] =
            [&self.solid.centre, &self.solid.palm, &self.solid.bone].map(moved);
        let stance = surface.stance(&palm.0, &bone.0);
        let (sine, cosine) = libm::sincos(stance.pitch);
        let lies = outline.is_pad(stance.pitch);
        let halfway = surface.halfway(&stance.forward);
        let rolled = outline.rolled(surface.pitch, stance.pitch);
        let speed = outline.rate(stance.pitch);
        let leaned = outline.radius * (stance.tilt - surface.tilt);
        let upright = libm::cos(stance.tilt);
        let upright = if upright > 1e-6 { upright } else { 1e-6 };
        let deep = libm::hypot(palm.0.dot(n), bone.0.dot(n));
        let deep = if deep > 1e-6 { deep } else { 1e-6 };

        let stiffened = |v: Vec3| v + n * ((STIFF - 1.0) * v.dot(n));

        let core = centre.0 + outline.core(&palm.0, &bone.0, stance.pitch);
        let place = surface.at + halfway * rolled + stance.aside * leaned;
        let by = [0, 1, 2].map(|i| {
            let (palm_by, bone_by) = (palm.1[i], bone.1[i]);
            let axis_by = bone_by.cross(&palm.0) + bone.0.cross(&palm_by);
            let pitch_by = (-cosine * bone_by.dot(n) + sine * palm_by.dot(n)) / deep;
            let tilt_by = -axis_by.dot(n) / upright;
            let heading_by = axis_by.cross(n).dot(&stance.aside) / upright;
            let mut core_by = centre.1[i];
            if lies {
                core_by += outline.core(&palm_by, &bone_by, stance.pitch)
                    + (bone.0 * cosine - palm.0 * sine) * (outline.flat() * pitch_by);
            }
            stiffened(
                core_by
                    - halfway * (speed * pitch_by)
                    - n.cross(&halfway) * (0.5 * rolled * heading_by)
                    - stance.aside * (outline.radius * tilt_by + self.short * heading_by)
                    + stance.forward * (leaned * heading_by),
            )
        });
        Left {
            way: stiffened(core - place - stance.forward * self.short),
            by,
        }
    }
}

/// Half the square of what is left.
struct Miss<'a, F: Follow> {
    loaded: &'a Loaded<'a, F>,
    left: Left,
    square: Matrix3<f64>,
}

impl<F: Follow> Valley for Miss<'_, F> {
    fn cost(&mut self, unknowns: &[Unknown]) -> f64 {
        self.left = self.loaded.left([0, 1, 2].map(|i| unknowns[i].to()));
        0.5 * self.left.way.norm_squared()
    }

    fn derive(&mut self, unknowns: &mut [Unknown]) -> Option<f64> {
        let Left { way, by } = &self.left;
        let cost = 0.5 * way.norm_squared();
        let none = NONE * self.loaded.outline.radius;
        if cost <= none * none {
            return None;
        }
        for (unknown, by) in unknowns.iter_mut().zip(by) {
            unknown.slope = by.dot(way);
        }
        self.square = Matrix3::from_fn(|i, j| by[i].dot(&by[j]));
        Some(cost)
    }

    fn model(&mut self, unknowns: &mut [Unknown], damping: f64) -> bool {
        boxed::newton(&self.square, unknowns, damping)
    }

    fn fall(&self, unknowns: &[Unknown]) -> f64 {
        boxed::foretold(&self.square, unknowns)
    }
}
