//! Where a digit's pad is, by how far its two hinges are flexed.
use super::link::Link;
use crate::{Rotation, Vec3, channel};

/// The pad's place in the frame of the digit's base joint, as the middle joint turns by m and
/// the last by l. By Rodrigues' formula, applied twice, it is a sum of nine fixed vectors,
/// whatever the rest pose of the three joints: `parts[i][j]` goes with the i-th of
/// 1, cos m, sin m and the j-th of 1, cos l, sin l.
#[derive(Clone, Debug, Default)]
pub(crate) struct Pad {
    parts: [[Vec3; 3]; 3],
    /// Squared distance from the base: the same sum with numbers.
    squares: [[f64; 3]; 3],
    /// No second derivative of half the squared distance, as a matrix, is longer than this.
    bend: f64,
}

/// The pad at one pair of turns, and how it moves per radian of each.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Place {
    pub(super) at: Vec3,
    pub(super) slopes: [Vec3; 2],
}

impl Pad {
    /// `seen` expresses vectors of the base joint's turned frame as the base solve wants them.
    pub(super) fn new(middle: &Link, last: &Link, tip: Vec3, seen: impl Fn(Vec3) -> Vec3) -> Self {
        let places = [middle, last].map(|link| link.offset.translation.vector);
        Self::sum(middle, last, (places, tip), seen)
    }

    /// The same for a direction of the last joint's frame, which has no place.
    pub(super) fn direction(
        middle: &Link,
        last: &Link,
        direction: Vec3,
        seen: impl Fn(Vec3) -> Vec3,
    ) -> Self {
        Self::sum(middle, last, ([Vec3::zeros(); 2], direction), seen)
    }

    fn sum(
        middle: &Link,
        last: &Link,
        ([from, between], tip): ([Vec3; 2], Vec3),
        seen: impl Fn(Vec3) -> Vec3,
    ) -> Self {
        let (axis, fixed) = hinge(middle);
        let (last_axis, last_fixed) = hinge(last);
        let arm = last_fixed * tip;
        let along = last_axis * last_axis.dot(&arm);
        let (axis, seen_fixed) = (seen(axis), |v: Vec3| seen(fixed * v));
        let base = seen(from);
        // From the middle joint to the pad at m = 0: still + cos l · level + sin l · lifted.
        let [still, level, lifted] = [
            seen_fixed(between + along),
            seen_fixed(arm - along),
            seen_fixed(last_axis.cross(&arm)),
        ];
        let arms = [still, level, lifted];
        let mut parts = arms.map(|arm| axis * axis.dot(&arm));
        let turned = arms.map(|arm| arm - axis * axis.dot(&arm));
        let across = arms.map(|arm| axis.cross(&arm));
        let mut squares = [parts, turned, across].map(|row| row.map(|part| 2.0 * base.dot(&part)));
        squares[0][0] += base.norm_squared() + still.norm_squared() + level.norm_squared();
        squares[0][1] += 2.0 * still.dot(&level);
        squares[0][2] += 2.0 * still.dot(&lifted);
        parts[0] += base;
        let (base, still, level) = (base.norm(), still.norm(), level.norm());
        let (by_middle, mixed, by_last) =
            (base * (still + level), base * level, (base + still) * level);
        Self {
            parts: [parts, turned, across],
            squares,
            bend: libm::sqrt(by_middle * by_middle + 2.0 * mixed * mixed + by_last * by_last),
        }
    }

    pub(super) fn bend(&self) -> f64 {
        self.bend
    }

    /// The turns of the other joint at which the squared distance is `wanted`, the middle one
    /// (0) or the last (1) turned to `at`: the one a wave, the other where it has that height.
    pub(super) fn crossings(&self, which: usize, at: f64, wanted: f64) -> [f64; 2] {
        let (s, c) = libm::sincos(at);
        let rows = self.squares;
        let [level, cosine, sine] = [0, 1, 2].map(|i| {
            let part = |j: usize| if which == 0 { rows[j][i] } else { rows[i][j] };
            part(0) + part(1) * c + part(2) * s
        });
        let (height, size) = (wanted - level, libm::sqrt(cosine * cosine + sine * sine));
        // Not numbers where the wave is not so high.
        let by = libm::atan2(libm::sqrt((size - height) * (size + height)), height);
        let top = libm::atan2(sine, cosine);
        [top + by, top - by]
    }

