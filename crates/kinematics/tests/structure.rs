//! The plan: refusals, what an edit must keep, what is evaluated again, and that
//! evaluating allocates nothing.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
mod common;
use common::*;
use kinematics::{
    BuildError, Channel, Mechanism, Node, Order, Pose, Rotation, Solver, Transform, Vec3,
};
use proptest::prelude::*;

const DAMPED: Solver = Solver::DampedLeastSquares {
    iterations: 50,
    tolerance: 1e-9,
};

/// joint 0 – joint 1 – mount 2, joint 3 hung from 2, mount 4, and a free mount 5.
fn nodes() -> Vec<Node> {
    vec![
        ball(None, [0.0; 3]),
        ball(Some(0), [40.0, 0.0, 0.0]),
        mount(Some(1), [40.0, 0.0, 0.0]),
        ball(Some(2), [0.0, 30.0, 0.0]),
        mount(Some(3), [0.0, 30.0, 0.0]),
        mount(None, [60.0, 10.0, 0.0]),
    ]
}

fn refusal(anchors: Vec<kinematics::Anchor>) -> BuildError {
    Mechanism::new(nodes(), anchors).unwrap_err()
}

#[test]
fn broken_structures_are_refused_by_name() {
    let two = two_bone(Vec3::z());
    assert_eq!(
        refusal(vec![anchor(1, 0, 5, DAMPED)]),
        BuildError::NotAChain { anchor: 0 }
    );
    assert_eq!(
        refusal(vec![anchor(0, 2, 9, DAMPED)]),
        BuildError::NotAChain { anchor: 0 }
    );
    assert_eq!(
        refusal(vec![anchor(0, 4, 5, two)]),
        BuildError::WrongBoneCount {
            anchor: 0,
            bones: 3
        }
    );
    assert_eq!(
        refusal(vec![anchor(0, 2, 5, Solver::Aim)]),
        BuildError::WrongBoneCount {
            anchor: 0,
            bones: 2
        }
    );
    assert_eq!(
        refusal(vec![anchor(2, 3, 5, DAMPED)]),
        BuildError::WrongBoneCount {
            anchor: 0,
            bones: 0
        }
    );
    assert_eq!(
        refusal(vec![anchor(0, 2, 5, two), anchor(1, 4, 5, DAMPED)]),
        BuildError::SharedJoint {
            first: 0,
            second: 1,
            node: 1
        }
    );
    let mut upside = nodes();
    upside[1].parent = Some(1);
    assert_eq!(
        Mechanism::new(upside, vec![]).unwrap_err(),
        BuildError::ParentAfterChild { node: 1 }
    );
    for spoil in [
        (|node| node.rest.translation.vector.y = f64::NAN) as fn(&mut Node),
        |node| node.limits[1].0 = f64::NAN,
        |node| node.limits[4] = (1.0, 0.0),
    ] {
        let mut spoilt = nodes();
        spoil(&mut spoilt[2]);
        assert_eq!(
            Mechanism::new(spoilt, vec![]).unwrap_err(),
            BuildError::NotFinite { node: 2 }
        );
    }
}

#[test]
fn a_target_carried_by_its_own_chain_is_refused_naming_both() {
    // Directly: the lowest node of the chain that carries the target is named.
    assert_eq!(
        refusal(vec![anchor(0, 2, 3, DAMPED)]),
        BuildError::Cycle {
            anchor: 0,
            reads: 3,
            moved: 2
        }
    );
    let mut side = nodes();
    side.push(mount(Some(0), [5.0; 3]));
    assert_eq!(
        Mechanism::new(side, vec![anchor(0, 2, 6, DAMPED)]).unwrap_err(),
        BuildError::Cycle {
            anchor: 0,
            reads: 6,
            moved: 0
        }
    );
    // The pole.
    let poled = Solver::TwoBone {
        pole: Some(4),
        softness: 0.0,
        bend: Vec3::z(),
    };
    assert_eq!(
        refusal(vec![anchor(0, 2, 5, poled)]),
        BuildError::Cycle {
            anchor: 0,
            reads: 4,
            moved: 2
        }
    );
    // Through another anchor: 3 aims at 9, which 7 carries; 7 reaches for 4, which 3 moves.
    let mut ring = nodes();
    ring.extend([
        mount(None, [0.0; 3]),
        ball(Some(6), [9.0, 0.0, 0.0]),
        mount(Some(7), [9.0, 0.0, 0.0]),
        mount(Some(7), [1.0; 3]),
    ]);
    let error = Mechanism::new(
        ring,
        vec![anchor(3, 4, 9, Solver::Aim), anchor(7, 8, 4, Solver::Aim)],
    )
    .unwrap_err();
    assert_eq!(
        error,
        BuildError::Cycle {
            anchor: 0,
            reads: 9,
            moved: 4
        }
    );
}

