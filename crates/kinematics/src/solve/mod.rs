//! Solvers, and Jacobian measures of an anchored chain in its evaluated pose.
//!
//! A solver sees a chain as `Link`s: joints that can turn, with everything rigid
//! between them folded into one offset.
mod aim;
mod damped;
mod fabrik;
mod finger;
mod jacobian;
mod link;
mod orient;
mod pad;
mod saddle;
mod two_bone;

pub use jacobian::{bend_gain, least_singular_value};
pub(crate) use link::{Link, inside};
pub(crate) use saddle::Saddle;

use crate::pose::Scratch;
use crate::{Mechanism, Outcome, Pose, Solver, Transform, Vec3};

/// What a solver works on: the chain in scratch space, and where its end should go.
pub(crate) struct Task<'a> {
    pub(crate) scratch: &'a mut Scratch,
    /// The end's origin in the last link's frame.
    pub(crate) tip: Vec3,
    pub(crate) target: Vec3,
}

impl Task<'_> {
    /// Where the end is now.
    pub(crate) fn end(&self) -> Vec3 {
        link::reach(&self.scratch.links, self.tip)
    }

    /// Distance from the end to the target.
    pub(crate) fn residual(&self) -> f64 {
        (self.target - self.end()).norm()
    }

    /// Sum of the distances between joints, end included: the chain's length when straight.
    pub(crate) fn length(&self) -> f64 {
        let links = &self.scratch.links;
        links
            .iter()
            .skip(1)
            .map(|link| link.offset.translation.vector.norm())
            .sum::<f64>()
            + self.tip.norm()
    }
}

/// Solves one anchor from its channel pose and writes its chain's local and world
/// transforms and its outcome.
#[inline(never)]
pub(crate) fn run(mechanism: &Mechanism, pose: &mut Pose, index: usize) {
    let anchor = &mechanism.anchors[index];
    let (chain, nodes) = (&mechanism.plan.chains[index], &mechanism.nodes);
    let mut outcome = Outcome::default();

    // Channel pose of the path, and the links it amounts to.
    let Pose {
        channels,
        local,
        world,
        scratch,
        ..
    } = pose;
    scratch.links.clear();
    let mut offset = nodes[anchor.base]
        .parent
        .map_or(Transform::identity(), |parent| world[parent]);
    let (&end, above) = chain
        .path
        .split_last()
        .expect("a path has a base and an end");
    for &node in above {
        if mechanism.plan.anchored[node] {
            scratch
                .links
                .push(Link::new(&nodes[node], &channels[node], offset));
            offset = Transform::identity();
        } else {
            offset *= local[node];
        }
    }
    let tip = offset * nalgebra::Point3::from(nodes[end].offset(&channels[end]));
    let target = world[anchor.target].translation.vector;
    let mut task = Task {
        scratch,
        tip: tip.coords,
        target,
    };
    link::settle(&mut task.scratch.links, 0);

    let root = task.scratch.links[0].origin();
    outcome.reach_margin = task.length() - (target - root).norm();
    if anchor.active && anchor.hold > 0.0 {
        outcome.iterations = match anchor.solver {
            Solver::Aim => aim::solve(&mut task),
            Solver::TwoBone {
                pole,
                softness,
                bend,
            } => {
                let pole = pole.map(|node| world[node].translation.vector);
                two_bone::solve(&mut task, pole, softness, bend)
            }
            Solver::DampedLeastSquares {
                iterations,
                tolerance,
            } => damped::solve(&mut task, iterations, tolerance),
            Solver::Fabrik {
                iterations,
                tolerance,
            } => fabrik::solve(&mut task, iterations, tolerance),
            Solver::Finger {
                coupling,
                rest,
                collapse,
                give,
            } => {
                let flexion = finger::Flexion {
                    coupling,
                    rest,
                    collapse,
                    give,
                };
                let reach = finger::solve(&mut task, flexion);
                outcome.reach_margin = reach.farthest - (target - root).norm();
                reach.iterations
            }
            Solver::Orient | Solver::Twist { .. } => {
                let rotation = &world[anchor.target].rotation;
                orient::solve(&mut task.scratch.links[0], anchor.solver, rotation);
                0
            }
        };
        if anchor.hold < 1.0 {
            let joints = chain.joints.iter();
            for (link, &joint) in scratch.links.iter_mut().zip(joints) {
                link.blend(&channels[joint], anchor.hold);
            }
        }
        outcome.limited = if anchor.solver.is_turn() {
            orient::is_past(&mut scratch.links[0])
        } else {
            scratch.links.iter().any(Link::at_limit)
        };
    }

    // Placed here, and measured on the transforms that are kept, not on the solver's own.
    let mut links = scratch.links.iter();
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
    if anchor.solver.is_turn() {
        (outcome.residual, outcome.reach_margin) = (0.0, 0.0);
    }
    pose.outcomes[index] = outcome;
}
