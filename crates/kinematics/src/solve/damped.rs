//! Damped least squares with joint limits.
//!
//! Levenberg–Marquardt descent on the distance from end to target over the free turn
//! channels. The damping is proportional to the squared residual, as in Sugihara,
//! "Solvability-unconcerned inverse kinematics by the Levenberg–Marquardt method",
//! IEEE Trans. Robotics 27 (2011), with an adaptive factor; the task-space form
//! `Jᵀ(JJᵀ + μI)⁻¹e` is Buss, "Introduction to inverse kinematics with Jacobian
//! transpose, pseudoinverse and damped least squares methods" (2004).
//! A channel at a bound that the descent would push through is held there (active set).
use super::boxed::{self, Pace, Unknown, Valley};
use super::link;
use super::task::{Column, Task};
use crate::Vec3;
use core::f64::consts::PI;
use nalgebra::Matrix3;

/// Sugihara's own factor. A smaller one starts with long steps that bounce between limits:
/// near targets then end in far poses.
const FIRST_DAMPING: f64 = 0.5;
/// Damping floor, as a part of the squared chain length: a planar chain cannot leave
/// its plane, and the matrix must still have an inverse.
const FLOOR: f64 = 1e-15;
/// Other starts tried when the first ends short of a target that may be in reach.
const RESTARTS: u64 = 12;

/// Descends from the channel pose; if that ends short of the target, from other seeds
/// always the same, and keeps the best.
pub(super) fn solve(task: &mut Task, iterations: u32, tolerance: f64) -> u32 {
    gather(task);
    let mut used = descend(task, iterations, tolerance);
    if !may_reach(task) {
        return used;
    }
    let mut best = task.residual();
    for attempt in 0..RESTARTS {
        if best <= tolerance {
            break;
        }
        if attempt == 0 {
            keep(task);
        }
        seed(task, attempt);
        used += descend(task, iterations, tolerance);
        let residual = task.residual();
        // A hair's gain is no reason to jump to another pose.
        if residual < best - 0.5 * tolerance {
            best = residual;
            keep(task);
        }
        if attempt + 1 == RESTARTS || best <= tolerance {
            recall(task);
        }
    }
    used
}

/// Descends from the angles the links have, without restarts.
pub(super) fn refine(task: &mut Task, iterations: u32, tolerance: f64) -> u32 {
    gather(task);
    descend(task, iterations, tolerance)
}

/// Lists the free channels and brings them within their limits.
fn gather(task: &mut Task) {
    let scratch = &mut *task.scratch;
    scratch.columns.clear();
    for (index, link) in scratch.links.iter_mut().enumerate() {
        link.tighten();
        let mut angles = link.angles;
        for axis in (0..3).filter(|&axis| link.is_free(axis)) {
            if !link.unlimited {
                angles[axis] = link::nearest(angles[axis], link.limits[axis]).0;
            }
            scratch.columns.push(Column {
                link: index,
                axis,
                arm: Vec3::zeros(),
            });
        }
        link.set_angles(angles);
    }
    link::settle(&mut scratch.links, 0);
}

/// Whether distance alone does not rule the target out.
fn may_reach(task: &Task) -> bool {
    let links = &task.scratch.links;
    let distance = (task.target - links[0].origin()).norm();
    let bones = links
        .iter()
        .skip(1)
        .map(|link| link.offset.translation.vector.norm());
    let longest = bones.fold(
        task.tip.norm(),
        |most, bone| if bone > most { bone } else { most },
    );
    let length = task.length();
    distance <= length && distance >= 2.0 * longest - length
}

/// Remembers the links' angles.
pub(super) fn keep(task: &mut Task) {
    let scratch = &mut *task.scratch;
    scratch.best.clear();
    scratch
        .best
        .extend(scratch.links.iter().map(|link| link.angles));
}

/// Goes back to the angles remembered.
pub(super) fn recall(task: &mut Task) {
    let scratch = &mut *task.scratch;
    for (link, &angles) in scratch.links.iter_mut().zip(&scratch.best) {
        link.set_angles(angles);
    }
    link::settle(&mut scratch.links, 0);
}

/// Sets the start of one attempt: first a nudge off where the last descent stalled (a
/// straight chain pulled along itself has no slope to go down), then the middle of the
/// limits, then points scattered over them.
fn seed(task: &mut Task, attempt: u64) {
    let scratch = &mut *task.scratch;
    for (index, column) in scratch.columns.iter().enumerate() {
        let link = &mut scratch.links[column.link];
        let (mut min, mut max) = link.limits[column.axis];
        if min < -PI {
            min = -PI;
        }
        if max > PI {
            max = PI;
        }
        if min >= max {
            (min, max) = link.limits[column.axis];
        }
        let middle = 0.5 * (min + max);
        let now = link.angles[column.axis];
        let mut angles = link.angles;
        angles[column.axis] = match attempt {
            0 => {
                let away = if now > middle { -0.1 } else { 0.1 };
                link::nearest(now + away, link.limits[column.axis]).0
            }
            1 => middle,
            _ => min + (max - min) * scatter(attempt << 32 | index as u64),
        };
        link.set_angles(angles);
    }
    link::settle(&mut scratch.links, 0);
}

