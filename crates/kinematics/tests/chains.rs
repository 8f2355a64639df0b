//! The two solvers for longer chains, and the measures of their Jacobians.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
mod common;
use common::*;
use kinematics::solve::{bend_gain, least_singular_value};
use kinematics::{Channel, Mechanism, Node, Pose, Solver, Vec3};
use proptest::prelude::*;

const DAMPED: Solver = Solver::DampedLeastSquares {
    iterations: 400,
    tolerance: 1e-9,
};
const FABRIK: Solver = Solver::Fabrik {
    iterations: 400,
    tolerance: 1e-9,
};

/// Target 0, then six joints 1..=6 along x, 30 mm apart, and their end 7.
fn chain(joint: impl Fn(Option<usize>, [f64; 3]) -> Node, solver: Solver) -> (Mechanism, Pose) {
    let mut nodes = vec![mount(None, [180.0, 0.0, 0.0]), joint(None, [0.0; 3])];
    for index in 1..6 {
        nodes.push(joint(Some(index), [30.0, 0.0, 0.0]));
    }
    nodes.push(mount(Some(6), [30.0, 0.0, 0.0]));
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 7, 0, solver)]).unwrap();
    let pose = mechanism.pose();
    (mechanism, pose)
}

fn bones(pose: &Pose) -> impl Iterator<Item = f64> {
    (1..7).map(|index| (place(pose, index + 1) - place(pose, index)).norm())
}

proptest! {
    #[test]
    fn balls_reach_whatever_is_in_reach(to in prop::array::uniform3(-100.0..100.0), turns in prop::collection::vec(-1.0..1.0, 18)) {
        for solver in [DAMPED, FABRIK] {
            let (mechanism, mut pose) = chain(ball, solver);
            for (index, turn) in turns.iter().enumerate() {
                pose.set_channel(1 + index / 3, Channel::ALL[index % 3], *turn);
            }
            send(&mechanism, &mut pose, 0, Vec3::from(to));
            prop_assert!(pose.outcome(0).residual <= 1e-9, "{solver:?}: {:?}", pose.outcome(0));
            let worst = bones(&pose).map(|bone| (bone - 30.0).abs()).fold(0.0, f64::max);
            prop_assert!(worst < 1e-12, "{solver:?}: a bone is off by {worst}");
            prop_assert!(!pose.outcome(0).limited);
        }
    }

    /// Whatever the target, no joint leaves its limits, and the outcome is what the pose shows.
    #[test]
    fn limits_hold(to in prop::array::uniform3(-150.0..150.0), least in -1.0..-0.1, most in 0.1..1.0) {
        for solver in [DAMPED, FABRIK] {
            let bounded = |parent, at| node(parent, at, [(least, most), LOCKED, (2.0 * least, 2.0 * most)]);
            let (mechanism, mut pose) = chain(bounded, solver);
            send(&mechanism, &mut pose, 0, Vec3::from(to));
            for joint in 1..7 {
                let [x, y, z] = mechanism.turns(&pose, joint);
                prop_assert!(x >= least - 1e-12 && x <= most + 1e-12);
                prop_assert!(z >= 2.0 * least - 1e-12 && z <= 2.0 * most + 1e-12);
                prop_assert!(y.abs() < 1e-12);
            }
            let shown = (place(&pose, 7) - place(&pose, 0)).norm();
            prop_assert_eq!(pose.outcome(0).residual, shown);
            // Never worse than not solving at all.
            let idle = pose_without_anchors(&mechanism, &pose);
            prop_assert!(shown <= idle.outcome(0).residual);
        }
    }

    /// Out of reach the chain is stretched towards the target, and says by how much it fails.
    #[test]
    fn out_of_reach_stretches(direction in prop::array::uniform3(-1.0..1.0), beyond in 1.0..200.0f64) {
        let away = Vec3::from(direction);
        prop_assume!(away.norm() > 0.1);
        // Both close in on a stretched chain slowly: it is singular.
        for solver in [DAMPED, FABRIK] {
            let (mechanism, mut pose) = chain(ball, solver);
            send(&mechanism, &mut pose, 0, away.normalize() * (180.0 + beyond));
            let outcome = pose.outcome(0);
            prop_assert!((outcome.reach_margin + beyond).abs() < 1e-11);
            prop_assert!((outcome.residual - beyond).abs() < 0.02, "{solver:?} {outcome:?}");
        }
    }
}

