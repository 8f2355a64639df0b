//! Where a thumb's tip is to be as it rolls, with first and second derivatives by its angles.
//!
//! Derived here, by turning the last bone's frame about the joints' axes ω: with n the direction
//! in the plane of palm and bone that points into the surface, m the level one forward and ẑ the
//! hinge's side, the pitch changes by ω·(ẑ − tan λ·n), the tilt λ by −ω·m and the heading by
//! −ω·n/cos λ.
use super::super::pad::{Frame, rotated};
use super::super::roll::hold::{TIP_ENDS, TIP_WINDOW, step};
use super::super::saddle::{swung, tipped};
use super::lying::{Lying, Planted};
use super::reach::REACHED;
use crate::Vec3;
use core::f64::consts::{FRAC_PI_2, PI};

/// The pitch at which nothing is held of a bone that has turned over its tip and points up: well
/// before 270°, where pitches are told anew. Chosen here.
const UPRIGHT: f64 = 250.0 / 180.0 * PI;
/// What it misses by, as a part of its tip's radius, when nothing is held any more: 8 mm for a tip
/// of 7.2 mm (chosen here). Over a finger's 12 mm it would slip by more than the survey allows before
/// it counts as let go, and so end the press.
const GONE: f64 = 8.0 / 7.2;

/// What says how a thumb rolls.
pub(super) struct Rolling<'a> {
    pub(super) frame: &'a Frame,
    pub(super) planted: Planted,
}

/// Where the tip's centre is to be, how that changes with each angle, and what its second
/// derivatives are made of.
pub(super) struct Place {
    pub(super) lying: Lying,
    pub(super) slopes: [Vec3; 4],
    axes: [Vec3; 4],
    side: Vec3,
    up: Vec3,
    radius: f64,
    /// How pitch, tilt and heading go with the angles.
    pitch: [f64; 4],
    tilt: [f64; 4],
    heading: [f64; 4],
}

impl Rolling<'_> {
    /// At angles with these sines and cosines.
    pub(super) fn place(&self, [outer, inner, middle, last]: [(f64, f64); 4]) -> Place {
        let turned = |v: Vec3| tipped(outer, swung(inner, v));
        let [first, second] = self.frame.hinges;
        let hinged = |v: Vec3| turned(rotated(first, middle, v));
        let (s, c) = outer;
        let axes = [
            Vec3::x(),
            Vec3::new(0.0, c, s),
            turned(first),
            hinged(second),
        ];
        let bone = self.frame.last.map(|v| hinged(rotated(second, last, v)));
        let lying = Lying::new(&self.planted, &bone);
        let Lying {
            into,
            level,
            tilt: (sine, cosine),
            wide,
            padded,
            ..
        } = lying;
        let (up, radius) = (self.planted.surface.normal, self.planted.outline.radius);
        let slant = bone[2] - into * (sine / cosine);
        let pitch = axes.map(|axis| axis.dot(&slant));
        let tilt = axes.map(|axis| -axis.dot(&level));
        let heading = axes.map(|axis| -axis.dot(&into) / cosine);
        let slopes = [0, 1, 2, 3].map(|i| {
            lying.turned.slope(&axes[i]).cross(&up) * radius
                + lying.halfway[0] * (wide * pitch[i])
                + lying.halfway[1] * (0.5 * padded * heading[i])
                - axes[i].cross(&lying.core)
                - level * (wide * pitch[i])
        });
        Place {
            lying,
            slopes,
            axes,
            side: bone[2],
            up,
            radius,
            pitch,
            tilt,
            heading,
        }
    }

    /// What it misses by when nothing is held any more, mm: over that the hold eases.
    pub(super) fn gone(&self) -> f64 {
        GONE * self.planted.outline.radius
    }

    /// How fully a pose holds that misses its place by so many mm: in full only what misses by no
    /// more than rounding.
    ///
    /// The tip ends where its nail meets the surface. For a bone that lies on its side the pitch does
    /// not tell that: near a quarter turn's tilt it turns by tens of degrees for one of the hand, and
    /// the nail stays upright all the while.
    pub(super) fn hold(&self, lying: &Lying, missed: f64) -> f64 {
        let (outline, pitch) = (&self.planted.outline, lying.pitch);
        // Where its core would be at the last joint the pad ends.
        let pad = if self.frame.length < PI * outline.flat() {
            self.frame.length / outline.flat()
        } else {
            PI
        };
        let over_pad = outline.over(pitch) + pad;
        // One planted with its nail as far round as that holds there in full.
        let (ends, planted) = (TIP_ENDS - FRAC_PI_2, self.planted.nail + TIP_WINDOW);
        let ends = if planted > ends { planted } else { ends };
        let held = step((ends - lying.nail) / TIP_WINDOW)
            * step(over_pad / TIP_WINDOW + 1.0)
            * step((UPRIGHT - pitch) / TIP_WINDOW);
        if missed <= REACHED {
            return held;
        }
        let held = held * step(1.0 - missed / self.gone());
        if held < 1.0 { held } else { 1.0 - f64::EPSILON }
    }
}

impl Place {
    /// Whether directions are well told here: for the check of derivatives by differences.
    #[cfg(test)]
    pub(super) fn is_smooth(&self) -> bool {
        self.lying.tilt.1 > 0.2 && self.lying.halfway[0].dot(&self.lying.level) > 0.2
    }

    /// How the i-th slope changes with the j-th angle; j is not below i.
    pub(super) fn curve(&self, i: usize, j: usize) -> Vec3 {
        let lying = &self.lying;
        let (a, b) = (self.axes[j], self.axes[i]);
        // The joint nearer the base carries the axis of the other.
        let carried = b.cross(&a);
        let rolled = lying.turned.curve(&b, &a, &carried).cross(&self.up) * self.radius;
        let core = carried.cross(&lying.core) + a.cross(&b.cross(&lying.core));
        let (wide, padded) = (lying.wide, lying.padded);
        if wide == 0.0 && padded == 0.0 {
            return rolled - core;
        }
        let (sine, cosine) = lying.tilt;
        let tangent = sine / cosine;
        let (into, level, side) = (lying.into, lying.level, self.side);
        let into_by = b.cross(&into) + level * self.pitch[i];
        let level_by = b.cross(&level) - into * self.pitch[i];
        let slant_by =
            b.cross(&side) - into * (self.tilt[i] / (cosine * cosine)) - into_by * tangent;
        let pitch = carried.dot(&(side - into * tangent)) + a.dot(&slant_by);
        let heading = -(carried.dot(&into) + a.dot(&into_by)) / cosine
            + self.heading[j] * self.tilt[i] * tangent;
        let [halfway, beside] = lying.halfway;
        let both = self.pitch[i] * self.heading[j] + self.pitch[j] * self.heading[i];
        let turning = 0.25 * padded * self.heading[i] * self.heading[j];
        let arc =
            halfway * (wide * pitch - turning) + beside * (0.5 * (wide * both + padded * heading));
        let along = a.cross(&level) * self.pitch[i] + level * pitch + level_by * self.pitch[j];
        rolled + arc - core - along * wide
    }
}
