//! One anchor's step: its chain gathered, solved, placed and measured.
use super::link::{self, Link};
use super::roll::unrolled::Unrolled;
use super::task::Task;
use super::{aim, damped, fabrik, set_down, turning, two_bone};
use crate::plan::Chain;
use crate::pose::Held;
use crate::{Mechanism, Outcome, Pose, Solver, Transform, Vec3};

/// Solves one anchor from its channel pose and writes its chain's local and world
/// transforms and its outcome.
#[inline(never)]
pub(crate) fn run(mechanism: &Mechanism, pose: &mut Pose, index: usize) {
    let anchor = &mechanism.anchors[index];
    if let Solver::SetDown { low } = &anchor.solver {
        return set_down::run(mechanism, pose, index, low);
    }
    let (chain, nodes) = (&mechanism.plan.chains[index], &mechanism.nodes);
    let mut outcome = Outcome::default();

    let Pose {
        channels,
        local,
        world,
        held,
        scratch,
        digits,
        ..
    } = pose;
    let (&end, above) = chain
        .path
        .split_last()
        .expect("a path has a base and an end");
    let parent = nodes[anchor.base].parent;
    let start = parent.map_or(Transform::identity(), |parent| world[parent]);
    let surface = world[anchor.target];
    let target = surface.translation.vector;
    let Held {
        active,
        mut hold,
        collapse,
    } = held[index];
    let mut active = active && hold > 0.0;
    scratch.links.clear();
    let contact = anchor.solver.rolling();

    let mut digit = digits[index]
        .as_deref_mut()
        .filter(|_| active || contact.is_some());
    if let Some(digit) = &mut digit {
        digit.update(chain, channels, (anchor.solver, collapse), |digit| {
            let mut joints = digit.iter_mut();
            gather(
                mechanism,
                chain,
                channels,
                local,
                Transform::identity(),
                |link| {
                    *joints
                        .next()
                        .expect("the plan admits digits with three joints only") = link;
                },
            )
        });
        let held = if active { hold } else { 0.0 };
        if let Some(contact) = &contact
            && let Some(rolled) = digit.roll(contact, &start.inv_mul(&surface), held)
        {
            digit.turn(rolled.angles);
            outcome.reach_margin = rolled.margin;
            outcome.iterations = rolled.iterations;
            outcome.limited = rolled.limited;
            (hold, active) = (rolled.hold, rolled.hold > 0.0);
        } else {
            let solved = digit.solve(start.inverse_transform_point(&target.into()).coords);
            digit.turn(solved.angles);
            outcome.reach_margin = solved.farthest - solved.distance;
            outcome.iterations = solved.iterations;
        }
    } else {
        let push = |link| scratch.links.push(link);
        let tip = gather(mechanism, chain, channels, local, start, push);
        let mut task = Task {
            scratch,
            tip,
            target,
        };
        link::settle(&mut task.scratch.links, 0);
        let root = task.scratch.links[0].origin();
        outcome.reach_margin = task.length() - (target - root).norm();
        if active {
            outcome.iterations = solve(&mut task, anchor.solver, world, anchor.target);
        }
    }
    let links = match &mut digit {
        Some(digit) => digit.links(),
        None => &mut scratch.links,
    };
    if active {
        // What rolls has been brought back already, and let down.
        if hold < 1.0 && contact.is_none() {
            let joints = chain.joints.iter();
            for (link, &joint) in links.iter_mut().zip(joints) {
                link.blend(&channels[joint], hold);
            }
        }
        outcome.limited |= if anchor.solver.is_turn() {
            turning::is_past(&mut links[0])
        } else {
            links.iter().any(Link::at_limit)
        };
    }

    // Placed here, and measured on the transforms that are kept, not on the solver's own.
    let mut links = links.iter();
    let mut above_world = nodes[anchor.base].parent.map(|parent| world[parent]);
    for &node in above {
        if mechanism.plan.anchored[node] {
            let link = links.next().expect("a link for each joint that is turned");
            let rotation = nodes[node].rest.rotation * link.turn;
            local[node] =
                Transform::from_parts(nodes[node].offset(&channels[node]).into(), rotation);
        }
        let placed = above_world.map_or(local[node], |above| above * local[node]);
        world[node] = placed;
        above_world = Some(placed);
    }
    let last = above_world.expect("a path has a base");
    let reached = last * nalgebra::Point3::from(nodes[end].offset(&channels[end]));
    outcome.residual = (reached.coords - target).norm();
    if let Some(contact) = &contact
        && let Some(digit) = digit
    {
        let (centre, bone) = (&reached.coords, &last.rotation);
        let under =
            Unrolled::new(&surface, contact).map_or(surface, |unrolled| unrolled.under(centre));
        let slip = digit.slip(contact, &under, centre, bone);
        outcome.residual = slip.norm();
    }
    if anchor.solver.is_turn() {
        (outcome.residual, outcome.reach_margin) = (0.0, 0.0);
    }
    outcome.hold = if active { hold } else { 0.0 };
    pose.outcomes[index] = outcome;
}

/// A path in its channel pose from a frame on: the links it amounts to, and the end's place in
/// the last.
#[inline(always)]
fn gather(
    mechanism: &Mechanism,
    chain: &Chain,
    channels: &[[f64; 6]],
    local: &[Transform],
    mut offset: Transform,
    mut push: impl FnMut(Link),
) -> Vec3 {
    let nodes = &mechanism.nodes;
    let (&end, above) = chain
        .path
        .split_last()
        .expect("a path has a base and an end");
    for &node in above {
        if mechanism.plan.anchored[node] {
            push(Link::new(&nodes[node], &channels[node], offset));
            offset = Transform::identity();
        } else {
            offset *= local[node];
        }
    }
    (offset * nalgebra::Point3::from(nodes[end].offset(&channels[end]))).coords
}

/// Solves for every kind of anchor but those that hold a digit; iterations used.
fn solve(task: &mut Task, solver: Solver, world: &[Transform], target: usize) -> u32 {
    match solver {
        Solver::Aim => aim::solve(task),
        Solver::TwoBone {
            pole,
            softness,
            bend,
        } => {
            let pole = pole.map(|node| world[node].translation.vector);
            two_bone::solve(task, pole, softness, bend)
        }
        Solver::DampedLeastSquares {
            iterations,
            tolerance,
        } => damped::solve(task, iterations, tolerance),
        Solver::Fabrik {
            iterations,
            tolerance,
        } => fabrik::solve(task, iterations, tolerance),
        Solver::TurnWith | Solver::Twist { .. } => {
            let rotation = &world[target].rotation;
            turning::solve(&mut task.scratch.links[0], solver, rotation);
            0
        }
        Solver::Finger { .. } | Solver::Thumb { .. } | Solver::SetDown { .. } => {
            unreachable!("a digit, and what is set down, has its own way")
        }
    }
}
