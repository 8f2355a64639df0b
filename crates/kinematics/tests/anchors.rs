//! Anchors against the closed forms of docs/mathematics.md 2, 3 and 5, and two textbook mechanisms.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
mod common;
use common::*;
use kinematics::solve::{bend_gain, least_singular_value};
use kinematics::{Channel, Mechanism, Node, Pose, Solver, Vec3};
use proptest::prelude::*;

type MakeJoint = fn(Option<usize>, [f64; 3]) -> Node;

/// Target mount 0, then a chain of two bones along x from joint 1 to node 3.
fn arm(joint: MakeJoint, lengths: [f64; 2], softness: f64) -> (Mechanism, Pose) {
    let nodes = vec![
        mount(None, [lengths[0] + lengths[1], 0.0, 0.0]),
        joint(None, [0.0; 3]),
        joint(Some(1), [lengths[0], 0.0, 0.0]),
        mount(Some(2), [lengths[1], 0.0, 0.0]),
    ];
    let solver = Solver::TwoBone {
        pole: None,
        softness,
        bend: Vec3::z(),
    };
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 3, 0, solver)]).unwrap();
    let pose = mechanism.pose();
    (mechanism, pose)
}

fn reading(mechanism: &Mechanism, pose: &Pose, joint: usize) -> f64 {
    mechanism.turns(pose, joint)[2]
}

#[test]
fn straight_finger_bends_18_1_degrees_for_the_first_millimetre_then_7_5() {
    for joint in [hinge as MakeJoint, ball] {
        let (mechanism, mut pose) = arm(joint, [40.0, 40.0], 0.0);
        let bend = |pose: &mut Pose, epsilon: f64| {
            send(&mechanism, pose, 0, Vec3::new(80.0 - epsilon, 0.0, 0.0));
            assert!(pose.outcome(0).residual < 1e-12);
            reading(&mechanism, pose, 2)
        };
        for epsilon in [1e-9, 0.01, 1.0, 2.0, 30.0, 79.0] {
            let expected = 2.0 * ((80.0 - epsilon) / 80.0f64).acos();
            assert!((bend(&mut pose, epsilon) - expected).abs() < 1e-7);
        }
        let (one, two) = (
            bend(&mut pose, 1.0).to_degrees(),
            bend(&mut pose, 2.0).to_degrees(),
        );
        assert_eq!(format!("{one:.1} {:.1}", two - one), "18.1 7.5");
    }
}

#[test]
fn gain_five_degrees_a_millimetre_needs_33_3_degrees_of_bend() {
    let (mechanism, mut pose) = arm(hinge, [40.0, 40.0], 0.0);
    let bend = 2.0 * (1.0 / (40.0 * 5f64.to_radians())).asin();
    assert_eq!(format!("{:.1}", bend.to_degrees()), "33.3");
    send(
        &mechanism,
        &mut pose,
        0,
        Vec3::new(80.0 * (bend / 2.0).cos(), 0.0, 0.0),
    );
    assert!((reading(&mechanism, &pose, 2) - bend).abs() < 1e-12);
    assert!((bend_gain(&mechanism, &pose, 0).to_degrees() - 5.0).abs() < 1e-10);
}

#[test]
fn straight_chain_has_infinite_gain_and_no_least_singular_value() {
    let (mechanism, mut pose) = arm(hinge, [40.0, 40.0], 0.0);
    mechanism.evaluate(&mut pose);
    assert_eq!(bend_gain(&mechanism, &pose, 0), f64::INFINITY);
    assert!(least_singular_value(&mechanism, &pose, 0) < 1e-12);
}

/// docs/mathematics.md 3: near straight, ‖dq/dε‖·σmin → 1 and |dq₂/dε|·σmin → 2/√5, by central differences.
#[test]
fn over_reaction_tends_to_the_reciprocal_of_the_least_singular_value() {
    let (mechanism, mut pose) = arm(hinge, [40.0, 40.0], 0.0);
    let mut at = |epsilon: f64| {
        send(
            &mechanism,
            &mut pose,
            0,
            Vec3::new(80.0 - epsilon, 0.0, 0.0),
        );
        let q = [reading(&mechanism, &pose, 1), reading(&mechanism, &pose, 2)];
        (
            q,
            least_singular_value(&mechanism, &pose, 0),
            bend_gain(&mechanism, &pose, 0),
        )
    };
    let epsilon = 1e-4;
    let ([a, b], ..) = at(epsilon * 1.001);
    let ([c, d], ..) = at(epsilon * 0.999);
    let (_, sigma, gain) = at(epsilon);
    let (base, middle) = ((a - c) / (0.002 * epsilon), (b - d) / (0.002 * epsilon));
    assert!((base.hypot(middle) * sigma - 1.0).abs() < 1e-4);
    assert!((middle * sigma - 2.0 / 5f64.sqrt()).abs() < 1e-4);
    assert!((middle / gain - 1.0).abs() < 1e-4);
}

