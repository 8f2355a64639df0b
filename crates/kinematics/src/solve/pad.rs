//! Where a finger's pad is, by how far the finger is flexed.
use super::link::Link;
use crate::{Rotation, Vec3, channel};

/// The pad's place in the frame of the finger's base joint, as the middle joint turns by
/// q and the last by c·q. By Rodrigues' formula it is made of five fixed vectors and the
/// sines and cosines of the two angles, whatever the rest pose of the three joints.
pub(super) struct Pad {
    middle: Vec3,
    /// Axis of the middle joint.
    axis: Vec3,
    /// From the middle joint to the pad at q = 0: `still + cos d · level + sin d · lifted`.
    still: Vec3,
    level: Vec3,
    lifted: Vec3,
    coupling: f64,
    last: (f64, f64),
}

/// The pad at one flexion, and how it moves per radian of q.
#[derive(Clone, Copy)]
pub(super) struct Place {
    pub(super) at: Vec3,
    pub(super) slope: Vec3,
}

impl Place {
    /// Half the derivative of the squared distance from the base.
    pub(super) fn outward(&self) -> f64 {
        self.at.dot(&self.slope)
    }
}

impl Pad {
    /// `seen` expresses vectors of the base joint's turned frame as the base solve wants them.
    pub(super) fn new(
        middle: &Link,
        last: &Link,
        tip: Vec3,
        coupling: f64,
        seen: impl Fn(Vec3) -> Vec3,
    ) -> Self {
        let (axis, fixed) = hinge(middle);
        let (last_axis, last_fixed) = hinge(last);
        let arm = last_fixed * tip;
        let along = last_axis * last_axis.dot(&arm);
        let seen_fixed = |v: Vec3| seen(fixed * v);
        Self {
            middle: seen(middle.offset.translation.vector),
            axis: seen(axis),
            still: seen_fixed(last.offset.translation.vector + along),
            level: seen_fixed(arm - along),
            lifted: seen_fixed(last_axis.cross(&arm)),
            coupling,
            last: last.hinge().map_or((0.0, 0.0), |axis| last.limits[axis]),
        }
    }

    /// The last joint's angle at flexion q: c·q, stopped at its limits; at a limit when it is
    /// so but for rounding, for the end of [`Self::range`] is a quotient.
    pub(super) fn last(&self, q: f64) -> f64 {
        let (angle, (low, high)) = (self.coupling * q, self.last);
        let meets = |limit: f64| libm::fabs(angle - limit) <= 1e-15 * libm::fabs(limit);
        if angle <= low || meets(low) {
            low
        } else if angle >= high || meets(high) {
            high
        } else {
            angle
        }
    }

    /// The part of `range` in which the last joint keeps its limits. If none does, the last
    /// joint stands at its limit over all of it.
    pub(super) fn range(&self, (min, max): (f64, f64)) -> (f64, f64) {
        let (low, high) = self.last;
        let (a, b) = if self.coupling > 0.0 {
            (low / self.coupling, high / self.coupling)
        } else if self.coupling < 0.0 {
            (high / self.coupling, low / self.coupling)
        } else {
            return (min, max);
        };
        let (low, high) = (if a > min { a } else { min }, if b < max { b } else { max });
        if low <= high { (low, high) } else { (min, max) }
    }

    pub(super) fn at(&self, q: f64) -> Place {
        let last = self.last(q);
        let (s, c) = libm::sincos(last);
        let (sine, cosine) = libm::sincos(q);
        let turn = |v: Vec3| {
            let along = self.axis * self.axis.dot(&v);
            along + (v - along) * cosine + self.axis.cross(&v) * sine
        };
        let arm = turn(self.still + self.level * c + self.lifted * s);
        let bend = turn(self.lifted * c - self.level * s);
        // Stopped past its limit only where the coupling allows no flexion at all.
        let moving = libm::fabs(last - self.coupling * q) <= 1e-12;
        let rate = if moving { self.coupling } else { 0.0 };
        Place {
            at: self.middle + arm,
            slope: self.axis.cross(&arm) + bend * rate,
        }
    }
}

/// A hinge's axis in the frame above it, and the rotation from its own frame to that one
/// when it is not turned: the joint's rotation is a turn about the first, then the second.
fn hinge(link: &Link) -> (Vec3, Rotation) {
    let hinge = link.hinge();
    let (mut rotation, mut axis) = (link.offset.rotation, Vec3::zeros());
    for turn in link.order.axes() {
        if Some(turn) == hinge {
            axis = rotation * Vec3::ith(turn, 1.0);
        } else {
            rotation = channel::turned(rotation, turn, link.angles[turn]);
        }
    }
    (axis, rotation)
}
