//! Small mechanisms the tests share.
#![allow(dead_code)]
use kinematics::{Anchor, Node, Order, Rotation, Solver, Transform, Vec3};

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
    Anchor { base, end, target, solver, active: true }
}

pub fn two_bone(bend: Vec3) -> Solver {
    Solver::TwoBone { pole: None, softness: 0.0, bend }
}
