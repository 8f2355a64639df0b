//! Anchors that turn one joint into a direction, and anchors held in part.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
mod common;
use common::*;
use kinematics::{
    Anchor, BuildError, Channel, Mechanism, Node, Order, Pose, Rotation, Solver, Transform, Vec3,
};
use proptest::prelude::*;
use std::f64::consts::PI;

fn rotation() -> impl Strategy<Value = Rotation> {
    // Off the zero vector's neighbourhood, where no direction is left.
    proptest::array::uniform4(-1.0..1.0f64)
        .prop_filter("a direction", |q| {
            q.iter().map(|x| x * x).sum::<f64>() > 0.01
        })
        .prop_map(|[x, y, z, w]| Rotation::new_normalize(nalgebra::Quaternion::new(w, x, y, z)))
}

fn turned(mut node: Node, rest: Rotation) -> Node {
    node.rest = Transform::from_parts(node.rest.translation, rest);
    node
}

/// A parent 0, the joint 1, what it carries 2, and the target 3 apart.
fn directed(solver: Solver, rests: [Rotation; 3], limits: [(f64, f64); 3]) -> (Mechanism, Pose) {
    let nodes = vec![
        turned(ball(None, [5.0, 0.0, 0.0]), rests[0]),
        turned(node(Some(0), [0.0, -20.0, 3.0], limits), rests[1]),
        ball(Some(1), [0.0, -30.0, 0.0]),
        turned(ball(None, [1.0, 2.0, 3.0]), rests[2]),
    ];
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 1, 3, solver)]).unwrap();
    let pose = mechanism.pose();
    (mechanism, pose)
}

/// The turn about y nearest to a rotation (largest trace of the difference), which is what the
/// swing–twist split means: found by a formula of its own, from the matrix.
fn nearest_turn_about_y(turn: &Rotation) -> f64 {
    let m = turn.to_rotation_matrix();
    (m[(0, 2)] - m[(2, 0)]).atan2(m[(0, 0)] + m[(2, 2)])
}

fn apart(a: &Rotation, b: &Rotation) -> f64 {
    (a.to_rotation_matrix().matrix() - b.to_rotation_matrix().matrix()).norm()
}

