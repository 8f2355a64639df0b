//! Finger anchors: the pose that planted a pad is found again, on the branch asked for, and
//! what limits, collapse and reach do to it. (Against SciPy: tests/reference.)
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
mod common;
use common::*;
use kinematics::{BuildError, Channel, Mechanism, Node, Order, Pose, Solver, Vec3};
use proptest::prelude::*;

/// Index, middle, ring and little finger: phalanges, mm (Buryanov & Kotiuk 2010).
const PHALANGES: [[f64; 3]; 4] = [
    [39.8, 22.4, 15.8],
    [44.6, 26.3, 17.4],
    [41.4, 25.7, 17.3],
    [32.7, 18.1, 16.0],
];
/// The pad's centre from the last joint: 4 mm to the palm, 4 mm short of the bone's end.
const PAD: [f64; 2] = [4.0, 4.0];
const TWO_THIRDS: f64 = 2.0 / 3.0;
const REST: f64 = 12.0;

fn degrees(min: f64, max: f64) -> (f64, f64) {
    (min.to_radians(), max.to_radians())
}

fn finger_solver(rest: f64) -> Solver {
    Solver::Finger {
        coupling: TWO_THIRDS,
        rest: rest.to_radians(),
        give: 0.0,
        contact: None,
    }
}

/// Target 0; knuckle 1 (abduction about x, then flexion about z), hinges 2 and 3, pad 4.
/// Bones run along −y, the palm's side is +x.
fn finger(lengths: [f64; 3], middle: (f64, f64), solver: Solver) -> (Mechanism, Pose) {
    let mut nodes = vec![
        mount(None, [0.0; 3]),
        node(
            None,
            [0.0; 3],
            [degrees(-20.0, 20.0), LOCKED, degrees(-45.0, 90.0)],
        ),
        node(Some(1), [0.0, -lengths[0], 0.0], [LOCKED, LOCKED, middle]),
        node(
            Some(2),
            [0.0, -lengths[1], 0.0],
            [LOCKED, LOCKED, degrees(-60.0, 90.0)],
        ),
        mount(Some(3), [PAD[0], PAD[1] - lengths[2], 0.0]),
    ];
    nodes[1].order = Order::Xzy;
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 4, 0, solver)]).unwrap();
    let pose = mechanism.pose();
    (mechanism, pose)
}

/// Where the pad is at these degrees of abduction, knuckle flexion, q and last flexion, by the
/// plane geometry of three bones.
fn pad(lengths: [f64; 3], [abduction, flexion, q, last]: [f64; 4]) -> Vec3 {
    let [a, f, q, d] = [abduction, flexion, q, last].map(f64::to_radians);
    let along = |length: f64, angle: f64| (length * angle.sin(), -length * angle.cos());
    let whole = f + q + d;
    let parts = [
        along(lengths[0], f),
        along(lengths[1], f + q),
        along(lengths[2] - PAD[1], whole),
    ];
    let (x, y) = parts
        .iter()
        .fold((PAD[0] * whole.cos(), PAD[0] * whole.sin()), |sum, part| {
            (sum.0 + part.0, sum.1 + part.1)
        });
    Vec3::new(x, y * a.cos(), y * a.sin())
}

fn reading(mechanism: &Mechanism, pose: &Pose) -> [f64; 4] {
    let turns = |node| mechanism.turns(pose, node);
    [turns(1)[0], turns(1)[2], turns(2)[2], turns(3)[2]].map(f64::to_degrees)
}

