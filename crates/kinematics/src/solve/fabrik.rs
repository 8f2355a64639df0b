//! Forward and backward reaching: Aristidou & Lasenby, "FABRIK: a fast, iterative solver
//! for the inverse kinematics problem", Graphical Models 73 (2011).
use super::task::Task;
use super::{damped, link};
use crate::Vec3;

/// Moves the joints' places, keeping bone lengths, until the end is at the target, then
/// turns the links down the chain by smallest rotations. With limits every round is
/// turned and clamped, and the next starts from where the joints then are.
///
/// Rounds gain little where the chain must stretch, fold or stay within limits: what they leave
/// is finished by one damped descent from where they stand.
pub(super) fn solve(task: &mut Task, iterations: u32, tolerance: f64) -> u32 {
    let limited = task.scratch.links.iter().any(|link| !link.unlimited);
    read_points(task);
    unkink(task);
    let mut best = task.residual();
    if limited {
        damped::keep(task);
    }
    for used in 0..iterations {
        let error = task.target - task.scratch.points[task.scratch.points.len() - 1];
        if error.norm() <= tolerance {
            if !limited {
                turn_links(task);
            }
            return used;
        }
        reach(task);
        if limited {
            turn_links(task);
            read_points(task);
            let residual = task.residual();
            if residual < best {
                best = residual;
                damped::keep(task);
            }
        }
    }
    if limited {
        damped::recall(task);
    } else {
        turn_links(task);
    }
    iterations + damped::refine(task, iterations, tolerance)
}

/// Length of the bone below link `index`.
fn bone(task: &Task, index: usize) -> f64 {
    match task.scratch.links.get(index + 1) {
        Some(next) => next.offset.translation.vector.norm(),
        None => task.tip.norm(),
    }
}

/// Takes the joints' places, then the end's, from the links.
fn read_points(task: &mut Task) {
    let end = task.end();
    let scratch = &mut *task.scratch;
    scratch.points.clear();
    scratch
        .points
        .extend(scratch.links.iter().map(|link| link.origin()));
    scratch.points.push(end);
}

/// A chain that lies along the line to its target would only slide along it: its joints
/// are set aside a little, about the base's hinge if it has one.
fn unkink(task: &mut Task) {
    let root = task.scratch.points[0];
    let (along, length) = (task.target - root, task.length());
    if along.norm() >= length {
        return;
    }
    let line = along
        .try_normalize(0.0)
        .unwrap_or_else(|| task.end() - root);
    let off = |point: &Vec3| line.cross(&(point - root)).norm();
    if task
        .scratch
        .points
        .iter()
        .any(|point| off(point) > 1e-9 * length)
    {
        return;
    }
    let base = &task.scratch.links[0];
    let axis = base.hinge().map(|hinge| base.axis(hinge));
    let aside = match axis.and_then(|axis| link::without(&axis.cross(&line), &line)) {
        Some(aside) => aside,
        None => link::perpendicular(&line, &base.frame.rotation),
    };
    let count = task.scratch.points.len();
    for index in 1..count - 1 {
        let by = 1e-3 * bone(task, index - 1);
        task.scratch.points[index] += aside * by;
    }
}

/// One round: from the target back to the base, and from the base out again.
fn reach(task: &mut Task) {
    let last = task.scratch.links.len();
    let root = task.scratch.points[0];
    task.scratch.points[last] = task.target;
    for index in (0..last).rev() {
        let length = bone(task, index);
        let points = &mut task.scratch.points;
        points[index] = toward(points[index + 1], points[index], length);
    }
    task.scratch.points[0] = root;
    for index in 0..last {
        let length = bone(task, index);
        let points = &mut task.scratch.points;
        points[index + 1] = toward(points[index], points[index + 1], length);
    }
}

/// The point `length` from `from` on the way to `to`.
fn toward(from: Vec3, to: Vec3, length: f64) -> Vec3 {
    let way = to - from;
    let size = way.norm();
    if size > 0.0 {
        from + way * (length / size)
    } else {
        from
    }
}

/// Turns each link in order so that the next joint comes to its point.
fn turn_links(task: &mut Task) {
    for index in 0..task.scratch.links.len() {
        let links = &mut task.scratch.links;
        link::settle(links, index);
        let carried = match links.get(index + 1) {
            Some(next) => next.offset.translation.vector,
            None => task.tip,
        };
        let link = &mut links[index];
        let (from, to) = (
            link.turned * carried,
            task.scratch.points[index + 1] - link.origin(),
        );
        link.turn_towards(&from, &to, None);
    }
}