proptest! {
    /// docs/mathematics.md 2: with the root at p and the bone of length L the end misses A by | |p − A| − L |.
    #[test]
    fn aimed_bone_slips_by_the_difference_of_lengths(
        root in prop::array::uniform3(-90.0..90.0), mark in prop::array::uniform3(-90.0..90.0),
        bone in prop::array::uniform3(-90.0..90.0), turn in prop::array::uniform3(-3.0..3.0),
    ) {
        let nodes = vec![mount(None, mark), ball(None, root), mount(Some(1), bone)];
        let mechanism = Mechanism::new(nodes, vec![anchor(1, 2, 0, Solver::Aim)]).unwrap();
        let mut pose = mechanism.pose();
        set_turns(&mut pose, 1, turn);
        mechanism.evaluate(&mut pose);
        let length = Vec3::from(bone).norm();
        let distance = (Vec3::from(root) - Vec3::from(mark)).norm();
        prop_assert!((pose.outcome(0).residual - (distance - length).abs()).abs() < 1e-12 * (length + distance));
        prop_assert!((pose.outcome(0).reach_margin - (length - distance)).abs() < 1e-12 * (length + distance));
        // Twist kept: the added rotation has no part about the bone it turns.
        let before = pose_without_anchors(&mechanism, &pose);
        let added = pose.world(1).rotation * before.world(1).rotation.inverse();
        let from = before.world(2).translation.vector - Vec3::from(root);
        prop_assert!(added.imag().dot(&from.normalize()).abs() < 1e-12);
    }

    /// Unequal bones, any pose, any reachable place: the end is there and the interior
    /// angle is that of the law of cosines.
    #[test]
    fn two_bones_reach_by_the_law_of_cosines(
        first in 5.0..90.0, second in 5.0..90.0, part in 0.001..0.999,
        away in prop::array::uniform3(-1.0..1.0), turns in prop::array::uniform6(-2.0..2.0),
    ) {
        let direction = Vec3::from(away);
        prop_assume!(direction.norm() > 0.1);
        let least = f64::abs(first - second);
        let distance = least + part * (first + second - least);
        let (mechanism, mut pose) = arm(ball, [first, second], 0.0);
        set_turns(&mut pose, 1, [turns[0], turns[1], turns[2]]);
        set_turns(&mut pose, 2, [turns[3], turns[4], turns[5]]);
        send(&mechanism, &mut pose, 0, direction.normalize() * distance);
        let (p, q, r) = (place(&pose, 1), place(&pose, 2), place(&pose, 3));
        prop_assert!(pose.outcome(0).residual < 1e-12 * (first + second));
        let cosine: f64 = (first * first + second * second - distance * distance) / (2.0 * first * second);
        let found: f64 = (p - q).dot(&(r - q)) / (first * second);
        prop_assert!((found - cosine).abs() < 1e-12 * (first + second) / first.min(second));
        // Bent the way it was: the normal of the bend turns with the base, never over.
        let before = pose_without_anchors(&mechanism, &pose);
        let bent = |pose: &Pose| {
            let (p, q, r) = (place(pose, 1), place(pose, 2), place(pose, 3));
            pose.world(1).rotation.inverse() * (q - p).cross(&(r - q))
        };
        prop_assert!(bent(&before).dot(&bent(&pose)) > 0.0);
    }

    /// The middle joint lies in the half-plane of the pole.
    #[test]
    fn bend_leans_towards_the_pole(
        mark in prop::array::uniform3(-60.0..60.0), pole in prop::array::uniform3(-60.0..60.0),
        turns in prop::array::uniform6(-2.0..2.0),
    ) {
        let (to, lean) = (Vec3::from(mark), Vec3::from(pole));
        prop_assume!(to.cross(&lean).norm() > 10.0 && to.norm() > 25.0 && to.norm() < 84.0);
        let nodes = vec![
            mount(None, mark), mount(None, pole), ball(None, [0.0; 3]),
            ball(Some(2), [50.0, 0.0, 0.0]), mount(Some(3), [0.0, 35.0, 0.0]),
        ];
        let solver = Solver::TwoBone { pole: Some(1), softness: 0.0, bend: Vec3::z() };
        let mechanism = Mechanism::new(nodes, vec![anchor(2, 4, 0, solver)]).unwrap();
        let mut pose = mechanism.pose();
        set_turns(&mut pose, 2, [turns[0], turns[1], turns[2]]);
        set_turns(&mut pose, 3, [turns[3], turns[4], turns[5]]);
        mechanism.evaluate(&mut pose);
        prop_assert!(pose.outcome(0).residual < 1e-11);
        let elbow = place(&pose, 3);
        prop_assert!(elbow.dot(&to.cross(&lean)).abs() < 1e-9 * to.cross(&lean).norm() * 50.0);
        let across = lean - to * (lean.dot(&to) / to.norm_squared());
        prop_assert!(elbow.dot(&across) > 0.0);
    }

    /// Hinges in a plane: the pole can only choose the side, and does.
    #[test]
    fn pole_chooses_the_side_of_a_planar_bend(x in 5.0..75.0, y in -20.0..20.0, px in -50.0..50.0, py in -50.0..50.0, turn in -2.0..2.0) {
        let (to, lean) = (Vec3::new(x, y, 0.0), Vec3::new(px, py, 0.0));
        prop_assume!(to.norm() < 79.0 && to.cross(&lean).norm() > 1.0);
        let nodes = vec![
            mount(None, [x, y, 0.0]), mount(None, [px, py, 0.0]), hinge(None, [0.0; 3]),
            hinge(Some(2), [40.0, 0.0, 0.0]), mount(Some(3), [40.0, 0.0, 0.0]),
        ];
        let solver = Solver::TwoBone { pole: Some(1), softness: 0.0, bend: Vec3::z() };
        let mechanism = Mechanism::new(nodes, vec![anchor(2, 4, 0, solver)]).unwrap();
        let mut pose = mechanism.pose();
        pose.set_channel(3, Channel::TurnZ, turn);
        mechanism.evaluate(&mut pose);
        prop_assert!(pose.outcome(0).residual < 1e-11);
        prop_assert!(to.cross(&place(&pose, 3)).z * to.cross(&lean).z > 0.0);
    }

    /// The knee: nothing is held back before it, and past it value and slope go on without
    /// a step (C1); the residual is what it costs.
    #[test]
    fn knee_is_smooth(first in 20.0..60.0, second in 20.0..60.0, softness in 0.5..8.0) {
        let (mechanism, mut pose) = arm(ball, [first, second], softness);
        let knee = first + second - softness;
        let mut reached = |distance: f64| {
            send(&mechanism, &mut pose, 0, Vec3::new(distance, 0.0, 0.0));
            let got = place(&pose, 3).norm();
            assert!((pose.outcome(0).residual - (distance - got)).abs() < 1e-9);
            got
        };
        prop_assert!((reached(knee) - knee).abs() < 1e-9);
        let h = 1e-4;
        let slope = (reached(knee + h) - reached(knee)) / h;
        prop_assert!((slope - 1.0).abs() < h / softness);
        let far = [0.5, 1.0, 1.5, 3.0].map(|part| reached(knee + part * softness));
        prop_assert!(far.windows(2).all(|pair| pair[0] < pair[1]) && far[3] < first + second);
    }

    /// A middle joint at its limit: the end stops where the limit puts it, pointing at the
    /// target, and says so.
    #[test]
    fn limit_stops_the_bend(distance in 5.0..79.0, most in 0.2..2.5) {
        let limited = node(Some(1), [40.0, 0.0, 0.0], [LOCKED, LOCKED, (0.0, most)]);
        let nodes = vec![mount(None, [distance, 0.0, 0.0]), hinge(None, [0.0; 3]), limited, mount(Some(2), [40.0, 0.0, 0.0])];
        let mechanism = Mechanism::new(nodes, vec![anchor(1, 3, 0, two_bone(Vec3::z()))]).unwrap();
        let mut pose = mechanism.pose();
        mechanism.evaluate(&mut pose);
        let least = 80.0 * (most / 2.0).cos();
        let expected = if distance < least { least - distance } else { 0.0 };
        prop_assert!((pose.outcome(0).residual - expected).abs() < 1e-11);
        prop_assert_eq!(pose.outcome(0).limited, distance < least);
        prop_assert!(reading(&mechanism, &pose, 2) <= most + 1e-15);
    }
}

