//! Gauges of joints and of how a node turns.
use crate::posed::DEGREES;
use crate::{Dial, Kind, Node, NodeId, Posed, Rig};
use std::f64::consts::PI;

/// Half the width of a rate's difference, in the dial's unit.
const NUDGE: f64 = 1e-3;

/// Angle between the bone in and the bone out, degrees. Bones run between joints; mounts on the
/// way are passed over.
pub(super) fn bend(posed: &Posed, node: &Node) -> Result<f64, String> {
    let rig = posed.rig();
    let above = std::iter::successors(node.parent, |&p| rig.node(p).and_then(|n| n.parent));
    let into = above
        .filter_map(|id| rig.node(id))
        .find(|n| n.kind == Kind::Joint);
    let out = first_joint_below(rig, node.id);
    let (Some(into), Some(out)) = (into, out) else {
        return Err(format!(
            "'{}' has no bone on both sides to measure a bend between",
            node.name
        ));
    };
    let here = posed.point(node.id);
    let (bone_in, bone_out) = (here - posed.point(into.id), posed.point(out) - here);
    // By arctangent: an arccosine loses half the digits near a straight chain.
    let turn = libm::atan2(bone_in.cross(&bone_out).norm(), bone_in.dot(&bone_out));
    Ok(turn * DEGREES)
}

fn first_joint_below(rig: &Rig, id: NodeId) -> Option<NodeId> {
    let mut below: Vec<_> = rig.children(Some(id)).collect();
    below.reverse();
    while let Some(node) = below.pop() {
        if node.kind == Kind::Joint {
            return Some(node.id);
        }
        let nearer = below.len();
        below.extend(rig.children(Some(node.id)));
        below[nearer..].reverse();
    }
    None
}

/// The twist about a world axis of the turn from one pose to another, degrees in (−180, 180]:
/// the swing-twist split, whose twist keeps the quaternion's part along the axis.
pub(super) fn tilt(from: &Posed, to: &Posed, node: NodeId, axis: usize) -> f64 {
    let turn = to.world(node).rotation * from.world(node).rotation.inverse();
    let sign = if axis < 3 { 1.0 } else { -1.0 };
    let half = libm::atan2(sign * turn.coords[axis % 3], turn.coords.w);
    let twist = 2.0 * half;
    let wrapped = if twist > PI {
        twist - 2.0 * PI
    } else if twist <= -PI {
        twist + 2.0 * PI
    } else {
        twist
    };
    wrapped * DEGREES
}

pub(super) fn rate(posed: &Posed, node: NodeId, axis: usize, dial: &Dial) -> f64 {
    let nudged = |by: f64| {
        let mut nudged = posed.clone();
        nudged.set_dial(dial.id, posed.dial(dial.id) + by);
        nudged.evaluate();
        nudged
    };
    let (low, high) = (nudged(-NUDGE), nudged(NUDGE));
    let width = high.dial(dial.id) - low.dial(dial.id);
    if width > 0.0 {
        tilt(&low, &high, node, axis) / width
    } else {
        0.0
    }
}
