//! Rotation channels in six orders, and their distance to gimbal lock.
use crate::Rotation;
use core::f64::consts::{FRAC_PI_2, PI};
use nalgebra::{Quaternion, Unit};

/// One scalar freedom of a node. Turns are radians, moves are mm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[repr(u8)]
pub enum Channel {
    /// Turn about x.
    TurnX,
    /// Turn about y.
    TurnY,
    /// Turn about z.
    TurnZ,
    /// Move along x.
    MoveX,
    /// Move along y.
    MoveY,
    /// Move along z.
    MoveZ,
}

impl Channel {
    /// All six, in storage order.
    pub const ALL: [Self; 6] = [
        Self::TurnX,
        Self::TurnY,
        Self::TurnZ,
        Self::MoveX,
        Self::MoveY,
        Self::MoveZ,
    ];
    /// Index into a node's six channel values.
    pub const fn index(self) -> usize {
        self as usize
    }
    /// Whether this is a rotation.
    pub const fn is_turn(self) -> bool {
        (self as u8) < 3
    }
    /// Axis number 0, 1, 2 for x, y, z.
    pub const fn axis(self) -> usize {
        self as usize % 3
    }
}

/// The order in which three turns compose, outermost first: `Xyz` is
/// `Rx · Ry · Rz`, SciPy's intrinsic `'XYZ'`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Order {
    /// `Rx · Ry · Rz`.
    #[default]
    Xyz,
    /// `Rx · Rz · Ry`.
    Xzy,
    /// `Ry · Rx · Rz`.
    Yxz,
    /// `Ry · Rz · Rx`.
    Yzx,
    /// `Rz · Rx · Ry`.
    Zxy,
    /// `Rz · Ry · Rx`.
    Zyx,
}

/// Below this cosine of the middle turn the outer and inner axes are taken as one.
const LOCK: f64 = 1e-12;

impl Order {
    /// All six orders.
    pub const ALL: [Self; 6] = [
        Self::Xyz,
        Self::Xzy,
        Self::Yxz,
        Self::Yzx,
        Self::Zxy,
        Self::Zyx,
    ];

    /// Axis numbers, outermost first.
    pub const fn axes(self) -> [usize; 3] {
        match self {
            Self::Xyz => [0, 1, 2],
            Self::Xzy => [0, 2, 1],
            Self::Yxz => [1, 0, 2],
            Self::Yzx => [1, 2, 0],
            Self::Zxy => [2, 0, 1],
            Self::Zyx => [2, 1, 0],
        }
    }

    /// Composes turns given by axis (`angles[0]` is about x), radians.
    pub fn compose(self, angles: [f64; 3]) -> Rotation {
        self.compose_onto(Rotation::identity(), angles)
    }

    /// `start · compose(angles)`, skipping turns that are zero.
    #[inline(always)]
    pub(crate) fn compose_onto(self, start: Rotation, angles: [f64; 3]) -> Rotation {
        // Most joints are hinges: one turn needs no order.
        match angles {
            [x, 0.0, 0.0] => turned(start, 0, x),
            [0.0, y, 0.0] => turned(start, 1, y),
            [0.0, 0.0, z] => turned(start, 2, z),
            _ => self
                .axes()
                .into_iter()
                .fold(start, |q, axis| turned(q, axis, angles[axis])),
        }
    }

