//! Jacobian measures of an anchored chain in its evaluated pose.
use super::link::Link;
use crate::{Mechanism, Pose, Transform, Vec3};
use alloc::vec::Vec;

/// Below this, relative to the largest, a length counts as nothing.
const NOTHING: f64 = 1e-9;

/// One free turn channel: its world axis, and how the end moves per radian.
struct Arm {
    joint: usize,
    axis: Vec3,
    motion: Vec3,
}

/// Least singular value of the chain's position Jacobian, mm/rad, over the free turn
/// channels. When all axes are parallel the task space is their common plane (two rows).
///
/// 0 where the anchor turns nothing, as one that sets a hand down does.
///
/// Found by one-sided Jacobi rotations (Golub & Van Loan, Matrix Computations, from
/// memory), which keep a small value's own accuracy.
pub fn least_singular_value(mechanism: &Mechanism, pose: &Pose, anchor: usize) -> f64 {
    let arms = arms(mechanism, pose, anchor);
    let Some(first) = arms.first().map(|arm| arm.axis) else {
        return 0.0;
    };
    let parallel = arms
        .iter()
        .all(|arm| arm.axis.cross(&first).norm() < NOTHING);
    let mut basis: Vec<Vec3> = if parallel {
        let u = super::link::perpendicular(&first, &crate::Rotation::identity());
        alloc::vec![u, first.cross(&u)]
    } else {
        alloc::vec![Vec3::x(), Vec3::y(), Vec3::z()]
    };
    // Few channels: their columns are the shorter side, else the rows.
    let mut sides: Vec<Vec<f64>> = if arms.len() < basis.len() {
        arms.iter()
            .map(|arm| basis.iter().map(|row| row.dot(&arm.motion)).collect())
            .collect()
    } else {
        basis
            .drain(..)
            .map(|row| arms.iter().map(|arm| row.dot(&arm.motion)).collect())
            .collect()
    };
    orthogonalise(&mut sides);
    sides
        .iter()
        .map(|side| libm::sqrt(dot(side, side)))
        .fold(
            f64::INFINITY,
            |least, size| if size < least { size } else { least },
        )
}

/// How many radians the middle joint of a two-bone chain turns per mm that the target
/// is brought nearer, in the evaluated pose: 1/(L·sin(φ/2)) for two bones of length L
/// at bend φ; infinite when straight (docs/mathematics.md 3).
///
/// A chain of another number of bones has no one middle joint: there it is the least
/// joint motion, as the root of the sum of squares, that brings the end nearer the base
/// by a millimetre (1/‖Jᵀu‖, u from end to base), infinite when none does.
pub fn bend_gain(mechanism: &Mechanism, pose: &Pose, anchor: usize) -> f64 {
    let joints = mechanism.chain(anchor);
    let place = |joint: usize| pose.world[joint].translation.vector;
    let (base, end) = (place(joints[0]), place(joints[joints.len() - 1]));
    let inward = base - end;
    let distance = inward.norm();
    let arms = arms(mechanism, pose, anchor);
    let length: f64 = joints
        .windows(2)
        .map(|pair| (place(pair[1]) - place(pair[0])).norm())
        .sum();
    let rate = if joints.len() == 3 {
        let middle = place(joints[1]);
        let (u, v) = (middle - base, end - middle);
        let normal = u.cross(&v);
        let size = normal.norm();
        if size <= NOTHING * u.norm() * v.norm() {
            return f64::INFINITY;
        }
        // The middle joint's own axis if it has just one, else the normal of the bend.
        let mut own = arms.iter().filter(|arm| arm.joint == joints[1]);
        let axis = match (own.next(), own.next()) {
            (Some(only), None) => only.axis,
            _ => normal / size,
        };
        libm::fabs(axis.cross(&v).dot(&inward)) / distance
    } else {
        // Of all motions with inward speed 1 the least is along the gradient of distance.
        let squares: f64 = arms
            .iter()
            .map(|arm| arm.motion.dot(&inward))
            .map(|pull| pull * pull)
            .sum();
        libm::sqrt(squares) / distance
    };
    if rate > NOTHING * length {
        1.0 / rate
    } else {
        f64::INFINITY
    }
}

/// Every free turn channel of the chain, base first.
fn arms(mechanism: &Mechanism, pose: &Pose, anchor: usize) -> Vec<Arm> {
    let joints = mechanism.chain(anchor);
    let (&end, turning) = joints.split_last().expect("a chain has an end");
    let end = pose.world[end].translation.vector;
    let mut arms = Vec::with_capacity(3 * turning.len());
    for &joint in turning {
        let node = &mechanism.nodes[joint];
        let above = node
            .parent
            .map_or(Transform::identity(), |parent| pose.world[parent]);
        let mut link = Link::new(node, &pose.channels[joint], above);
        link.angles = mechanism.turns(pose, joint);
        let arm = end - pose.world[joint].translation.vector;
        for axis in (0..3).filter(|&axis| link.is_free(axis)) {
            let axis = link.axis(axis);
            arms.push(Arm {
                joint,
                axis,
                motion: axis.cross(&arm),
            });
        }
    }
    arms
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Turns pairs of vectors in their common plane until all are square to each other;
/// their lengths are then the singular values.
fn orthogonalise(sides: &mut [Vec<f64>]) {
    for _ in 0..30 {
        let mut settled = true;
        for i in 0..sides.len() {
            for j in i + 1..sides.len() {
                let (a, b, c) = (
                    dot(&sides[i], &sides[i]),
                    dot(&sides[j], &sides[j]),
                    dot(&sides[i], &sides[j]),
                );
                if libm::fabs(c) <= 1e-16 * libm::sqrt(a * b) {
                    continue;
                }
                settled = false;
                let (sin, cos) = libm::sincos(0.5 * libm::atan2(2.0 * c, a - b));
                for k in 0..sides[i].len() {
                    let (x, y) = (sides[i][k], sides[j][k]);
                    (sides[i][k], sides[j][k]) = (cos * x + sin * y, cos * y - sin * x);
                }
            }
        }
        if settled {
            break;
        }
    }
}
