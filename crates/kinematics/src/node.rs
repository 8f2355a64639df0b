//! A node: where it hangs, how it may turn.
use crate::{Order, Transform, Vec3};

/// A joint or a mount. Local transform =
/// `rest · translate(move) · turn(order)`, with the turns about the rest frame's axes.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Index of the parent; must be smaller than the node's own index.
    pub parent: Option<usize>,
    /// Offset from the parent when all channels are zero; its quaternion must be a unit.
    pub rest: Transform,
    /// Channel order.
    pub order: Order,
    /// Bounds (min, max) in radians or mm by [`crate::Channel`] index; used by the solvers
    /// and by [`crate::Pose::set_channel`] never: dials clamp themselves.
    /// min == max locks a turn for the solvers, at whatever value its channel has.
    /// Infinite bounds mean none.
    pub limits: [(f64, f64); 6],
}

impl Node {
    /// Whether a solver may turn the node at all.
    pub fn can_turn(&self) -> bool {
        (0..3).any(|axis| self.is_free(axis))
    }

    /// Whether a solver may turn the node about one of its axes.
    pub(crate) fn is_free(&self, axis: usize) -> bool {
        self.limits[axis].0 < self.limits[axis].1
    }

    /// The translation of the local transform: channels move the node along its rest axes.
    #[inline]
    pub(crate) fn offset(&self, channels: &[f64; 6]) -> Vec3 {
        let moved = Vec3::new(channels[3], channels[4], channels[5]);
        if moved == Vec3::zeros() {
            return self.rest.translation.vector;
        }
        self.rest.translation.vector + self.rest.rotation * moved
    }

    /// The local transform its channels give.
    #[inline]
    pub(crate) fn local(&self, channels: &[f64; 6]) -> Transform {
        let turn = [channels[0], channels[1], channels[2]];
        let rotation = self.order.compose_onto(self.rest.rotation, turn);
        Transform::from_parts(self.offset(channels).into(), rotation)
    }
}