/// A straight chain pushed along itself has no slope to go down, yet must buckle.
#[test]
fn straight_chains_buckle() {
    for solver in [DAMPED, FABRIK] {
        for joint in [hinge as fn(Option<usize>, [f64; 3]) -> Node, ball] {
            let (mechanism, mut pose) = chain(joint, solver);
            for distance in [179.0, 120.0, 10.0] {
                send(&mechanism, &mut pose, 0, Vec3::new(distance, 0.0, 0.0));
                assert!(
                    pose.outcome(0).residual < 1e-6,
                    "{solver:?} {:?}",
                    pose.outcome(0)
                );
            }
        }
    }
}

/// A slider-crank: the crank of 30 mm and the rod of 70 mm in line, stretched (100 mm), folded
/// back on each other (40 mm), and beside both toggles, where the slider's way is of second order
/// in the turns and rounds of FABRIK gain next to nothing.
#[test]
fn slider_cranks_close_at_their_toggles() {
    for solver in [DAMPED, FABRIK] {
        let nodes = vec![
            mount(None, [0.0; 3]),
            hinge(None, [0.0; 3]),
            hinge(Some(1), [30.0, 0.0, 0.0]),
            mount(Some(2), [70.0, 0.0, 0.0]),
        ];
        let mechanism = Mechanism::new(nodes, vec![anchor(1, 3, 0, solver)]).unwrap();
        for away in [0.0, 1e-6, 1e-3, 0.1, 5.0] {
            for at in [100.0 - away, 40.0 + away] {
                let mut pose = mechanism.pose();
                pose.set_channel(1, Channel::TurnZ, 0.7);
                pose.set_channel(2, Channel::TurnZ, -1.2);
                send(&mechanism, &mut pose, 0, Vec3::new(at, 0.0, 0.0));
                let left = pose.outcome(0).residual;
                assert!(left <= 1e-9, "{solver:?} at {at}: {left:e}");
            }
        }
    }
}

/// Hinges in a plane stay in it.
#[test]
fn planar_chains_stay_planar() {
    for solver in [DAMPED, FABRIK] {
        let (mechanism, mut pose) = chain(hinge, solver);
        pose.set_channel(2, Channel::TurnZ, 0.4);
        send(&mechanism, &mut pose, 0, Vec3::new(70.0, 60.0, 0.0));
        assert!(pose.outcome(0).residual < 1e-9, "{:?}", pose.outcome(0));
        assert!((1..8).all(|index| place(&pose, index).z == 0.0));
    }
}

