//! The safest channel order of a joint.
use super::{NoAdvice, fault};
use rig::lock_margins;
use rig::{DEGREES, RADIANS};
use rig::{Fault, NodeId, Order, Rig};

/// Margins nearer to each other than this, degrees, are alike: a joint then keeps its order.
const ALIKE: f64 = 1e-3;

/// How near each channel order comes to gimbal lock over a joint's range of motion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Orders {
    /// The joint.
    pub node: NodeId,
    /// Its order now.
    pub own: Order,
    /// Least distance to gimbal lock of each of the six, degrees.
    pub margins: [(Order, f64); 6],
    /// The safest: its own where none is farther from lock.
    pub best: Order,
}

/// The six orders of a joint compared over its limits. A turn without limits may be anything, so
/// that every order can lock.
///
/// # Errors
/// When there is no such node, or none of its turns has room.
pub fn channel_orders(rig: &Rig, node: NodeId) -> Result<Orders, Fault<NoAdvice>> {
    let found = rig.node(node).ok_or_else(|| fault(NoAdvice::NoJoint))?;
    let whole = (-180.0, 180.0);
    let ranges = [0, 1, 2].map(|axis| found.limits[axis].unwrap_or(whole));
    if ranges.iter().all(|(min, max)| min == max) {
        return Err(fault(NoAdvice::Stiff(found.name.clone())));
    }
    let ranges = ranges.map(|(min, max)| (min * RADIANS, max * RADIANS));
    let margins =
        lock_margins(found.order, ranges).map(|(order, margin)| (order, margin * DEGREES));
    let own = |order: &Order| *order == found.order;
    let mut best = margins.iter().find(|(order, _)| own(order)).copied();
    for &(order, margin) in &margins {
        if best.is_none_or(|(_, most)| margin > most + ALIKE) {
            best = Some((order, margin));
        }
    }
    Ok(Orders {
        node,
        own: found.order,
        margins,
        best: best.map_or(found.order, |(order, _)| order),
    })
}
