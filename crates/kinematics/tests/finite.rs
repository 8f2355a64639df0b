//! Whatever the limits and the lengths, a solve ends in numbers.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
mod common;
use common::*;
use kinematics::{Channel, Contact, Mechanism, Order, Pose, Round, Solver, Vec3};
use proptest::prelude::*;

/// Target 0; a digit from 1 to its pad 5, with these limits of the knuckle's two turns and of
/// both hinges.
fn digit(solver: Solver, limits: [(f64, f64); 4], pad: f64) -> (Mechanism, Pose) {
    let [outer, inner, middle, last] = limits;
    let mut nodes = vec![
        mount(None, [0.0; 3]),
        node(None, [0.0; 3], [outer, LOCKED, inner]),
        node(Some(1), [0.0, -40.0, 0.0], [LOCKED, LOCKED, middle]),
        node(Some(2), [0.0, -22.0, 0.0], [LOCKED, LOCKED, last]),
        mount(Some(3), [4.0, -pad, 0.0]),
    ];
    nodes[1].order = Order::Xzy;
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 4, 0, solver)]).unwrap();
    let pose = mechanism.pose();
    (mechanism, pose)
}

fn finger(rest: f64, coupling: f64) -> Solver {
    Solver::Finger {
        coupling,
        rest,
        give: 0.0,
        contact: None,
    }
}

/// Every number of the pose.
fn is_finite(mechanism: &Mechanism, pose: &Pose) -> bool {
    let nodes = 0..mechanism.nodes().len();
    let placed = nodes.clone().all(|node| {
        let world = pose.world(node);
        let turn = world.rotation.coords;
        world.translation.vector.iter().all(|x| x.is_finite()) && (turn.norm() - 1.0).abs() < 1e-9
    });
    let outcome = pose.outcome(0);
    placed
        && [outcome.residual, outcome.reach_margin, outcome.hold]
            .iter()
            .all(|x| x.is_finite())
}

fn flexions(mechanism: &Mechanism, pose: &Pose) -> [f64; 2] {
    [2, 3].map(|joint| mechanism.turns(pose, joint)[2])
}

/// A last joint without limits turns as one whose limits never bind.
#[test]
fn a_last_joint_needs_no_limits() {
    let knuckle = [(-0.35, 0.35), (-0.8, 1.6), (0.0, 1.7)];
    let [outer, inner, middle] = knuckle;
    let at = Vec3::new(30.0, -55.0, 4.0);
    let [free, wide] = [FREE, (-3.0, 3.0)].map(|last| {
        let (mechanism, mut pose) = digit(finger(0.2, 0.7), [outer, inner, middle, last], 12.0);
        send(&mechanism, &mut pose, 0, at);
        assert!(is_finite(&mechanism, &pose), "{last:?}");
        assert!(pose.outcome(0).residual < 1e-12);
        flexions(&mechanism, &pose)
    });
    assert_eq!(free, wide);
}

/// A digit that rests outside its limits is searched for within them, half a turn from where it
/// comes nearest to its rest.
#[test]
fn a_rest_outside_the_limits_does_not_lift_them() {
    for middle in [(4.0, 5.0), (-9.0, -8.5), (3.3, 40.0)] {
        for solver in [
            finger(0.2, 0.7),
            Solver::Thumb {
                rest: [0.2, 0.1],
                contact: None,
            },
        ] {
            let (mechanism, mut pose) = digit(solver, [FREE, FREE, middle, FREE], 12.0);
            for far in 1..40 {
                send(
                    &mechanism,
                    &mut pose,
                    0,
                    Vec3::new(0.5, 2.0, 0.3) * f64::from(far),
                );
                let [bent, _] = flexions(&mechanism, &pose);
                // A turn read back is one of its equals.
                let turns = (middle.0 - 1e-9 - bent) / std::f64::consts::TAU;
                let bent = bent + turns.ceil() * std::f64::consts::TAU;
                assert!(bent <= middle.1 + 1e-9, "{solver:?} {middle:?} {bent}");
            }
        }
    }
}

/// The knee of a two-bone chain as wide as its whole range begins at the nearest the end can
/// come, or by rounding a hair nearer than that.
#[test]
fn a_knee_as_wide_as_the_range_is_a_number() {
    for step in 1..2000 {
        let (upper, lower) = (
            30.0 + 0.0137 * f64::from(step),
            43.0 - 0.0071 * f64::from(step),
        );
        let rise = 0.9;
        let nodes = vec![
            mount(None, [0.0; 3]),
            ball(None, [0.0; 3]),
            hinge(Some(1), [upper, 0.0, 0.0]),
            ball(Some(2), [0.0, lower, rise]),
        ];
        let solver = Solver::TwoBone {
            pole: None,
            softness: 1e9,
            bend: Vec3::z(),
        };
        let mechanism = Mechanism::new(nodes, vec![anchor(1, 3, 0, solver)]).unwrap();
        let mut pose = mechanism.pose();
        let apart = upper - lower;
        let nearest = (apart * apart + rise * rise).sqrt();
        let near = f64::from_bits(nearest.to_bits() + 1);
        send(&mechanism, &mut pose, 0, Vec3::new(near, 0.0, 0.0));
        assert!(is_finite(&mechanism, &pose), "{upper} {lower}");
    }
}

