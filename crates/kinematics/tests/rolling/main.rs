//! A finger whose end rolls: seen from outside, by the directions of its bones and the outline
//! gone over place by place. (Against SciPy: tests/reference.)
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
mod hand;
use hand::*;
use proptest::prelude::*;

#[test]
fn planted_is_where_it_was() {
    for lengths in PHALANGES {
        let finger = Finger {
            lengths,
            ..Finger::default()
        };
        let hand = finger.hand();
        let outcome = hand.pose.outcome(0);
        assert!(
            outcome.residual < 1e-9 && outcome.hold == 1.0,
            "{outcome:?}"
        );
        let [abduction, flexion, q] = finger.planted;
        for (found, planted) in
            hand.reading()
                .into_iter()
                .zip([abduction, flexion, q, q * TWO_THIRDS])
        {
            assert!(
                (found - planted).abs() < 1e-7,
                "{found} {planted} {:?}",
                hand.reading()
            );
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]
    /// What is held in full stands where it has rolled to, and neither sinks nor floats.
    #[test]
    fn held_is_rolled(
        which in 0..4usize, side in prop::bool::ANY,
        turn in [-12.0..12.0, -20.0..45.0, -20.0..20.0_f64],
        by in [-6.0..6.0, -6.0..12.0, -6.0..6.0_f64],
    ) {
        let mut hand = Finger { lengths: PHALANGES[which], side: if side { 1.0 } else { -1.0 }, ..Finger::default() }.hand();
        hand.press(turn, by);
        let outcome = *hand.pose.outcome(0);
        if outcome.hold == 1.0 && !outcome.limited {
            prop_assert!(outcome.residual < 1e-9, "{outcome:?}");
            let (_, outline) = hand.clearance();
            prop_assert!(outline.abs() < 1e-6, "{outline} {outcome:?}");
        }
    }
}

/// The palm turned about its wrist, 90 mm behind a knuckle 20 mm off the hand's line, by yaw,
/// pitch and roll in degrees and moved.
fn about_wrist(hand: &mut Hand, [yaw, pitch, roll]: [f64; 3], by: [f64; 3]) {
    let [y, p, r] = [yaw, pitch, roll].map(f64::to_radians);
    let turn = kinematics::Rotation::from_axis_angle(&kinematics::Vec3::y_axis(), y)
        * kinematics::Rotation::from_axis_angle(&kinematics::Vec3::z_axis(), -p)
        * kinematics::Rotation::from_axis_angle(&kinematics::Vec3::x_axis(), r);
    let arm = kinematics::Vec3::new(90.0, 0.0, 20.0) * hand.finger.scale;
    let moved = turn * arm - arm;
    let at = [0, 1, 2].map(|axis| moved[axis] + by[axis]);
    hand.press([yaw, pitch, roll], at);
}

/// The greatest change of a joint, degrees.
fn change(a: [f64; 4], b: [f64; 4]) -> f64 {
    a.iter()
        .zip(b)
        .map(|(a, b)| (a - b).abs())
        .fold(0.0, f64::max)
}

/// How far a joint moves for a step of the palm's turns.
fn stepped(hand: &mut Hand, turn: [f64; 3], step: [f64; 3], by: [f64; 3]) -> f64 {
    about_wrist(hand, turn, by);
    let before = hand.reading();
    about_wrist(hand, [0, 1, 2].map(|i| turn[i] + step[i]), by);
    change(before, hand.reading())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20000))]
    /// A small turn of the palm about its wrist turns no joint by more than 12 times as much, at
    /// either of two sizes of step, whatever the finger does there.
    #[test]
    fn a_small_turn_turns_little(
        which in 0..4usize,
        turn in [-12.0..12.0, -25.0..14.0, -25.0..25.0_f64],
        way in [-1.0..1.0, -1.0..1.0, -1.0..1.0_f64],
    ) {
        let mut hand = Finger { lengths: PHALANGES[which], ..Finger::default() }.hand();
        let size = way.iter().map(|x| x * x).sum::<f64>().sqrt();
        for step in [0.1, 0.01] {
            let by = stepped(&mut hand, turn, way.map(|x| x / size * step), [0.0; 3]);
            prop_assert!(by < 12.0 * step, "{} a degree {:?}", by / step, hand.pose.outcome(0));
        }
    }

    /// Nor does anything jump where the hand is far from where it was planted, or half held: by
    /// a thousandth of a degree at most a thousandth of what may be.
    #[test]
    fn nothing_jumps(
        which in 0..4usize,
        turn in [-12.0..12.0, -30.0..30.0, -25.0..25.0_f64],
        by in [-8.0..8.0, -8.0..15.0, -8.0..8.0_f64],
        way in [-1.0..1.0, -1.0..1.0, -1.0..1.0_f64],
        user in prop_oneof![3 => Just(1.0), 1 => 0.0..1.0_f64],
    ) {
        let mut hand = Finger { lengths: PHALANGES[which], ..Finger::default() }.hand();
        hand.pose.set_hold(0, user);
        let size = way.iter().map(|x| x * x).sum::<f64>().sqrt();
        for step in [0.1, 0.001] {
            let change = stepped(&mut hand, turn, way.map(|x| x / size * step), by);
            let knuckle = hand.pose.world(2).translation.vector.y;
            if knuckle > 9.0 {
                prop_assert!(change < 40.0 * step, "{} a degree, knuckle {knuckle} {:?}", change / step, hand.pose.outcome(0));
            }
        }
    }

    /// Nothing sinks while its knuckle is over the surface: not held, and not when it lets go.
    #[test]
    fn nothing_sinks(
        which in 0..4usize,
        turn in [-12.0..12.0, -30.0..30.0, -25.0..25.0_f64],
        by in [-8.0..8.0, -8.0..15.0, -8.0..8.0_f64],
        user in prop_oneof![3 => Just(1.0), 1 => 0.0..1.0_f64],
    ) {
        let mut hand = Finger { lengths: PHALANGES[which], ..Finger::default() }.hand();
        hand.pose.set_hold(0, user);
        about_wrist(&mut hand, turn, by);
        let outcome = *hand.pose.outcome(0);
        let place = hand.pose.world(6).translation.vector - hand.pose.world(2).translation.vector;
        prop_assert!(outcome.reach_margin > -place.norm() - 20.0, "{outcome:?}");
        let knuckle = hand.pose.world(2).translation.vector.y;
        if knuckle > 9.0 {
            let (all, outline) = hand.clearance();
            prop_assert!(outline > -0.2 && all > -0.2, "{all} {outline} {knuckle} {outcome:?} {:?}", hand.reading());
        }
    }
}