/// A fixed number in [0, 1) for each key: the SplitMix64 mixer (Steele et al. 2014).
fn scatter(key: u64) -> f64 {
    let mut z = key.wrapping_add(1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
}

/// One descent; returns the iterations used.
fn descend(task: &mut Task, iterations: u32, tolerance: f64) -> u32 {
    let mut unknowns = core::mem::take(&mut task.scratch.unknowns);
    unknowns.clear();
    unknowns.extend(task.scratch.columns.iter().map(|column| {
        let link = &task.scratch.links[column.link];
        Unknown {
            at: link.angles[column.axis],
            bounds: if link.unlimited {
                (f64::NEG_INFINITY, f64::INFINITY)
            } else {
                link.limits[column.axis]
            },
            ..Unknown::default()
        }
    }));
    let mut reach = Reach {
        length: task.length(),
        left: task.target - task.end(),
        error: Vec3::zeros(),
        task,
        tolerance,
        cost: 0.0,
    };
    let pace = Pace {
        tries: iterations,
        first: FIRST_DAMPING,
        raise: (8.0, 0.0),
        ease: [4.0, 1.0, 0.2],
        longest: f64::INFINITY,
        still: -1.0,
        flat: 1e-15,
    };
    let used = boxed::descend(&mut reach, &mut unknowns, &pace);
    task.scratch.unknowns = unknowns;
    used
}

/// The squared distance from end to target.
struct Reach<'a, 'b> {
    task: &'a mut Task<'b>,
    length: f64,
    tolerance: f64,
    /// From the end to the target where the chain is.
    left: Vec3,
    /// The same where the model was made, and its square.
    error: Vec3,
    cost: f64,
}

impl Valley for Reach<'_, '_> {
    fn cost(&mut self, unknowns: &[Unknown]) -> f64 {
        let scratch = &mut *self.task.scratch;
        for (column, unknown) in scratch.columns.iter().zip(unknowns) {
            scratch.links[column.link].angles[column.axis] = unknown.to();
        }
        for link in &mut scratch.links {
            link.turn = link.order.compose(link.angles);
        }
        link::settle(&mut scratch.links, 0);
        self.left = self.task.target - self.task.end();
        self.left.norm_squared()
    }

    fn derive(&mut self, unknowns: &mut [Unknown]) -> Option<f64> {
        self.error = self.left;
        self.cost = self.error.norm_squared();
        if self.cost <= self.tolerance * self.tolerance {
            return None;
        }
        let end = self.task.end();
        let scratch = &mut *self.task.scratch;
        let mut slope = 0.0;
        for (column, unknown) in scratch.columns.iter_mut().zip(unknowns) {
            let link = &scratch.links[column.link];
            column.arm = link.axis(column.axis).cross(&(end - link.origin()));
            unknown.slope = -column.arm.dot(&self.error);
            if !unknown.is_pushed() && libm::fabs(unknown.slope) > slope {
                slope = libm::fabs(unknown.slope);
            }
        }
        let level = slope <= 1e-13 * self.length * libm::sqrt(self.cost);
        (!level).then_some(self.cost)
    }

    fn model(&mut self, unknowns: &mut [Unknown], damping: f64) -> bool {
        let damping = damping * self.cost + FLOOR * self.length * self.length;
        let columns = &self.task.scratch.columns;
        let mut square = Matrix3::from_diagonal_element(damping);
        let mut left = self.error;
        for (column, unknown) in columns.iter().zip(&*unknowns) {
            if unknown.held {
                left -= column.arm * unknown.step;
            } else {
                square += column.arm * column.arm.transpose();
            }
        }
        let Some(factors) = square.cholesky() else {
            return false;
        };
        factors.solve_mut(&mut left);
        for (column, unknown) in columns.iter().zip(unknowns) {
            if !unknown.held {
                unknown.step = column.arm.dot(&left);
            }
        }
        true
    }

    fn fall(&self, unknowns: &[Unknown]) -> f64 {
        let mut left = self.error;
        for (column, unknown) in self.task.scratch.columns.iter().zip(unknowns) {
            left -= column.arm * unknown.step;
        }
        self.cost - left.norm_squared()
    }
}
