//! A joint with two square axes that points something at a target.
use super::link::{self, Link};
use crate::{Vec3, channel};
use core::f64::consts::{PI, TAU};

/// Below this part of its distance a target counts as on an axis: the turn about that axis
/// is then kept.
const ON_AXIS: f64 = 1e-15;

/// Two axes through one place, the outer one carrying the inner one. Vectors are in
/// coordinates along the outer axis, the inner axis and their cross product.
pub(crate) struct Saddle {
    axes: [usize; 3],
    hand: f64,
    link: Link,
    limits: [(f64, f64); 2],
    /// The channel pose: which of two ways is kept.
    kept: [f64; 2],
    target: Vec3,
    distance: f64,
    /// How far the target is from the outer axis.
    off: f64,
}

/// Angles of the two axes, and what they leave between pad and target.
#[derive(Clone, Copy)]
pub(super) struct Aim {
    pub(super) angles: [f64; 2],
    pub(super) error: Vec3,
}

impl Saddle {
    pub(super) fn new(link: &Link, target: Vec3) -> Self {
        let [first, second, third] = link.order.axes();
        let axes = if link.is_free(first) {
            [first, second, third]
        } else {
            [second, third, first]
        };
        let [outer, inner, _] = axes;
        let mut saddle = Self {
            axes,
            hand: if (outer + 1) % 3 == inner { 1.0 } else { -1.0 },
            link: *link,
            limits: [link.limits[outer], link.limits[inner]],
            kept: [link.angles[outer], link.angles[inner]],
            target: Vec3::zeros(),
            distance: 0.0,
            off: 0.0,
        };
        let mut local = link.frame.rotation.inverse() * (target - link.origin());
        if !link.is_free(first) {
            local = link.order.compose(saddle.alone(first)).inverse() * local;
        }
        let t = saddle.along(local);
        saddle.target = t;
        saddle.distance = t.norm();
        saddle.off = libm::hypot(t.y, t.z);
        saddle
    }

    /// Whether the link is a joint of two axes next to each other in its order.
    pub(crate) fn fits(limits: &[(f64, f64)], order: crate::Order) -> bool {
        let [outer, middle, inner] = order.axes().map(|axis| limits[axis].0 < limits[axis].1);
        middle && outer != inner
    }

    /// A vector of the joint's turned frame as the saddle sees it, its two axes unturned.
    pub(super) fn seen(&self, v: Vec3) -> Vec3 {
        let inmost = self.link.order.axes()[2];
        if self.link.is_free(inmost) {
            return self.along(v);
        }
        self.along(
            channel::turned(
                crate::Rotation::identity(),
                inmost,
                self.link.angles[inmost],
            ) * v,
        )
    }

    fn along(&self, v: Vec3) -> Vec3 {
        let [outer, inner, third] = self.axes;
        Vec3::new(v[outer], v[inner], self.hand * v[third])
    }

    /// The link's angles about one axis only.
    fn alone(&self, axis: usize) -> [f64; 3] {
        let mut angles = [0.0; 3];
        angles[axis] = self.link.angles[axis];
        angles
    }

    pub(super) fn distance(&self) -> f64 {
        self.distance
    }

    /// The link's angles with those of the two axes put in.
    pub(super) fn angles(&self, [outer, inner]: [f64; 2]) -> [f64; 3] {
        let mut angles = self.link.angles;
        (angles[self.axes[0]], angles[self.axes[1]]) = (outer, inner);
        angles
    }

    /// Turns `v` by both axes.
    pub(super) fn turn(&self, [outer, inner]: [f64; 2], v: Vec3) -> Vec3 {
        let (s, c) = libm::sincos(inner);
        let (x, y, z) = (v.x * c + v.z * s, v.y, v.z * c - v.x * s);
        let (s, c) = libm::sincos(outer);
        Vec3::new(x, y * c - z * s, y * s + z * c)
    }