    /// The pad at the turns with these sines and cosines.
    #[inline]
    pub(super) fn place(&self, (sm, cm): (f64, f64), (sl, cl): (f64, f64)) -> Place {
        let [still, level, across] = self.parts;
        let rows = [still, level, across];
        let [b0, b1, b2] = rows.map(|[one, cos, sin]| one + cos * cl + sin * sl);
        let [d0, d1, d2] = rows.map(|[_, cos, sin]| sin * cl - cos * sl);
        Place {
            at: b0 + b1 * cm + b2 * sm,
            slopes: [b2 * cm - b1 * sm, d0 + d1 * cm + d2 * sm],
        }
    }

    /// How the slopes change: middle by middle, middle by last, last by last.
    pub(super) fn curves(&self, (sm, cm): (f64, f64), (sl, cl): (f64, f64)) -> [Vec3; 3] {
        let rows = self.parts;
        let [_, b1, b2] = rows.map(|[one, cos, sin]| one + cos * cl + sin * sl);
        let [_, d1, d2] = rows.map(|[_, cos, sin]| sin * cl - cos * sl);
        let [c0, c1, c2] = rows.map(|[_, cos, sin]| cos * cl + sin * sl);
        [
            -(b1 * cm + b2 * sm),
            d2 * cm - d1 * sm,
            -(c0 + c1 * cm + c2 * sm),
        ]
    }

    /// The squared distance from the base, and its first and second derivative as m turns by 1
    /// and l by `rate`.
    #[inline]
    pub(super) fn square(&self, (sm, cm): (f64, f64), (sl, cl): (f64, f64), rate: f64) -> [f64; 3] {
        let rows = self.squares;
        let [b0, b1, b2] = rows.map(|[one, cos, sin]| one + cos * cl + sin * sl);
        let [d0, d1, d2] = rows.map(|[_, cos, sin]| rate * (sin * cl - cos * sl));
        let [c0, c1, c2] = rows.map(|[_, cos, sin]| -rate * rate * (cos * cl + sin * sl));
        [
            b0 + b1 * cm + b2 * sm,
            d0 + (d1 + b2) * cm + (d2 - b1) * sm,
            c0 + (c1 + 2.0 * d2 - b1) * cm + (c2 - 2.0 * d1 - b2) * sm,
        ]
    }
}

/// Which way a digit's last bone and its two hinges point when those are not turned.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Frame {
    pub(super) hinges: [Vec3; 2],
    /// Out of the palm, along the bone to its end, and to the side of its z.
    pub(super) last: [Vec3; 3],
    /// From the base to the middle joint, and from that to the last.
    pub(super) joints: [Vec3; 2],
    /// From the last joint to the end, mm.
    pub(super) length: f64,
}

impl Frame {
    /// `seen` as for [`Pad::new`].
    pub(super) fn new(middle: &Link, last: &Link, tip: Vec3, seen: impl Fn(Vec3) -> Vec3) -> Self {
        let (axis, fixed) = hinge(middle);
        let (last_axis, last_fixed) = hinge(last);
        let joints = [
            seen(middle.offset.translation.vector),
            seen(fixed * last.offset.translation.vector),
        ];
        let last = [Vec3::x(), -Vec3::y(), Vec3::z()];
        Self {
            joints,
            length: tip.norm(),
            hinges: [seen(axis), seen(fixed * last_axis)],
            last: last.map(|v| seen(fixed * (last_fixed * v))),
        }
    }
}

/// Turned about a unit axis by the angle of this sine and cosine.
pub(super) fn rotated(axis: Vec3, (s, c): (f64, f64), v: Vec3) -> Vec3 {
    v * c + axis.cross(&v) * s + axis * (axis.dot(&v) * (1.0 - c))
}

/// A hinge's axis in the frame above it, and the rotation from its own frame to that one
/// when it is not turned: the joint's rotation is a turn about the first, then the second.
pub(super) fn hinge(link: &Link) -> (Vec3, Rotation) {
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
