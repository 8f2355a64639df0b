//! Thumb anchors against SciPy, best of many starts: on 600 pads, many of them out of reach or
//! held by limits, never more than 1e-6 mm farther than bounded least squares; and where the
//! pad reaches, never more than 1e-6 rad² farther from the rest flexions than SLSQP.
use kinematics::{Anchor, Node, Order, Rotation, Solver, Transform, Vec3};
use reference::{LOCKED, askew, between, build, degrees, describe, node, oracle, vector};
use serde_json::json;

const CASES: usize = 600;

struct Case {
    joints: Vec<Node>,
    pad: Vec3,
    target: Vec3,
    rest: [f64; 2],
}

/// A thumb (bones after Buryanov & Kotiuk 2010; ranges of motion and the turn between the axes
/// invented), or one with any lengths, axes, orders, rest frames and limits; and a target that a
/// pose within the limits reaches, or one a few mm or a hand's breadth from that.
fn case(index: usize, random: &mut fastrand::Rng) -> Case {
    let hinge = |limits| [LOCKED, LOCKED, limits];
    let mut joints = vec![
        node(
            None,
            Vec3::zeros(),
            Order::Zxy,
            [degrees(-70.0, 0.0), LOCKED, degrees(-20.0, 15.0)],
        ),
        node(
            Some(0),
            Vec3::y() * -46.2,
            Order::Xyz,
            hinge(degrees(0.0, 50.0)),
        ),
        node(
            Some(1),
            Vec3::y() * -31.6,
            Order::Xyz,
            hinge(degrees(-20.0, 80.0)),
        ),
    ];
    let mut pad = Vec3::new(3.0, -13.0, 0.0);
    match index % 4 {
        // Hinges along an axis of the base.
        0 => {}
        1 => {
            let aslant = Rotation::from_scaled_axis(Vec3::new(0.2, 0.9, -0.1));
            joints[1].rest = Transform::from_parts(joints[1].rest.translation, aslant);
        }
        2 => {
            let aslant = Rotation::from_scaled_axis(Vec3::y() * between(random, -1.5, 1.5));
            joints[1].rest = Transform::from_parts(joints[1].rest.translation, aslant);
            let aslant = Rotation::from_scaled_axis(vector(random, 0.3));
            joints[2].rest = Transform::from_parts(joints[2].rest.translation, aslant);
        }
        _ => {
            askew(&mut joints, random);
            pad += vector(random, 5.0);
        }
    }
    let within = |(min, max): (f64, f64), random: &mut fastrand::Rng| between(random, min, max);
    let mut nodes = joints.clone();
    nodes.push(node(Some(2), pad, Order::Xyz, [LOCKED; 3]));
    let (mechanism, mut pose) = build(nodes, vec![]);
    for (at, joint) in joints.iter().enumerate() {
        let [x, y, z] = [0, 1, 2].map(|axis| within(joint.limits[axis], random));
        reference::set(&mut pose, at, [x, y, z, 0.0, 0.0, 0.0]);
    }
    mechanism.evaluate(&mut pose);
    let off = [0.0, 3.0, 0.0, 40.0, 10.0][index / 4 % 5];
    let target = pose.world(3).translation.vector + vector(random, off);
    let rest = [1, 2].map(|joint: usize| {
        let turns = &joints[joint].limits[..3];
        let free = turns.iter().find(|&&turn| turn != LOCKED);
        within(*free.expect("a hinge"), random)
    });
    let rest = if index % 4 == 3 { rest } else { [0.25, 0.15] };
    Case {
        joints,
        pad,
        target,
        rest,
    }
}

#[test]
fn pads_are_never_farther_nor_less_at_rest_than_scipys() {
    let mut random = fastrand::Rng::with_seed(5);
    let cases: Vec<_> = (0..CASES).map(|index| case(index, &mut random)).collect();
    let asked: Vec<_> = cases
        .iter()
        .map(|case| {
            let joints: Vec<_> = case.joints.iter().map(|node| describe(node, [0.0; 6])).collect();
            json!({"joints": joints, "pad": case.pad.as_slice(), "target": case.target.as_slice(), "rest": case.rest})
        })
        .collect();
    let scipy = oracle("thumb", &json!(asked));
    let scipy = scipy.as_array().expect("a list");
    assert_eq!(scipy.len(), CASES);

    let (mut limited, mut reached) = (0, 0);
    let (mut farther, mut restless) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
    let mut worse = Vec::new();
    for (index, (case, theirs)) in cases.iter().zip(scipy).enumerate() {
        let mut nodes = case.joints.clone();
        nodes.push(node(Some(2), case.pad, Order::Xyz, [LOCKED; 3]));
        nodes.push(node(None, case.target, Order::Xyz, [LOCKED; 3]));
        let anchor = Anchor {
            base: 0,
            end: 3,
            target: 4,
            solver: Solver::Thumb {
                rest: case.rest,
                contact: None,
            },
        };
        let (mechanism, mut pose) = build(nodes, vec![anchor]);
        mechanism.evaluate(&mut pose);
        let mut unrest = 0.0;
        for (joint, node) in case.joints.iter().enumerate() {
            let turns = mechanism.turns(&pose, joint);
            for axis in 0..3 {
                let (min, max) = node.limits[axis];
                assert!(
                    turns[axis] >= min - 1e-12 && turns[axis] <= max + 1e-12,
                    "case {index}, joint {joint}: {turns:?}"
                );
                if joint > 0 && min < max {
                    let off = turns[axis] - case.rest[joint - 1];
                    unrest += off * off;
                }
            }
        }
        let outcome = pose.outcome(0);
        let ours = (pose.world(3).translation.vector - case.target).norm();
        assert!((outcome.residual - ours).abs() < 1e-12);
        limited += usize::from(outcome.limited);
        let (best, least) = (theirs[0].as_f64().expect("a residual"), theirs[1].as_f64());
        farther = farther.max(ours - best);
        if ours > best + 1e-6 {
            worse.push(format!(
                "case {index}: {ours} mm against {best}, {outcome:?}"
            ));
        } else if let Some(least) = least {
            reached += 1;
            restless = restless.max(unrest - least);
            if unrest > least + 1e-6 {
                worse.push(format!(
                    "case {index}: {unrest} rad² against {least}, {outcome:?}"
                ));
            }
        }
    }
    println!(
        "{CASES} pads, {limited} with a limit hit, {reached} reached; worst excess {farther:.1e} mm, {restless:.1e} rad²"
    );
    assert!(
        limited > CASES / 3 && reached > CASES / 3 && reached < CASES * 9 / 10,
        "the cases try limits"
    );
    assert!(
        worse.is_empty(),
        "{} worse:\n{}",
        worse.len(),
        worse[..worse.len().min(40)].join("\n")
    );
}