/// What is compared of a pose: joint angles, places, outcome.
fn told(hand: &Hand) -> ([f64; 4], Vec<kinematics::Vec3>, kinematics::Outcome) {
    let places = (2..6)
        .map(|node| hand.pose.world(node).translation.vector)
        .collect();
    (hand.reading(), places, *hand.pose.outcome(0))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]
    /// The other hand is its mirror image, to the bit.
    #[test]
    fn hands_mirror(
        which in 0..4usize,
        turn in [-12.0..12.0, -30.0..60.0, -25.0..25.0_f64],
        by in [-8.0..8.0, -8.0..15.0, -8.0..8.0_f64],
        spread in prop_oneof![Just(30.0), Just(4.0)],
    ) {
        let [right, left] = [1.0, -1.0].map(|side| {
            let finger = Finger { lengths: PHALANGES[which], side, spread: (-spread, spread), ..Finger::default() };
            let mut hand = finger.hand();
            hand.press(turn, by);
            told(&hand)
        });
        let ([abduction, knuckle, q, last], places, outcome) = left;
        prop_assert_eq!(([-abduction, knuckle, q, last], outcome), (right.0, right.2));
        for (place, other) in places.into_iter().zip(right.1) {
            prop_assert_eq!([place.x, place.y, -place.z], [other.x, other.y, other.z]);
        }
    }

    /// A hand twice as large does the same over twice the way: every window goes with the tip.
    /// What limits leave is the least of a square of tens of square millimetres, which is known by
    /// its value, so its angles to the root of what a number holds: 1.1e-5 degrees at worst in
    /// 450,000 draws. What meets its equations is known as they are.
    #[test]
    fn size_does_not_matter(
        which in 0..4usize, scale in prop_oneof![Just(2.0), Just(0.5), 0.3..3.0_f64],
        turn in [-12.0..12.0, -30.0..45.0, -25.0..25.0_f64],
        by in [-8.0..8.0, -8.0..15.0, -8.0..8.0_f64],
    ) {
        let [one, other] = [1.0, scale].map(|scale| {
            let mut hand = Finger { lengths: PHALANGES[which], scale, ..Finger::default() }.hand();
            hand.press(turn, by.map(|x| x * scale));
            told(&hand)
        });
        let known = if one.2.limited { 1e-4 } else { 1e-7 };
        prop_assert!(change(one.0, other.0) < known, "{:?} {:?}", one.0, other.0);
        prop_assert!((one.2.hold - other.2.hold).abs() < 1e-9);
        prop_assert!((one.2.reach_margin * scale - other.2.reach_margin).abs() < 1e-9 * scale);
        prop_assert!((one.2.residual * scale - other.2.residual).abs() < 1e-6 * scale);
    }

    /// Let go, by its user or by its switch, it is at its channels' pose unless that sinks, and
    /// then its knuckle opens until its flesh lies on the surface.
    #[test]
    fn let_go_it_rests(
        which in 0..4usize, knuckle in -10.0..60.0_f64, q in 0.0..90.0_f64,
        turn in [-12.0..12.0, -10.0..30.0, -15.0..15.0_f64], height in -3.0..60.0_f64,
    ) {
        let mut hand = Finger { lengths: PHALANGES[which], ..Finger::default() }.hand();
        hand.finger.bend(&mut hand.pose, [3.0, knuckle, q]);
        hand.pose.set_active(0, false);
        hand.press(turn, [0.0, height, 0.0]);
        let switched = told(&hand);
        prop_assert_eq!(switched.2.hold, 0.0);
        prop_assert!(switched.2.residual > 0.0);
        hand.pose.set_active(0, true);
        hand.pose.set_hold(0, 0.0);
        hand.press(turn, [0.0, height, 0.0]);
        prop_assert_eq!(&told(&hand), &switched);
        let [abduction, opened, bent, last] = switched.0;
        prop_assert!((abduction - 3.0).abs() < 1e-9 && (bent - q).abs() < 1e-9 && (last - TWO_THIRDS * q).abs() < 1e-9);
        prop_assert!(opened <= knuckle + 1e-9);
        let (all, _) = hand.clearance();
        if hand.pose.world(2).translation.vector.y > 9.0 {
            prop_assert!(all > -1e-6, "{all}");
        }
        // It stands off only where it was, or by what softness takes: a part of a finger's length.
        // (Higher up it must reach steeply down, and is given more.)
        if opened < knuckle - 4.0 && opened > -69.0 && hand.pose.world(2).translation.vector.y < 35.0 {
            prop_assert!(all < 0.07 * 90.0, "{all}");
        }
        let asked = hand.pose.channel(2, kinematics::Channel::TurnZ).to_degrees();
        prop_assert!((asked - knuckle).abs() < 1e-9);
    }
}

/// What a finger meets that no hand does: it says so in its outcome and goes on.
#[test]
fn bad_surfaces_are_borne() {
    let mut hand = Finger {
        lengths: [90.0, 80.0, 70.0],
        ..Finger::default()
    }
    .hand();
    for at in [
        [0.0, -60.0, 0.0],
        [-150.0, 0.0, 0.0],
        [150.0, 0.0, 0.0],
        [0.0, 400.0, 0.0],
        [240.0, -9.0, 0.0],
    ] {
        for turn in [
            [0.0; 3],
            [0.0, 90.0, 0.0],
            [0.0, 180.0, 0.0],
            [0.0, 0.0, 180.0],
            [180.0, 0.0, 0.0],
            [0.0, 0.0, 90.0],
        ] {
            hand.press(turn, at);
            let outcome = hand.pose.outcome(0);
            assert!(
                (0.0..=1.0).contains(&outcome.hold) && outcome.residual.is_finite(),
                "{outcome:?}"
            );
            assert!(hand.reading().iter().all(|angle| angle.abs() <= 361.0));
        }
    }
    // Far out of reach nothing holds.
    hand.press([0.0; 3], [0.0, 400.0, 0.0]);
    assert_eq!(hand.pose.outcome(0).hold, 0.0);
}