/// A joint that cannot bend backwards bends forwards even from a pose that leans back.
#[test]
fn limits_choose_the_side_that_is_within_them() {
    let limited = node(Some(1), [40.0, 0.0, 0.0], [LOCKED, LOCKED, (0.0, 2.0)]);
    let nodes = vec![
        mount(None, [60.0, 10.0, 0.0]),
        hinge(None, [0.0; 3]),
        limited,
        mount(Some(2), [40.0, 0.0, 0.0]),
    ];
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 3, 0, two_bone(-Vec3::z()))]).unwrap();
    let mut pose = mechanism.pose();
    pose.set_channel(2, Channel::TurnZ, -0.3);
    mechanism.evaluate(&mut pose);
    assert!(pose.outcome(0).residual < 1e-12 && reading(&mechanism, &pose, 2) > 0.0);
}

/// Bones that are not square to the hinge, and a base that can turn about one axis only.
#[test]
fn skew_hinge_reaches_its_own_circle() {
    let skew = |parent, at| Node {
        rest: kinematics::Transform::new(Vec3::from(at), Vec3::new(0.3, -0.2, 0.1)),
        ..hinge(parent, at)
    };
    let nodes = vec![
        mount(None, [10.0, 20.0, 5.0]),
        ball(None, [0.0; 3]),
        skew(Some(1), [30.0, 4.0, 6.0]),
        mount(Some(2), [25.0, 3.0, -8.0]),
    ];
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 3, 0, two_bone(Vec3::z()))]).unwrap();
    let mut pose = mechanism.pose();
    mechanism.evaluate(&mut pose);
    assert!(pose.outcome(0).residual < 1e-12);
}

