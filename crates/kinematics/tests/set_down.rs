//! A hand set down on the lowest of its balls.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
mod common;
use common::*;
use kinematics::{BuildError, Channel, Mechanism, Node, Pose, Rotation, Solver, Transform, Vec3};
use proptest::prelude::*;

const BALLS: [[f64; 4]; 8] = {
    let mut balls = [[0.0; 4]; 8];
    balls[0] = [40.0, 3.0, 12.0, 8.5];
    balls[1] = [38.0, 5.0, -9.0, 8.0];
    balls[2] = [-2.0, -8.0, 0.0, 11.0];
    balls
};

/// Surface 0; a control 1, the mount that is set down 2, a rigid piece 3, the end 4, and a joint
/// 5 below it that a place 6 beside it aims.
fn hand(low: [[f64; 4]; 8]) -> Result<(Mechanism, Pose), BuildError> {
    let mut nodes = vec![
        mount(None, [0.0; 3]),
        ball(None, [5.0, 60.0, -3.0]),
        mount(Some(1), [-20.0, 4.0, 2.0]),
        mount(Some(2), [7.0, 1.0, 0.0]),
        mount(Some(3), [0.0, 6.0, 3.0]),
        ball(Some(4), [30.0, 0.0, 0.0]),
        mount(None, [90.0, 0.0, 0.0]),
        mount(Some(5), [20.0, 0.0, 0.0]),
    ];
    nodes[3].rest.rotation = Rotation::from_euler_angles(0.2, -0.4, 0.3);
    let anchors = vec![
        anchor(2, 4, 0, Solver::SetDown { low }),
        anchor(5, 7, 6, Solver::Aim),
    ];
    let mechanism = Mechanism::new(nodes, anchors)?;
    let pose = mechanism.pose();
    Ok((mechanism, pose))
}

fn set(pose: &mut Pose, node: usize, turns: [f64; 3], moves: [f64; 3]) {
    for (channel, value) in Channel::ALL.into_iter().zip(turns.into_iter().chain(moves)) {
        pose.set_channel(node, channel, value);
    }
}

/// The least height of the balls over the surface, seen from its frame.
fn lowest(pose: &Pose) -> f64 {
    let (surface, end): (Transform, Transform) = (*pose.world(0), *pose.world(4));
    BALLS[..3]
        .iter()
        .map(|&[x, y, z, radius]| {
            let seen = surface.inverse() * (end * nalgebra::Point3::new(x, y, z));
            seen.y - radius
        })
        .fold(f64::INFINITY, f64::min)
}

proptest! {
    #[test]
    fn the_lowest_ball_touches(
        turns in [-3.0..3.0, -1.5..1.5, -3.0..3.0_f64], moves in [-40.0..40.0, -40.0..40.0, -40.0..40.0_f64],
        tilt in [-3.0..3.0, -1.5..1.5, -3.0..3.0_f64], own in [-9.0..9.0, -9.0..9.0, -9.0..9.0_f64],
    ) {
        let (mechanism, mut pose) = hand(BALLS).unwrap();
        set(&mut pose, 0, tilt, moves);
        set(&mut pose, 1, turns, [0.0; 3]);
        set(&mut pose, 2, [0.1, 0.2, 0.3], own);
        mechanism.evaluate(&mut pose);
        pose.set_active(0, false);
        mechanism.evaluate(&mut pose);
        let unmoved: Vec<_> = (0..6).map(|node| *pose.world(node)).collect();
        let gap = lowest(&pose);
        prop_assert_eq!(pose.outcome(0).hold, 0.0);
        let (other, mut empty) = hand([[0.0; 4]; 8]).unwrap();
        set(&mut empty, 0, tilt, moves);
        set(&mut empty, 1, turns, [0.0; 3]);
        set(&mut empty, 2, [0.1, 0.2, 0.3], own);
        other.evaluate(&mut empty);
        for (node, was) in unmoved.iter().enumerate() {
            prop_assert_eq!(empty.world(node), was);
        }
        for (hold, left) in [(1.0, 0.0), (0.25, 0.75)] {
            pose.set_active(0, true);
            pose.set_hold(0, hold);
            mechanism.evaluate(&mut pose);
            prop_assert!((lowest(&pose) - left * gap).abs() < 1e-11, "{} {gap}", lowest(&pose));
            let by = pose.world(2).translation.vector - unmoved[2].translation.vector;
            let off = pose.world(0).rotation * Vec3::y();
            prop_assert!((by - off * by.dot(&off)).norm() < 1e-11);
            for (node, was) in unmoved.iter().enumerate().skip(2) {
                let moved = pose.world(node).translation.vector - was.translation.vector;
                prop_assert!((moved - by).norm() < 1e-11);
            }
            for (node, was) in unmoved.iter().enumerate().take(5).skip(2) {
                prop_assert_eq!(pose.world(node).rotation, was.rotation);
                let above = pose.world(mechanism.nodes()[node].parent.unwrap());
                let placed = above * pose.local(node);
                prop_assert!((placed.translation.vector - pose.world(node).translation.vector).norm() < 1e-11);
            }
            let outcome = pose.outcome(0);
            prop_assert_eq!((outcome.residual, outcome.hold, outcome.limited), (0.0, hold, false));
            // What hangs below still aims, from where it is now.
            prop_assert!((pose.outcome(1).residual - ((place(&pose, 6) - place(&pose, 5)).norm() - 20.0).abs()).abs() < 1e-9);
        }
    }
}

#[test]
fn what_cannot_be_set_down_is_refused() {
    let mut low = BALLS;
    low[1][2] = f64::NAN;
    assert_eq!(hand(low).err(), Some(BuildError::NotFinite { node: 2 }));
    // The surface hung from what is set down would move with it.
    let (mechanism, _) = hand(BALLS).unwrap();
    let mut nodes: Vec<Node> = vec![mechanism.nodes()[1].clone(), mount(Some(0), [0.0; 3])];
    nodes.push(mount(Some(1), [0.0; 3]));
    let anchors = vec![anchor(0, 2, 1, Solver::SetDown { low: BALLS })];
    assert!(matches!(
        Mechanism::new(nodes, anchors),
        Err(BuildError::Cycle { anchor: 0, .. })
    ));
    // Two that move one mount.
    let nodes = vec![
        mount(None, [0.0; 3]),
        mount(None, [0.0; 3]),
        mount(Some(1), [0.0; 3]),
    ];
    let anchors = vec![anchor(1, 2, 0, Solver::SetDown { low: BALLS }); 2];
    assert!(matches!(
        Mechanism::new(nodes, anchors),
        Err(BuildError::SharedJoint { .. })
    ));
}