proptest! {
    /// Any pose within the limits is found again from its pad alone; the last joint turns by 2/3.
    #[test]
    fn planted_pose_is_found_again(
        which in 0..4usize, abduction in -20.0..20.0, flexion in -45.0..90.0, q in 2.0..100.0,
    ) {
        let (mechanism, mut pose) = finger(PHALANGES[which], degrees(0.0, 100.0), finger_solver(REST));
        let angles = [abduction, flexion, q, q * TWO_THIRDS];
        send(&mechanism, &mut pose, 0, pad(PHALANGES[which], angles));
        prop_assert!(pose.outcome(0).residual < 1e-12);
        prop_assert!(!pose.outcome(0).limited);
        for (found, angle) in reading(&mechanism, &pose).into_iter().zip(angles) {
            prop_assert!((found - angle).abs() < 1e-7, "{found} for {angle}");
        }
    }

    /// Where a finger may bend either way, the branch that holds the rest flexion is kept.
    #[test]
    fn the_branch_of_the_rest_is_kept(which in 0..4usize, q in 15.0..45.0, flexion in -20.0..60.0) {
        let middle = degrees(-60.0, 100.0);
        for side in [1.0, -1.0] {
            let (mechanism, mut pose) = finger(PHALANGES[which], middle, finger_solver(30.0 * side));
            let angles = [3.0, flexion, side * q, side * q * TWO_THIRDS];
            send(&mechanism, &mut pose, 0, pad(PHALANGES[which], angles));
            prop_assert!(pose.outcome(0).residual < 1e-12);
            prop_assert!((reading(&mechanism, &pose)[2] - angles[2]).abs() < 1e-7);
        }
    }

    /// Out of reach, the pad stops on the line to the target, as far as a dense search of the
    /// flexion finds it can be; the reach margin says by how much.
    #[test]
    fn reach_margin_is_measured_from_the_farthest_pad(which in 0..4usize, over in 0.1..30.0_f64) {
        let lengths = PHALANGES[which];
        let (mechanism, mut pose) = finger(lengths, degrees(0.0, 100.0), finger_solver(REST));
        let farthest = (0..=100_000)
            .map(|step| f64::from(step) * 1e-3)
            .map(|q| pad(lengths, [0.0, 0.0, q, q * TWO_THIRDS]).norm())
            .fold(0.0_f64, f64::max);
        send(&mechanism, &mut pose, 0, Vec3::new(10.0, -farthest, 5.0).normalize() * (farthest + over));
        let outcome = *pose.outcome(0);
        prop_assert!((outcome.residual - over).abs() < 1e-8, "{outcome:?}");
        prop_assert!((outcome.reach_margin + over).abs() < 1e-8, "{outcome:?}");
    }
}

/// Rijpkema & Girard's 2/3 keeps the distance from knuckle to pad falling as a finger of the
/// table flexes (docs/mathematics.md 10), and flat where its bones are in line.
#[test]
fn distance_falls_with_flexion_for_the_tables_bones() {
    for lengths in PHALANGES {
        let far = |q: f64| pad(lengths, [0.0, 0.0, q, q * TWO_THIRDS]).norm();
        for step in 0..1000 {
            let q = 0.1 * f64::from(step);
            assert!(far(q + 0.1) < far(q), "{q}");
        }
        // Straight bones seen at their ends give nothing at first: a planted finger needs its
        // rest bend.
        let [a, b, c] = lengths;
        let tip = |q: f64| {
            let [q, d] = [q, TWO_THIRDS * q].map(f64::to_radians);
            (a + b * q.cos() + c * (q + d).cos()).hypot(b * q.sin() + c * (q + d).sin())
        };
        let [first, later] = [tip(0.0) - tip(0.1), tip(REST) - tip(REST + 0.1)];
        assert!(first < 0.01 * later, "{first} {later}");
    }
}

#[test]
fn collapse_straightens_the_last_joint_then_bows_it_back_to_its_loaded_limit() {
    let lengths = PHALANGES[1];
    let give = 10f64.to_radians();
    let solver = Solver::Finger {
        coupling: TWO_THIRDS,
        rest: REST.to_radians(),
        give,
        contact: None,
    };
    let (mechanism, _) = finger(lengths, degrees(0.0, 100.0), solver);
    let mut nodes: Vec<Node> = mechanism.nodes().to_vec();
    nodes[3].limits[2] = degrees(0.0, 90.0);
    let mechanism = Mechanism::new(nodes, mechanism.anchors().to_vec()).unwrap();
    let mut pose = mechanism.pose();
    send(
        &mechanism,
        &mut pose,
        0,
        pad(lengths, [0.0, 20.0, 30.0, 20.0]),
    );
    assert!((reading(&mechanism, &pose)[3] - 20.0).abs() < 1e-7);
    pose.set_collapse(0, TWO_THIRDS);
    mechanism.evaluate(&mut pose);
    assert_eq!(reading(&mechanism, &pose)[3], 0.0);
    assert!(pose.outcome(0).residual < 1e-12);
    pose.set_collapse(0, f64::NAN);
    pose.set_collapse(0, 0.9);
    mechanism.evaluate(&mut pose);
    let [.., q, last] = reading(&mechanism, &pose);
    assert!(
        (last - (TWO_THIRDS - 0.9) * q).abs() < 1e-9 && last < -5.0,
        "{q} {last}"
    );
    // A pad so near that the bow would pass the loaded limit.
    send(
        &mechanism,
        &mut pose,
        0,
        pad(lengths, [0.0, 20.0, 55.0, -10.0]),
    );
    let [.., q, last] = reading(&mechanism, &pose);
    assert!(
        (last + 10.0).abs() < 1e-9 && (q * (TWO_THIRDS - 0.9) - last).abs() < 1e-9,
        "{q} {last}"
    );
    assert!(pose.outcome(0).limited && pose.outcome(0).residual > 0.1);
}