/// Joints a hair apart: their squared distance has no digits left.
#[test]
fn joints_a_hair_apart_have_no_direction() {
    for hair in [5e-324, 1e-320, 1e-200, 1e-162, 3e-161, 1e-154, 1e-150] {
        let (iterations, tolerance) = (20, 1e-9);
        for solver in [
            Solver::Fabrik {
                iterations,
                tolerance,
            },
            Solver::DampedLeastSquares {
                iterations,
                tolerance,
            },
        ] {
            let free = [FREE; 3];
            let nodes = vec![
                mount(None, [0.0; 3]),
                node(None, [0.0; 3], free),
                node(Some(1), [hair, 0.0, 0.0], free),
                node(Some(2), [0.0, 20.0, 0.0], free),
                node(Some(3), [hair, 0.0, hair], free),
            ];
            let mechanism = Mechanism::new(nodes, vec![anchor(1, 4, 0, solver)]).unwrap();
            let mut pose = mechanism.pose();
            for at in [
                Vec3::new(10.0, 3.0, 0.0),
                Vec3::new(hair, 0.0, 0.0),
                Vec3::new(0.0, hair, hair),
            ] {
                send(&mechanism, &mut pose, 0, at);
                assert!(is_finite(&mechanism, &pose), "{solver:?} {hair} {at:?}");
            }
        }
    }
}

fn limits() -> impl Strategy<Value = (f64, f64)> {
    let wide = prop_oneof![-4.0..4.0, -2e7..2e7];
    prop_oneof![
        Just(FREE),
        (wide.clone(), 1e-12..1e-3).prop_map(|(low, by)| (low, low + by)),
        (wide.clone(), wide).prop_map(|(a, b)| if a < b { (a, b) } else { (b, a + 1.0) }),
        (-4.0..4.0).prop_map(|low| (low, f64::INFINITY)),
    ]
}

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -4.0..4.0,
        1 => Just(0.0),
        1 => prop_oneof![Just(1e-300), Just(-1e9), Just(1e9), Just(1.7e7)],
    ]
}

/// None, or one that passes the door.
fn contact() -> impl Strategy<Value = Option<Contact>> {
    let size = prop_oneof![4 => 1.0..9.0, 1 => prop_oneof![Just(1e-300), Just(1e-9), Just(1e9)]];
    let flat = prop_oneof![Just(1.0), 1.0..8.0];
    let rest = [number(), number(), number(), number()];
    let joints = (0.0..9.0, prop_oneof![0.0..9.0, Just(1e9)]);
    let curve =
        prop_oneof![2 => 1.0..60.0, 1 => Just(0.0), 1 => prop_oneof![Just(1e-300), Just(1e9)]];
    let end = || prop_oneof![0.0..3.2, Just(1e9)];
    let round = (curve, number(), number(), end(), end()).prop_map(
        |(radius, ahead, aside, from, to): (f64, f64, f64, f64, f64)| {
            let ahead: f64 = ahead * 5.0;
            Round {
                radius,
                ahead,
                aside,
                spread: (
                    if ahead > 0.0 { 0.0 } else { -from },
                    if ahead < 0.0 { 0.0 } else { to },
                ),
            }
        },
    );
    // Seldom: what is as odd as this is sought round its curve for long.
    let round = prop_oneof![60 => Just(None), 1 => round.prop_map(Some)];
    let some = (size, flat, rest, joints, round).prop_map(
        |(radius, flat, rest, (middle, last), round)| Contact {
            radius,
            pad: radius * flat,
            changeover: rest[0],
            joints: [middle, last],
            pitch: rest[1],
            tilt: rest[2],
            heading: rest[3],
            round,
        },
    );
    prop_oneof![1 => Just(None), 3 => some.prop_map(Some)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20000))]

    #[test]
    fn a_digit_ends_in_numbers(
        limits in [limits(), limits(), limits(), limits()],
        (rest, other, coupling) in (number(), number(), number()),
        at in [-80.0..80.0, -80.0..80.0, -80.0..80.0], far in prop_oneof![Just(0.0), Just(1.0), Just(1e-200), Just(1e12)],
        thumb in any::<bool>(), contact in contact(), hold in prop_oneof![Just(1.0), 0.0..1.0],
        turned in [number(), number(), number()], collapse in number(), give in 0.0..2e7, pad in prop_oneof![Just(12.0), Just(0.0)],
    ) {
        let solver = if thumb {
            Solver::Thumb {
                rest: [rest, other],
                contact,
            }
        } else {
            Solver::Finger { coupling, rest, give, contact }
        };
        prop_assume!(limits.iter().all(|(min, max)| min < max));
        let (mechanism, mut pose) = digit(solver, limits, pad);
        pose.set_collapse(0, collapse);
        pose.set_hold(0, hold);
        // The surface may be turned anyhow, through the hand and upside down.
        for (axis, channel) in Channel::ALL.into_iter().take(3).enumerate() {
            pose.set_channel(0, channel, turned[axis]);
        }
        send(&mechanism, &mut pose, 0, Vec3::from(at) * far);
        prop_assert!(is_finite(&mechanism, &pose), "{:?}", pose.outcome(0));
    }
}