proptest! {
    /// The joint stands as the target does, and nothing about its place changes.
    #[test]
    fn orient_takes_the_targets_rotation(a in rotation(), b in rotation(), c in rotation()) {
        let (mechanism, mut pose) = directed(Solver::TurnWith, [a, b, c], [FREE; 3]);
        mechanism.evaluate(&mut pose);
        let free = pose_without_anchors(&mechanism, &pose);
        prop_assert!(apart(&pose.world(1).rotation, &c) < 1e-12);
        prop_assert!((place(&pose, 1) - place(&free, 1)).norm() < 1e-12);
        let carried = pose.world(1) * nalgebra::Point3::new(0.0, -30.0, 0.0);
        prop_assert!((place(&pose, 2) - carried.coords).norm() < 1e-12);
        let outcome = pose.outcome(0);
        prop_assert_eq!((outcome.residual, outcome.reach_margin, outcome.limited), (0.0, 0.0, false));
        let order = Order::Xyz.compose(mechanism.turns(&pose, 1));
        prop_assert!(apart(&(a * b * order), &c) < 1e-12);
    }

    /// The part of the turn that is about y, times the share.
    #[test]
    fn twist_shares_the_turn_about_y(
        a in rotation(), b in rotation(), swing in rotation(), twist in -3.1..3.1_f64, share in -1.0..1.5,
    ) {
        // A swing about an axis square to y, then the twist: the split taken apart again.
        let swing = Rotation::from_scaled_axis(Vec3::new(swing.i, 0.0, swing.k) * 1.5);
        let c = a * b * swing * Rotation::from_scaled_axis(Vec3::y() * twist);
let split = nearest_turn_about_y(&(swing * Rotation::from_scaled_axis(Vec3::y() * twist)));
        prop_assert!((split - twist).abs() < 1e-9);
        let (mechanism, mut pose) = directed(Solver::Twist { share }, [a, b, c], [LOCKED, FREE, LOCKED]);
        mechanism.evaluate(&mut pose);
        let expected = a * b * Rotation::from_scaled_axis(Vec3::y() * (share * twist));
        prop_assert!(apart(&pose.world(1).rotation, &expected) < 1e-12);
        prop_assert!(!pose.outcome(0).limited);
    }

    /// The mirror of a problem has the mirror of its answer.
    #[test]
    fn directions_mirror(a in rotation(), b in rotation(), c in rotation(), share in 0.0..1.0) {
        let flip = |q: &Rotation| Rotation::new_unchecked(nalgebra::Quaternion::new(q.w, q.i, -q.j, -q.k));
        for solver in [Solver::TurnWith, Solver::Twist { share }] {
            let stand = |rests: [Rotation; 3]| {
                let (mechanism, mut pose) = directed(solver, rests, [FREE; 3]);
                mechanism.evaluate(&mut pose);
                pose.world(1).rotation
            };
            let (one, other) = (stand([a, b, c]), stand([flip(&a), flip(&b), flip(&c)]));
            prop_assert!(apart(&flip(&one), &other) < 1e-13);
        }
    }

    /// Each turn stands where its share of the way says; at the ends, to the bit.
    #[test]
    fn hold_blends_turn_by_turn(hold in 0.0..1.0_f64, x in -0.5..0.5, bend in 0.2..1.2) {
        let limits = [LOCKED, LOCKED, (-2.0, 2.0)];
        let nodes = vec![
            mount(None, [0.0; 3]),
            node(None, [0.0; 3], limits),
            node(Some(1), [40.0, 0.0, 0.0], limits),
            mount(Some(2), [30.0, 0.0, 0.0]),
        ];
        let mechanism = Mechanism::new(nodes, vec![anchor(1, 3, 0, two_bone(Vec3::z()))]).unwrap();
        let mut pose = mechanism.pose();
        let channels = [x, bend];
        for (joint, channel) in [1, 2].into_iter().zip(channels) {
            pose.set_channel(joint, Channel::TurnZ, channel);
        }
        send(&mechanism, &mut pose, 0, Vec3::new(45.0, 20.0, 0.0));
        let read = |mechanism: &Mechanism, pose: &Pose| [1, 2].map(|joint| mechanism.turns(pose, joint)[2]);
        let (whole, solved) = (pose.clone(), read(&mechanism, &pose));
        prop_assert!(pose.outcome(0).residual < 1e-12);
        pose.set_hold(0, hold);
        mechanism.evaluate(&mut pose);
        for ((found, channel), solved) in read(&mechanism, &pose).into_iter().zip(channels).zip(solved) {
            prop_assert!((found - (channel + hold * (solved - channel))).abs() < 1e-12);
        }
        prop_assert!((pose.outcome(0).residual - (place(&pose, 3) - Vec3::new(45.0, 20.0, 0.0)).norm()).abs() < 1e-12);
        pose.set_hold(0, f64::NAN);
        prop_assert_eq!(pose.hold(0), hold);
        pose.set_hold(0, -7.0);
        mechanism.evaluate(&mut pose);
        let free = pose_without_anchors(&mechanism, &pose);
        prop_assert_eq!((pose.world(3), pose.outcome(0)), (free.world(3), free.outcome(0)));
        pose.set_hold(0, 2.0);
        mechanism.evaluate(&mut pose);
        prop_assert_eq!((pose.world(3), pose.outcome(0)), (whole.world(3), whole.outcome(0)));
    }

    /// A ball's turns are blended the short way, so that a held direction is left and met
    /// without a jump.
    #[test]
    fn hold_of_a_ball_is_continuous(c in rotation(), channels in proptest::array::uniform3(-6.0..6.0)) {
        let one = Rotation::identity();
        let (mechanism, mut pose) = directed(Solver::TurnWith, [one, one, c], [FREE; 3]);
        set_turns(&mut pose, 1, channels);
        mechanism.evaluate(&mut pose);
        let mut before = pose.world(1).rotation;
        for step in (0..=1000).rev() {
            pose.set_hold(0, f64::from(step) / 1000.0);
            mechanism.evaluate(&mut pose);
            let now = pose.world(1).rotation;
            // Three turns of at most half a turn each, in a thousand steps.
            prop_assert!(apart(&now, &before) < 2f64.sqrt() * 3.0 * PI / 1000.0 + 1e-12);
            before = now;
        }
        prop_assert!(apart(&before, &Order::Xyz.compose(channels)) < 1e-12);
    }
}

#[test]
fn past_its_limits_a_direction_is_kept_and_told() {
    let one = Rotation::identity();
    let limits = [(-0.5, 0.5), LOCKED, (-1.0, 1.0)];
    for (turns, limited) in [
        ([0.4, 0.0, -0.9], false),
        ([0.5, 0.0, 1.0], false),
        ([0.6, 0.0, 0.0], true),
        ([0.0, 0.1, 0.0], true),
    ] {
        let to = Order::Xyz.compose(turns);
        let (mechanism, mut pose) = directed(Solver::TurnWith, [one, one, to], limits);
        mechanism.evaluate(&mut pose);
        assert!(apart(&pose.world(1).rotation, &to) < 1e-12);
        assert_eq!(pose.outcome(0).limited, limited, "{turns:?}");
    }
    let to = Rotation::from_scaled_axis(Vec3::y() * 1.2);
    let half = Solver::Twist { share: 0.5 };
    for (most, limited) in [(0.5, true), (0.7, false)] {
        let (mechanism, mut pose) = directed(half, [one, one, to], [LOCKED, (-most, most), LOCKED]);
        mechanism.evaluate(&mut pose);
        assert!((mechanism.turns(&pose, 1)[1] - 0.6).abs() < 1e-12);
        assert_eq!(pose.outcome(0).limited, limited, "{most}");
    }
}

