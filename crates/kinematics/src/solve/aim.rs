//! One bone: point it at the target.
use super::damped;
use super::task::Task;

/// Turns the joint by the smallest rotation that points the end at the target, twist
/// kept; about its hinge if it has but one free axis. The end then misses by
/// `| |p − A| − L |` (docs/mathematics.md 2). If limits keep the bone from pointing there, the
/// nearest place within them is sought by damped descent.
pub(super) fn solve(task: &mut Task) -> u32 {
    let link = &mut task.scratch.links[0];
    let (from, to) = (link.turned * task.tip, task.target - link.origin());
    link.turn_towards(&from, &to, None);
    if link.unlimited || link.hinge().is_some() {
        return 0;
    }
    let (length, distance) = (from.norm(), to.norm());
    let slip = libm::fabs(length - distance);
    if task.residual() <= slip + 1e-12 * (length + distance) {
        return 0;
    }
    damped::refine(task, 100, 1e-13 * task.length())
}