/// For one hinge at arm's length r the Jacobian is the one column r; for two square hinges
/// through one point it is two square columns, r and r·cos of the inner turn's own angle.
#[test]
fn least_singular_values_by_hand() {
    let nodes = vec![
        mount(None, [50.0, 0.0, 0.0]),
        hinge(None, [0.0; 3]),
        mount(Some(1), [50.0, 0.0, 0.0]),
    ];
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 2, 0, Solver::Aim)]).unwrap();
    let mut pose = mechanism.pose();
    mechanism.evaluate(&mut pose);
    assert!((least_singular_value(&mechanism, &pose, 0) - 50.0).abs() < 1e-12);

    let saddle = node(None, [0.0; 3], [LOCKED, FREE, FREE]);
    let nodes = vec![
        mount(None, [30.0, 40.0, 0.0]),
        saddle,
        mount(Some(1), [50.0, 0.0, 0.0]),
    ];
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 2, 0, Solver::Aim)]).unwrap();
    let mut pose = mechanism.pose();
    mechanism.evaluate(&mut pose);
    assert!(pose.outcome(0).residual < 1e-12);
    // Order xyz: about y the arm is what the z turn leaves square to y.
    assert!((least_singular_value(&mechanism, &pose, 0) - 30.0).abs() < 1e-9);

    // Two equal bones L bent by φ: the determinant of the planar Jacobian is L²·sin φ.
    let nodes = vec![
        mount(None, [60.0, 10.0, 0.0]),
        hinge(None, [0.0; 3]),
        hinge(Some(1), [40.0, 0.0, 0.0]),
        mount(Some(2), [40.0, 0.0, 0.0]),
    ];
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 3, 0, two_bone(Vec3::z()))]).unwrap();
    let mut pose = mechanism.pose();
    mechanism.evaluate(&mut pose);
    let bend = mechanism.turns(&pose, 2)[2];
    let (far, near) = (place(&pose, 3), place(&pose, 3) - place(&pose, 2));
    let squares = far.norm_squared() + near.norm_squared();
    let determinant = 1600.0 * bend.sin();
    let largest =
        ((squares + (squares * squares - 4.0 * determinant * determinant).sqrt()) / 2.0).sqrt();
    assert!((least_singular_value(&mechanism, &pose, 0) - determinant / largest).abs() < 1e-11);
    assert!((bend_gain(&mechanism, &pose, 0) - 1.0 / (40.0 * (bend / 2.0).sin())).abs() < 1e-14);
}

/// Of all joint motions that bring the end nearer the base at unit speed the least goes along
/// the gradient of their distance, here by central differences.
#[test]
fn bend_gain_of_a_longer_chain_is_the_least_motion() {
    let (mechanism, mut pose) = chain(hinge, DAMPED);
    for (joint, turn) in [0.2, 0.5, -0.3, 0.7, 0.4, -0.6].into_iter().enumerate() {
        pose.set_channel(1 + joint, Channel::TurnZ, turn);
    }
    pose.set_active(0, false);
    let mut distance = |joint: usize, by: f64| {
        let was = pose.channel(joint, Channel::TurnZ);
        pose.set_channel(joint, Channel::TurnZ, was + by);
        mechanism.evaluate(&mut pose);
        let apart = (place(&pose, 7) - place(&pose, 1)).norm();
        pose.set_channel(joint, Channel::TurnZ, was);
        mechanism.evaluate(&mut pose);
        apart
    };
    let slopes = (1..7).map(|joint| (distance(joint, 1e-5) - distance(joint, -1e-5)) / 2e-5);
    let steepest = slopes.map(|slope| slope * slope).sum::<f64>().sqrt();
    assert!(steepest > 10.0, "the chain is well bent");
    assert!((bend_gain(&mechanism, &pose, 0) * steepest - 1.0).abs() < 1e-8);
}

/// A target carried round a limited arm, mostly out of its reach: the nearest pose changes
/// sides a few times in a turn, and does not flicker between sides on the way.
#[test]
fn limited_arms_do_not_flicker() {
    let nodes = vec![
        mount(None, [0.0; 3]),
        node(None, [0.0; 3], [(-0.3, 0.3), (-0.3, 0.3), (-0.5, 1.5)]),
        node(Some(1), [40.0, 0.0, 0.0], [LOCKED, LOCKED, (0.0, 1.8)]),
        mount(Some(2), [40.0, 0.0, 0.0]),
    ];
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 3, 0, two_bone(Vec3::z()))]).unwrap();
    let mut pose = mechanism.pose();
    let (mut jumps, mut last) = (0, None::<Vec3>);
    for step in 0..1000 {
        let angle = f64::from(step) * 0.00628;
        let to = Vec3::new(
            60.0 * angle.cos(),
            60.0 * angle.sin(),
            10.0 * (3.0 * angle).sin(),
        );
        send(&mechanism, &mut pose, 0, to);
        let end = place(&pose, 3);
        // The target moves 0.4 mm a step.
        jumps += usize::from(last.is_some_and(|last| (end - last).norm() > 4.0));
        last = Some(end);
    }
    assert!(jumps <= 5, "{jumps} jumps");
}