/// Half a turn is PI whichever sign its quaternion has.
#[test]
fn half_a_twist_has_one_sign() {
    let one = Rotation::identity();
    for sign in [1.0, -1.0] {
        let half = Rotation::new_unchecked(nalgebra::Quaternion::new(0.0, 0.0, sign, 0.0));
        let solver = Solver::Twist { share: 0.5 };
        let (mechanism, mut pose) = directed(solver, [one, one, half], [LOCKED, FREE, LOCKED]);
        mechanism.evaluate(&mut pose);
        assert!((mechanism.turns(&pose, 1)[1] - PI / 2.0).abs() < 1e-12);
    }
}

/// A forearm 1 shares the twist of the wrist 2 beside it, which a control 3 directs; the order
/// in which the anchors are listed does not matter.
fn forearm(swap: bool) -> Result<Mechanism, BuildError> {
    let nodes = vec![
        ball(None, [0.0; 3]),
        node(Some(0), [0.0, 10.0, 0.0], [LOCKED, FREE, LOCKED]),
        ball(Some(0), [0.0, -10.0, 0.0]),
        ball(None, [50.0, 0.0, 0.0]),
    ];
    let mut anchors = vec![
        anchor(2, 2, 3, Solver::TurnWith),
        anchor(1, 1, 2, Solver::Twist { share: 0.5 }),
    ];
    if swap {
        anchors.reverse();
    }
    Mechanism::new(nodes, anchors)
}

#[test]
fn a_forearm_follows_the_wrist_that_a_control_directs() {
    for swap in [false, true] {
        let mechanism = forearm(swap).unwrap();
        let mut pose = mechanism.pose();
        mechanism.evaluate(&mut pose);
        pose.set_channel(3, Channel::TurnY, 0.8);
        mechanism.evaluate(&mut pose);
        assert!((mechanism.turns(&pose, 2)[1] - 0.8).abs() < 1e-12);
        assert!((mechanism.turns(&pose, 1)[1] - 0.4).abs() < 1e-12);
    }
}

#[test]
fn directions_that_wait_for_themselves_are_refused() {
    let mechanism = forearm(false).unwrap();
    let refusal = |change: &dyn Fn(&mut Vec<Node>, &mut Vec<Anchor>)| {
        let (mut nodes, mut anchors) = (mechanism.nodes().to_vec(), mechanism.anchors().to_vec());
        change(&mut nodes, &mut anchors);
        Mechanism::new(nodes, anchors).err()
    };
    assert_eq!(refusal(&|_, _| ()), None);
    let cycle = |reads, moved| {
        Some(BuildError::Cycle {
            anchor: 0,
            reads,
            moved,
        })
    };
    // The control hangs from the wrist it directs.
    assert_eq!(refusal(&|nodes, _| nodes[3].parent = Some(2)), cycle(3, 2));
    // A joint told to stand as it stands.
    assert_eq!(refusal(&|_, anchors| anchors[0].target = 2), cycle(2, 2));
    // Wrist and forearm ask each other.
    assert_eq!(refusal(&|_, anchors| anchors[0].target = 1), cycle(1, 2));
    let broken = Some(BuildError::NotAChain { anchor: 0 });
    assert_eq!(
        refusal(&|nodes, anchors| (nodes[2].parent, anchors[0].base) = (Some(1), 1)),
        broken
    );
    assert_eq!(
        refusal(&|_, anchors| anchors[0].solver = Solver::Aim),
        broken
    );
    let bones = |anchor| Some(BuildError::WrongBoneCount { anchor, bones: 0 });
    assert_eq!(
        refusal(&|nodes, _| nodes[2].limits[..3].fill(LOCKED)),
        bones(0)
    );
    let locked = |nodes: &mut Vec<Node>, _: &mut Vec<Anchor>| {
        nodes[1].limits[..2].copy_from_slice(&[FREE, LOCKED])
    };
    assert_eq!(
        refusal(&locked),
        Some(BuildError::WrongBoneCount {
            anchor: 1,
            bones: 1
        })
    );
    let number = |node| Some(BuildError::NotFinite { node });
    assert_eq!(
        refusal(&|_, anchors| anchors[1].solver = Solver::Twist { share: f64::NAN }),
        number(1)
    );
}
