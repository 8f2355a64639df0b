//! Small mechanisms the tests share.
#![allow(dead_code)]
use kinematics::{
    Anchor, Channel, Mechanism, Node, Order, Pose, Rotation, Solver, Transform, Vec3,
};

pub const FREE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);
pub const LOCKED: (f64, f64) = (0.0, 0.0);

/// A node at `at` from its parent, turned there by `turn`, with the given turn limits.
pub fn node(parent: Option<usize>, at: [f64; 3], limits: [(f64, f64); 3]) -> Node {
    Node {
        parent,
        rest: Transform::from_parts(Vec3::from(at).into(), Rotation::identity()),
        order: Order::Xyz,
        limits: [limits[0], limits[1], limits[2], FREE, FREE, FREE],
    }
}

pub fn ball(parent: Option<usize>, at: [f64; 3]) -> Node {
    node(parent, at, [FREE; 3])
}

/// Free about z only.
pub fn hinge(parent: Option<usize>, at: [f64; 3]) -> Node {
    node(parent, at, [LOCKED, LOCKED, FREE])
}

pub fn mount(parent: Option<usize>, at: [f64; 3]) -> Node {
    node(parent, at, [LOCKED; 3])
}

pub fn anchor(base: usize, end: usize, target: usize, solver: Solver) -> Anchor {
    Anchor {
        base,
        end,
        target,
        solver,
    }
}

pub fn two_bone(bend: Vec3) -> Solver {
    Solver::TwoBone {
        pole: None,
        softness: 0.0,
        bend,
    }
}

pub fn set_turns(pose: &mut Pose, node: usize, turns: [f64; 3]) {
    for (channel, turn) in Channel::ALL.into_iter().zip(turns) {
        pose.set_channel(node, channel, turn);
    }
}

pub fn place(pose: &Pose, node: usize) -> Vec3 {
    pose.world(node).translation.vector
}

/// Moves a root node to a place, and evaluates.
pub fn send(mechanism: &Mechanism, pose: &mut Pose, node: usize, to: Vec3) {
    let rest = mechanism.nodes()[node].rest.translation.vector;
    for axis in 0..3 {
        pose.set_channel(node, Channel::ALL[3 + axis], to[axis] - rest[axis]);
    }
    mechanism.evaluate(pose);
}

/// The same channel values with every anchor let go.
pub fn pose_without_anchors(mechanism: &Mechanism, pose: &Pose) -> Pose {
    let mut pose = pose.clone();
    for anchor in 0..mechanism.anchors().len() {
        pose.set_active(anchor, false);
    }
    mechanism.evaluate(&mut pose);
    pose
}