/// A target sideways of the knuckle, on the abduction axis, leaves abduction open: it stays
/// what its channel says, and does not jump as the target passes by.
#[test]
fn on_the_abduction_axis_the_channels_abduction_is_kept() {
    let mut nodes = vec![
        mount(None, [0.0; 3]),
        node(
            None,
            [0.0; 3],
            [degrees(-180.0, 180.0), LOCKED, degrees(-170.0, 170.0)],
        ),
        node(
            Some(1),
            [0.0, -40.0, 0.0],
            [LOCKED, LOCKED, degrees(0.0, 100.0)],
        ),
        node(
            Some(2),
            [0.0, -25.0, 0.0],
            [LOCKED, LOCKED, degrees(0.0, 90.0)],
        ),
        mount(Some(3), [0.0, -15.0, 0.0]),
    ];
    nodes[1].order = Order::Xzy;
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 4, 0, finger_solver(REST))]).unwrap();
    let mut pose = mechanism.pose();
    pose.set_channel(1, Channel::TurnX, 0.3);
    send(&mechanism, &mut pose, 0, Vec3::new(70.0, 0.0, 0.0));
    assert!(pose.outcome(0).residual < 1e-12);
    assert!((mechanism.turns(&pose, 1)[0] - 0.3).abs() < 1e-9);
    // Just beside the axis there are two ways, half a turn of abduction apart: the nearer one.
    for side in [1e-3, -1e-3] {
        send(
            &mechanism,
            &mut pose,
            0,
            Vec3::new(70.0, side * -(0.3f64.cos()), side * -(0.3f64.sin())),
        );
        assert!(pose.outcome(0).residual < 1e-12);
        assert!((mechanism.turns(&pose, 1)[0] - 0.3).abs() < 1e-9);
    }
}

#[test]
fn what_is_not_a_finger_is_refused() {
    let (mechanism, _) = finger(PHALANGES[0], degrees(0.0, 100.0), finger_solver(REST));
    let refusal = |change: &dyn Fn(&mut Vec<Node>, &mut Solver)| {
        let (mut nodes, mut anchors) = (mechanism.nodes().to_vec(), mechanism.anchors().to_vec());
        change(&mut nodes, &mut anchors[0].solver);
        Mechanism::new(nodes, anchors).err()
    };
    let not_a_finger = Some(BuildError::NotAFinger { anchor: 0 });
    assert_eq!(refusal(&|_, _| ()), None);
    assert_eq!(refusal(&|nodes, _| nodes[1].limits[1] = FREE), not_a_finger);
    assert_eq!(
        refusal(&|nodes, _| nodes[1].limits[0] = LOCKED),
        not_a_finger
    );
    // The locked axis between the two free ones could stand at any angle.
    assert_eq!(
        refusal(&|nodes, _| nodes[1].order = Order::Xyz),
        not_a_finger
    );
    assert_eq!(refusal(&|nodes, _| nodes[3].limits[0] = FREE), not_a_finger);
    assert_eq!(
        refusal(&|_, solver| *solver = finger_solver(f64::NAN)),
        not_a_finger
    );
    let bones = |bones| Some(BuildError::WrongBoneCount { anchor: 0, bones });
    assert_eq!(refusal(&|nodes, _| nodes[2].limits[2] = LOCKED), bones(2));
}

/// An anchor that is off holds nothing, whether or not its end would touch.
#[test]
fn an_anchor_that_is_off_holds_nothing() {
    let solver = Solver::Finger {
        coupling: TWO_THIRDS,
        rest: REST.to_radians(),
        give: 0.0,
        contact: None,
    };
    let (mechanism, mut pose) = finger(PHALANGES[1], degrees(0.0, 100.0), solver);
    mechanism.evaluate(&mut pose);
    assert_eq!(pose.outcome(0).hold, 1.0);
    pose.set_active(0, false);
    mechanism.evaluate(&mut pose);
    assert_eq!(pose.outcome(0).hold, 0.0);
}