#[test]
fn opposite_directions_give_a_fixed_answer() {
    let nodes = vec![
        mount(None, [-40.0, 0.0, 0.0]),
        ball(None, [0.0; 3]),
        mount(Some(1), [40.0, 0.0, 0.0]),
    ];
    let mechanism = Mechanism::new(nodes, vec![anchor(1, 2, 0, Solver::Aim)]).unwrap();
    let mut pose = mechanism.pose();
    mechanism.evaluate(&mut pose);
    let first = *pose.world(1);
    assert!(pose.outcome(0).residual < 1e-12);
    mechanism.evaluate_all(&mut pose);
    assert_eq!(first, *pose.world(1));
}

#[test]
fn idle_anchor_is_still_measured() {
    let (mechanism, mut pose) = arm(hinge, [40.0, 40.0], 0.0);
    send(&mechanism, &mut pose, 0, Vec3::new(70.0, 0.0, 0.0));
    pose.set_active(0, false);
    mechanism.evaluate(&mut pose);
    assert_eq!(
        (pose.outcome(0).residual, pose.outcome(0).reach_margin),
        (10.0, 10.0)
    );
    assert_eq!(reading(&mechanism, &pose, 2), 0.0);
    pose.set_active(0, true);
    mechanism.evaluate(&mut pose);
    assert!(pose.outcome(0).residual < 1e-12);
}

/// The planar arm with two links: Spong, Hutchinson & Vidyasagar, Robot Modeling and
/// Control, 1st ed. (2006), section 1.5 (forward: x = a₁cosθ₁ + a₂cos(θ₁+θ₂); inverse:
/// D = (x² + y² − a₁² − a₂²)/2a₁a₂, θ₂ = atan2(±√(1−D²), D),
/// θ₁ = atan2(y, x) − atan2(a₂sinθ₂, a₁ + a₂cosθ₂)); edition and section as remembered.
#[test]
fn poses_of_one_mechanism_hold_each_in_its_own_way() {
    let (mechanism, mut held) = arm(hinge, [40.0, 40.0], 0.0);
    send(&mechanism, &mut held, 0, Vec3::new(50.0, 20.0, 0.0));
    let (mut half, mut free) = (held.clone(), held.clone());
    half.set_hold(0, 0.5);
    free.set_active(0, false);
    for pose in [&mut half, &mut free, &mut held] {
        mechanism.evaluate(pose);
    }
    let bends = [&held, &half, &free].map(|pose| reading(&mechanism, pose, 2));
    assert!(held.outcome(0).residual < 1e-12);
    assert!((bends[1] - 0.5 * bends[0]).abs() < 1e-12 && bends[2] == 0.0);
    assert_eq!((half.hold(0), free.is_active(0)), (0.5, false));
}