    /// Angles within the limits that point `pad` exactly at the target, if any do; of two
    /// ways the one nearer the channel pose.
    ///
    /// With both directions seen between the two turns, the part along the outer axis is the
    /// target's and the part along the inner axis is the pad's; the third follows up to its
    /// sign (subproblem 2 of Paden and Kahan, for square axes; from memory).
    pub(super) fn point(&self, pad: &Vec3) -> Option<Aim> {
        let (x, y) = (self.target.x / self.distance, pad.y / pad.norm());
        // 1 − x² by the target's distance from the outer axis, which keeps its digits there.
        let off = self.off / self.distance;
        let left = off - libm::fabs(y);
        // A target at the joint itself has no direction.
        if left.is_nan() || left < -ON_AXIS {
            return None;
        }
        let z = if left > 0.0 {
            libm::sqrt(left * (off + libm::fabs(y)))
        } else {
            0.0
        };
        let ways = [z, -z].map(|z| self.way(pad, x, y, z));
        let [first, second] = ways.map(|way| {
            let off: f64 = way
                .iter()
                .zip(self.kept)
                .map(|(angle, kept)| (angle.0 - kept) * (angle.0 - kept))
                .sum();
            (way[0].1 == 0.0 && way[1].1 == 0.0).then_some((off, [way[0].0, way[1].0]))
        });
        let angles = match (first, second) {
            (Some(first), Some(second)) if second.0 < first.0 => second.1,
            (Some(way), _) | (None, Some(way)) => way.1,
            (None, None) => return None,
        };
        Some(self.aim(pad, angles))
    }

    /// Angles, with how far outside its limits each had been.
    fn way(&self, pad: &Vec3, x: f64, y: f64, z: f64) -> [(f64, f64); 2] {
        [
            self.within(0, self.outer(y, z)),
            self.within(1, self.inner(pad, x, z)),
        ]
    }

    /// The outer angle that brings the target beside (y, z), as far as that can be said.
    fn outer(&self, y: f64, z: f64) -> f64 {
        if self.off <= ON_AXIS * self.distance || (y == 0.0 && z == 0.0) {
            self.kept[0]
        } else {
            between(y, z, self.target.y, self.target.z)
        }
    }

    /// The inner angle that brings the pad beside (x, z), as far as that can be said.
    fn inner(&self, pad: &Vec3, x: f64, z: f64) -> f64 {
        if (pad.x == 0.0 && pad.z == 0.0) || (x == 0.0 && z == 0.0) {
            self.kept[1]
        } else {
            between(x, z, pad.x, pad.z)
        }
    }

    /// The angle within its limits, of equal ones the nearest to the channel's.
    fn within(&self, which: usize, angle: f64) -> (f64, f64) {
        let by = angle - self.kept[which];
        let by = if libm::fabs(by) > PI {
            libm::remainder(by, TAU)
        } else {
            by
        };
        link::nearest(self.kept[which] + by, self.limits[which])
    }

    fn aim(&self, pad: &Vec3, angles: [f64; 2]) -> Aim {
        Aim {
            angles,
            error: self.turn(angles, *pad) - self.target,
        }
    }

    /// Angles within the limits that bring `pad` nearest to the target. The squared distance
    /// has, on each face of the two limits, one least place in closed form: inside, the exact
    /// aim or, if the pad cannot be turned that far, as far as it goes in the plane of the two
    /// axes; on an edge the angle facing the target, stopped at its own limits.
    pub(super) fn nearest(&self, pad: &Vec3) -> Aim {
        if let Some(aim) = self.point(pad) {
            return aim;
        }
        let mut best = self.facing(pad);
        let mut least = best.error.norm_squared();
        let mut offer = |aim: Aim| {
            let cost = aim.error.norm_squared();
            if cost < least {
                (best, least) = (aim, cost);
            }
        };
        for outer in [self.limits[0].0, self.limits[0].1] {
            if outer.is_finite() {
                // The target with the outer turn taken back.
                let (s, c) = libm::sincos(outer);
                let aside = self.target.z * c - self.target.y * s;
                let inner = self.inner(pad, self.target.x, aside);
                offer(self.aim(pad, [outer, self.within(1, inner).0]));
            }
        }
        for inner in [self.limits[1].0, self.limits[1].1] {
            if inner.is_finite() {
                let (s, c) = libm::sincos(inner);
                let outer = self.outer(pad.y, pad.z * c - pad.x * s);
                offer(self.aim(pad, [self.within(0, outer).0, inner]));
            }
        }
        best
    }

    /// The best aim in the plane of the two axes, brought within the limits.
    fn facing(&self, pad: &Vec3) -> Aim {
        let outer = self.outer(pad.y, 0.0);
        let inner = self.inner(pad, self.target.x, 0.0);
        self.aim(pad, [self.within(0, outer).0, self.within(1, inner).0])
    }
}

/// The angle from (a, b) to (c, d): one arctangent, so that mirroring only changes its sign.
fn between(a: f64, b: f64, c: f64, d: f64) -> f64 {
    libm::atan2(a * d - b * c, a * c + b * d)
}