#[test]
fn anchors_follow_what_they_read_whatever_their_order() {
    // Anchor 0 hangs below and reads what anchor 1 turns.
    let mut nodes = nodes();
    nodes.push(mount(None, [10.0, 55.0, 20.0]));
    let anchors = vec![
        anchor(3, 4, 6, Solver::Aim),
        anchor(0, 2, 5, two_bone(Vec3::z())),
    ];
    let mechanism = Mechanism::new(nodes, anchors).unwrap();
    let mut pose = mechanism.pose();
    mechanism.evaluate(&mut pose);
    assert!(pose.outcome(1).residual < 1e-12);
    let slip = ((place(&pose, 6) - place(&pose, 3)).norm() - 30.0).abs();
    assert!((pose.outcome(0).residual - slip).abs() < 1e-12);
    assert!(((place(&pose, 4) - place(&pose, 6)).norm() - slip).abs() < 1e-12);
}

/// A random tree: each node's parent is drawn among those before it.
fn tree() -> impl Strategy<Value = Vec<Node>> {
    let part = || prop::array::uniform3(-1.0..1.0);
    let node = (any::<prop::sample::Index>(), part(), part(), 0..6usize);
    prop::collection::vec(node, 2..25).prop_map(|parts| {
        let make = |(index, (parent, at, turn, order)): (
            usize,
            (prop::sample::Index, [f64; 3], [f64; 3], usize),
        )| Node {
            parent: (index > 0).then(|| parent.index(index)),
            rest: Transform::new(Vec3::from(at) * 100.0, Vec3::from(turn)),
            order: Order::ALL[order],
            limits: [FREE; 6],
        };
        parts.into_iter().enumerate().map(make).collect()
    })
}

fn shake(pose: &mut Pose, count: usize, by: f64) {
    for node in 0..count {
        for channel in Channel::ALL {
            let value = (by * (1.0 + node as f64) + channel.index() as f64).sin();
            pose.set_channel(
                node,
                channel,
                if channel.is_turn() {
                    3.0 * value
                } else {
                    50.0 * value
                },
            );
        }
    }
}