#[test]
fn textbook_arm_forward_and_inverse() {
    let (a1, a2) = (100.0, 60.0);
    let (mechanism, mut pose) = arm(hinge, [a1, a2], 0.0);
    let (degrees_1, degrees_2) = (30f64, 45f64);
    let (x, y) = (
        a1 * degrees_1.to_radians().cos() + a2 * (degrees_1 + degrees_2).to_radians().cos(),
        a1 * degrees_1.to_radians().sin() + a2 * (degrees_1 + degrees_2).to_radians().sin(),
    );
    // By hand: 86.602540 + 15.529143, 50 + 57.955550.
    assert!((x - 102.131683).abs() < 1e-6 && (y - 107.955550).abs() < 1e-6);

    pose.set_active(0, false);
    pose.set_channel(1, Channel::TurnZ, degrees_1.to_radians());
    pose.set_channel(2, Channel::TurnZ, degrees_2.to_radians());
    mechanism.evaluate(&mut pose);
    assert!((place(&pose, 3) - Vec3::new(x, y, 0.0)).norm() < 1e-12);

    for side in [1.0, -1.0] {
        let d = (x * x + y * y - a1 * a1 - a2 * a2) / (2.0 * a1 * a2);
        let t2 = f64::atan2(side * (1.0 - d * d).sqrt(), d);
        let t1 = y.atan2(x) - (a2 * t2.sin()).atan2(a1 + a2 * t2.cos());
        let mut pose = mechanism.pose();
        pose.set_channel(2, Channel::TurnZ, 0.1 * side);
        send(&mechanism, &mut pose, 0, Vec3::new(x, y, 0.0));
        assert!((reading(&mechanism, &pose, 1) - t1).abs() < 1e-13);
        assert!((reading(&mechanism, &pose, 2) - t2).abs() < 1e-13);
    }
}

/// A four-bar linkage (ground 80, crank 30, coupler 70, rocker 60) closed by an anchor:
/// the coupler and rocker are the two bones, from the rocker's pivot to the crank pin.
/// The rocker's angle obeys Freudenstein's equation K₁cosθ₄ − K₂cosθ₂ + K₃ = cos(θ₂ − θ₄),
/// K₁ = d/a, K₂ = d/c, K₃ = (a² − b² + c² + d²)/2ac: Norton, Design of Machinery,
/// 'position analysis' of the fourbar linkage.
#[test]
fn four_bar_linkage_obeys_freudenstein_over_a_full_turn() {
    let (a, b, c, d) = (30.0, 70.0, 60.0, 80.0);
    let nodes = vec![
        hinge(None, [0.0; 3]),
        mount(Some(0), [a, 0.0, 0.0]),
        hinge(None, [d, 0.0, 0.0]),
        hinge(Some(2), [c, 0.0, 0.0]),
        mount(Some(3), [b, 0.0, 0.0]),
    ];
    let mechanism = Mechanism::new(nodes, vec![anchor(2, 4, 1, two_bone(Vec3::z()))]).unwrap();
    let mut pose = mechanism.pose();
    let (k1, k2, k3) = (
        d / a,
        d / c,
        (a * a - b * b + c * c + d * d) / (2.0 * a * c),
    );
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    for degree in 0..360 {
        let crank = f64::from(degree).to_radians();
        pose.set_channel(0, Channel::TurnZ, crank);
        mechanism.evaluate(&mut pose);
        assert!(pose.outcome(0).residual < 1e-12);
        let rocker = reading(&mechanism, &pose, 2);
        assert!((k1 * rocker.cos() - k2 * crank.cos() + k3 - (crank - rocker).cos()).abs() < 1e-13);
        // The equation has an open and a crossed root; the loop stays on one of them:
        // Norton's half-angle quadratic A·t² + B·t + C = 0, t = tan(θ₄/2).
        let (qa, qb, qc) = (
            crank.cos() - k1 - k2 * crank.cos() + k3,
            -2.0 * crank.sin(),
            k1 - (k2 + 1.0) * crank.cos() + k3,
        );
        let root =
            |side: f64| 2.0 * f64::atan2(-qb + side * (qb * qb - 4.0 * qa * qc).sqrt(), 2.0 * qa);
        let apart = |angle: f64| (rocker - angle).sin().hypot((rocker - angle).cos() - 1.0);
        assert!(
            apart(root(-1.0)) < 1e-12,
            "{degree}: {rocker} is neither open {} nor",
            root(-1.0)
        );
        (least, most) = (
            least.min(rocker.rem_euclid(std::f64::consts::TAU)),
            most.max(rocker.rem_euclid(std::f64::consts::TAU)),
        );
    }
    assert!(most - least > 0.9, "the rocker rocks");
}
