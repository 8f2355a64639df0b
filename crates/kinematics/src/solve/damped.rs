//! Damped least squares with joint limits.
//!
//! Levenberg–Marquardt descent on the distance from end to target over the free turn
//! channels. The damping is proportional to the squared residual, as in Sugihara,
//! "Solvability-unconcerned inverse kinematics by the Levenberg–Marquardt method",
//! IEEE Trans. Robotics 27 (2011), with an adaptive factor; the task-space form
//! `Jᵀ(JJᵀ + μI)⁻¹e` is Buss, "Introduction to inverse kinematics with Jacobian
//! transpose, pseudoinverse and damped least squares methods" (2004).
//! A channel at a bound that the descent would push through is held there (active set).
use super::link;
use super::task::{Column, Task};
use core::f64::consts::PI;
use nalgebra::Matrix3;

/// Sugihara's own factor. A smaller one starts with long steps that bounce between limits:
/// near targets then end in far poses.
const FIRST_DAMPING: f64 = 0.5;
const MOST_DAMPING: f64 = 1e12;
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
pub(super) fn refine(task: &mut Task) -> u32 {
    gather(task);
    let tolerance = 1e-13 * task.length();
    descend(task, 100, tolerance)
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
                ..Column::default()
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
    let length = task.length();
    let mut damping = FIRST_DAMPING;
    let mut error = task.target - task.end();
    let mut fresh = true;
    for used in 0..iterations {
        let cost = error.norm_squared();
        if cost <= tolerance * tolerance || damping > MOST_DAMPING {
            return used;
        }
        let end = task.end();
        let scratch = &mut *task.scratch;
        if fresh {
            let mut slope = 0.0;
            for column in &mut scratch.columns {
                let link = &scratch.links[column.link];
                column.arm = link.axis(column.axis).cross(&(end - link.origin()));
                column.kept = link.angles[column.axis];
                column.pull = column.arm.dot(&error);
                let (min, max) = link.limits[column.axis];
                let pushed = (column.kept <= min && column.pull < 0.0)
                    || (column.kept >= max && column.pull > 0.0);
                if !pushed && libm::fabs(column.pull) > slope {
                    slope = libm::fabs(column.pull);
                }
            }
            if slope <= 1e-13 * length * libm::sqrt(cost) {
                return used;
            }
        }
        let gain = step(task, error, damping * cost + FLOOR * length * length);
        let after = task.target - task.end();
        let won = cost - after.norm_squared();
        fresh = won > 0.0;
        if fresh {
            error = after;
            let ratio = won / gain;
            damping = if ratio > 0.75 {
                0.2 * damping
            } else if ratio < 0.25 {
                4.0 * damping
            } else {
                damping
            };
            if won <= 1e-15 * cost {
                return used + 1;
            }
        } else {
            damping *= 8.0;
            for index in 0..task.scratch.columns.len() {
                let column = task.scratch.columns[index];
                let link = &mut task.scratch.links[column.link];
                link.angles[column.axis] = column.kept;
            }
            apply(task);
        }
    }
    iterations
}

/// Takes one damped step within the limits; returns the gain its linear model predicts.
fn step(task: &mut Task, error: crate::Vec3, damping: f64) -> f64 {
    let scratch = &mut *task.scratch;
    let (links, columns) = (&mut scratch.links, &mut scratch.columns);
    for column in columns.iter_mut() {
        let (min, max) = links[column.link].limits[column.axis];
        column.held =
            (column.kept <= min && column.pull < 0.0) || (column.kept >= max && column.pull > 0.0);
        column.step = 0.0;
    }
    // Each round either ends or holds one channel more.
    loop {
        let mut square = Matrix3::from_diagonal_element(damping);
        let mut left = error;
        for column in columns.iter() {
            if column.held {
                left -= column.arm * column.step;
            } else {
                square += column.arm * column.arm.transpose();
            }
        }
        let Some(factors) = square.cholesky() else {
            break;
        };
        let pull = factors.solve(&left);
        let mut stopped = false;
        for column in columns.iter_mut().filter(|column| !column.held) {
            let (min, max) = links[column.link].limits[column.axis];
            column.step = column.arm.dot(&pull);
            let aim = column.kept + column.step;
            if aim < min || aim > max {
                column.step = if aim < min { min } else { max } - column.kept;
                column.held = true;
                stopped = true;
            }
        }
        if !stopped {
            break;
        }
    }
    let mut left = error;
    for column in columns.iter() {
        left -= column.arm * column.step;
        let link = &mut links[column.link];
        let (min, max) = link.limits[column.axis];
        link.angles[column.axis] = link::inside(column.kept + column.step, min, max);
    }
    apply(task);
    error.norm_squared() - left.norm_squared()
}

/// Carries changed angles through to the frames.
fn apply(task: &mut Task) {
    for link in &mut task.scratch.links {
        link.turn = link.order.compose(link.angles);
    }
    link::settle(&mut task.scratch.links, 0);
}
