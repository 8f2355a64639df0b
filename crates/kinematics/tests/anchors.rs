//! Closed-form anchors against DESIGN 3.2 to 3.5 and textbook mechanisms.
mod common;
use common::*;
use kinematics::{Channel, Mechanism, Node, Pose, Solver, Vec3};

/// Target mount 0, then a chain of two bones from node 1 to node 3.
fn arm(joint: fn(Option<usize>, [f64; 3]) -> Node, lengths: [f64; 2], softness: f64) -> (Mechanism, Pose) {
    let nodes = vec![
        mount(None, [lengths[0] + lengths[1], 0.0, 0.0]),
        joint(None, [0.0; 3]),
        joint(Some(1), [lengths[0], 0.0, 0.0]),
        mount(Some(2), [lengths[1], 0.0, 0.0]),
    ];
    let solver = Solver::TwoBone { pole: None, softness, bend: Vec3::z() };
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 3, 0, solver)]).unwrap();
    let pose = mechanism.pose();
    (mechanism, pose)
}

fn send(mechanism: &Mechanism, pose: &mut Pose, node: usize, to: Vec3) {
    let rest = mechanism.nodes()[node].rest.translation.vector;
    for (channel, axis) in [Channel::MoveX, Channel::MoveY, Channel::MoveZ].into_iter().zip(0..) {
        pose.set_channel(node, channel, to[axis] - rest[axis]);
    }
    mechanism.evaluate(pose);
}

#[test]
fn straight_finger_bends_18_1_degrees_for_the_first_millimetre_then_7_5() {
    for joint in [hinge, ball] {
        let (mechanism, mut pose) = arm(joint, [40.0, 40.0], 0.0);
        let bend = |pose: &mut Pose, epsilon: f64| {
            send(&mechanism, pose, 0, Vec3::new(80.0 - epsilon, 0.0, 0.0));
            assert!(pose.outcome(0).residual < 1e-12);
            mechanism.turns(pose, 2)[2]
        };
        for epsilon in [1e-9, 0.01, 1.0, 2.0, 30.0, 79.0] {
            let expected = 2.0 * ((80.0 - epsilon) / 80.0f64).acos();
            assert!((bend(&mut pose, epsilon) - expected).abs() < 1e-7);
        }
        let (one, two) = (bend(&mut pose, 1.0).to_degrees(), bend(&mut pose, 2.0).to_degrees());
        assert_eq!(format!("{one:.1} {:.1}", two - one), "18.1 7.5");
    }
}