proptest! {
    /// docs/mathematics.md 4: a mount put between a parent and a node keeps every world transform.
    #[test]
    fn inserting_a_mount_keeps_every_world(tree in tree(), at in any::<prop::sample::Index>(), place in prop::array::uniform3(-200.0..200.0), turn in prop::array::uniform3(-3.0..3.0), by in 0.1..9.0) {
        let count = tree.len();
        let node = at.index(count);
        let before = Mechanism::new(tree.clone(), vec![]).unwrap();
        let mut old = before.pose();
        shake(&mut old, count, by);
        before.evaluate(&mut old);

        let pivot = Transform::new(Vec3::from(place), Vec3::from(turn));
        let mut nodes = tree;
        let hung = |parent: usize| if parent >= node { parent + 1 } else { parent };
        for later in &mut nodes[node..] {
            later.parent = later.parent.map(hung);
        }
        let parent = nodes[node].parent;
        nodes[node].parent = Some(node);
        nodes[node].rest = pivot.inverse() * nodes[node].rest;
        nodes.insert(node, Node { parent, rest: pivot, order: Order::Xyz, limits: [LOCKED; 6] });
        let after = Mechanism::new(nodes, vec![]).unwrap();
        let mut new = after.pose();
        for index in 0..count {
            for channel in Channel::ALL {
                new.set_channel(hung(index), channel, old.channel(index, channel));
            }
        }
        after.evaluate(&mut new);
        // Relative to how far apart things stand.
        let size = (0..count).map(|index| common::place(&old, index).norm()).fold(400.0, f64::max);
        for index in 0..count {
            let (was, is) = (old.world(index), new.world(hung(index)));
            prop_assert!((was.translation.vector - is.translation.vector).norm() < 1e-12 * size);
            prop_assert!((was.rotation.coords - is.rotation.coords).norm() < 1e-12);
        }
    }

    /// docs/mathematics.md 4: a point carried at r from the axis moves 2·r·sin(θ/2); on the axis it stays.
    #[test]
    fn carried_points_move_on_circles(axis in 0..3usize, arm in 1.0..300.0, along in -300.0..300.0, theta in -3.0..3.0) {
        let mut off = [0.0; 3];
        off[axis] = along;
        let on = off;
        off[(axis + 1) % 3] = arm;
        let nodes = vec![mount(None, [7.0, -3.0, 11.0]), mount(Some(0), off), mount(Some(0), on)];
        let mechanism = Mechanism::new(nodes, vec![]).unwrap();
        let mut pose = mechanism.pose();
        mechanism.evaluate(&mut pose);
        let (before, still) = (place(&pose, 1), place(&pose, 2));
        pose.set_channel(0, Channel::ALL[axis], theta);
        mechanism.evaluate(&mut pose);
        prop_assert!(((place(&pose, 1) - before).norm() - 2.0 * arm * (theta / 2.0).sin().abs()).abs() < 1e-12 * 600.0);
        prop_assert!((place(&pose, 2) - still).norm() < 1e-10);
    }

    /// docs/mathematics.md 4: what an anchor makes of a pivot d off the point A that should stay.
    /// In the plane the root stands at A + R·(u + (R⁻¹ − 1)·d) after a turn R, u from A to the root
    /// before: the end's slip is the change of that length, at most 2·d·sin(θ/2).
    #[test]
    fn an_anchored_end_slips_less_than_a_misplaced_pivot_moves(d in 0.1..20.0, way in -3.1..3.1f64, theta in 0.02..1.5f64) {
        let length = 90.0;
        let pivot = [d * way.cos(), d * way.sin(), 0.0];
        let nodes = vec![
            mount(None, [0.0; 3]),
            mount(None, pivot),
            ball(Some(1), [-length - pivot[0], -pivot[1], 0.0]),
            mount(Some(2), [length, 0.0, 0.0]),
        ];
        let mechanism = Mechanism::new(nodes, vec![anchor(2, 3, 0, Solver::Aim)]).unwrap();
        let mut pose = mechanism.pose();
        pose.set_channel(1, Channel::TurnZ, theta);
        mechanism.evaluate(&mut pose);
        let most = 2.0 * d * (theta / 2.0).sin();
        // (R⁻¹ − 1)·d is as long as `most`, a quarter turn and half of −θ on from d.
        let aside = way - theta / 2.0 - std::f64::consts::FRAC_PI_2;
        let left = f64::hypot(most * aside.cos() - length, most * aside.sin());
        let slip = pose.outcome(0).residual;
        prop_assert!((slip - (left - length).abs()).abs() < 1e-11);
        prop_assert!(slip <= most + 1e-11);
        // Of the two extremes, one is reached when the shift lies along the bone.
        if aside.sin().abs() < 0.1 {
            prop_assert!(slip > 0.9 * most);
        }
    }

    /// docs/mathematics.md 7: child ← P⁻¹·R⁻¹·P·child undoes a world turn R of the parent above it.
    #[test]
    fn conjugation_keeps_the_child(parent in prop::array::uniform6(-2.0..2.0), child in prop::array::uniform6(-2.0..2.0), turn in prop::array::uniform3(-2.0..2.0), pivot in prop::array::uniform3(-90.0..90.0)) {
        let transform = |v: [f64; 6]| Transform::new(Vec3::new(v[0], v[1], v[2]) * 50.0, Vec3::new(v[3], v[4], v[5]));
        let rigid = |rest, parent| Node { parent, rest, order: Order::Xyz, limits: [LOCKED; 6] };
        let world = |nodes: Vec<Node>| {
            let mechanism = Mechanism::new(nodes, vec![]).unwrap();
            let mut pose = mechanism.pose();
            mechanism.evaluate(&mut pose);
            *pose.world(1)
        };
        let (p, c) = (transform(parent), transform(child));
        let (r, centre) = (Rotation::from_scaled_axis(Vec3::from(turn)), Vec3::from(pivot));
        let lift = Transform::from_parts((centre - r * centre).into(), r);
        let before = world(vec![rigid(p, None), rigid(c, Some(0))]);
        let after = world(vec![rigid(lift * p, None), rigid(p.inverse() * lift.inverse() * p * c, Some(0))]);
        prop_assert!((before.translation.vector - after.translation.vector).norm() < 1e-11);
        prop_assert!((before.rotation.coords - after.rotation.coords).norm() < 1e-13);
    }

    /// Bringing up to date gives the same bits as starting over, whatever was changed.
    #[test]
    fn partial_evaluation_equals_full(changes in prop::collection::vec((0..7usize, 0..6usize, -1.5..1.5), 1..12)) {
        let mut nodes = nodes();
        nodes.push(mount(None, [10.0, 55.0, 20.0]));
        let anchors = vec![anchor(3, 4, 6, Solver::Aim), anchor(0, 2, 5, two_bone(Vec3::z()))];
        let mechanism = Mechanism::new(nodes, anchors).unwrap();
        let mut pose = mechanism.pose();
        mechanism.evaluate(&mut pose);
        for (node, channel, value) in changes {
            let channel = Channel::ALL[channel];
            pose.set_channel(node, channel, if channel.is_turn() { value } else { 30.0 * value });
            mechanism.evaluate(&mut pose);
            let mut fresh = mechanism.pose();
            for node in 0..7 {
                for channel in Channel::ALL {
                    fresh.set_channel(node, channel, pose.channel(node, channel));
                }
            }
            mechanism.evaluate_all(&mut fresh);
            for node in 0..7 {
                prop_assert_eq!(fresh.world(node), pose.world(node));
                prop_assert_eq!(fresh.local(node), pose.local(node));
            }
            prop_assert_eq!(fresh.outcome(0), pose.outcome(0));
            prop_assert_eq!(fresh.outcome(1), pose.outcome(1));
        }
    }
}

#[test]
fn not_a_number_is_turned_away() {
    let mechanism = Mechanism::new(nodes(), vec![]).unwrap();
    let mut pose = mechanism.pose();
    pose.set_channel(0, Channel::TurnX, 0.5);
    for bad in [f64::NAN, f64::INFINITY] {
        pose.set_channel(0, Channel::TurnX, bad);
        assert_eq!(pose.channel(0, Channel::TurnX), 0.5);
    }
}