    /// Turns by axis that compose to `rotation`; the middle axis within ±π/2.
    /// At gimbal lock the innermost turn is zero.
    ///
    /// Read from the rotation matrix by three arctangents, the third after undoing
    /// the first, so that it stays accurate beside the lock (the usual
    /// Tait–Bryan extraction, e.g. Shoemake in Graphics Gems IV).
    pub fn decompose(self, rotation: &Rotation) -> [f64; 3] {
        let [i, j, k] = self.axes();
        let sign = if (i + 1) % 3 == j { 1.0 } else { -1.0 };
        let m = rotation.to_rotation_matrix();
        let cosine = libm::hypot(m[(i, i)], m[(i, j)]);
        let middle = libm::atan2(sign * m[(i, k)], cosine);
        let (outer, inner) = if cosine < LOCK {
            (libm::atan2(sign * m[(k, j)], m[(j, j)]), 0.0)
        } else {
            let outer = libm::atan2(-sign * m[(j, k)], m[(k, k)]);
            let (s, c) = libm::sincos(outer);
            let (s, row) = (sign * s, |column| (m[(j, column)], m[(k, column)]));
            let ((ji, ki), (jj, kj)) = (row(i), row(j));
            (
                outer,
                libm::atan2(sign * (c * ji + s * ki), c * jj + s * kj),
            )
        };
        let mut angles = [0.0; 3];
        angles[i] = outer;
        angles[j] = middle;
        angles[k] = inner;
        angles
    }

    /// The other turns by axis that compose to the same rotation.
    pub(crate) fn folded(self, angles: [f64; 3]) -> [f64; 3] {
        let [i, j, k] = self.axes();
        let mut other = angles;
        (other[i], other[j], other[k]) = (angles[i] + PI, PI - angles[j], angles[k] + PI);
        other
    }

    /// Radians between the middle turn and the nearest gimbal lock (±π/2).
    pub fn distance_to_lock(self, angles: [f64; 3]) -> f64 {
        FRAC_PI_2 - libm::fabs(libm::remainder(angles[self.axes()[1]], PI))
    }
}

/// `q` followed by a turn about its own `axis`: half the products of a general
/// quaternion product, and exactly `q` for a zero angle.
#[inline]
pub(crate) fn turned(q: Rotation, axis: usize, angle: f64) -> Rotation {
    if angle == 0.0 {
        return q;
    }
    let (s, c) = libm::sincos(0.5 * angle);
    let [x, y, z, w] = [q.i, q.j, q.k, q.w];
    let quaternion = match axis {
        0 => Quaternion::new(w * c - x * s, x * c + w * s, y * c + z * s, z * c - y * s),
        1 => Quaternion::new(w * c - y * s, x * c - z * s, y * c + w * s, z * c + x * s),
        _ => Quaternion::new(w * c - z * s, x * c + y * s, y * c - x * s, z * c + w * s),
    };
    Unit::new_unchecked(quaternion)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Vec3;
    use proptest::prelude::*;

    #[test]
    fn compose_is_outermost_first() {
        let angles = [0.3, -0.7, 1.1];
        let about = |axis: usize| Rotation::from_axis_angle(&Vec3::ith_axis(axis), angles[axis]);
        for order in Order::ALL {
            let [i, j, k] = order.axes();
            assert!(
                order
                    .compose(angles)
                    .angle_to(&(about(i) * about(j) * about(k)))
                    < 1e-14
            );
        }
    }

    #[test]
    fn locked_order_keeps_the_innermost_at_zero() {
        for order in Order::ALL {
            let [i, j, k] = order.axes();
            let mut angles = [0.0; 3];
            (angles[i], angles[j], angles[k]) = (0.4, FRAC_PI_2, 0.3);
            let rotation = order.compose(angles);
            let found = order.decompose(&rotation);
            assert!(order.distance_to_lock(found) < 1e-7);
            assert!(found[k].abs() < 1e-12, "{order:?} {found:?}");
            assert!(order.compose(found).angle_to(&rotation) < 1e-12);
        }
    }

    proptest! {
        #[test]
        fn decompose_inverts_compose(a in -3.1..3.1, b in -1.57..1.57, c in -3.1..3.1) {
            for order in Order::ALL {
                let [i, j, k] = order.axes();
                let mut angles = [0.0; 3];
                (angles[i], angles[j], angles[k]) = (a, b, c);
                let rotation = order.compose(angles);
                let found = order.decompose(&rotation);
                prop_assert!(order.compose(found).angle_to(&rotation) < 1e-14);
                let near = order.distance_to_lock(angles);
                for axis in 0..3 {
                    prop_assert!((found[axis] - angles[axis]).abs() * near < 1e-13);
                }
            }
        }
    }
}
