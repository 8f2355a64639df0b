//! Gestures: kept, mixed in, fitted to any hand, within what a hand can do.
use crate::hands::{anyhow, hand_of, set, whole};
use hand::gesture::starters;
use hand::{DigitPart, Gesture, Hand, Side};
use proptest::prelude::*;
use rig::{Channel, DialRole, Part, Posed};

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Every joint goes that part of its way to the gesture, of one digit or of all, on either
    /// hand.
    #[test]
    fn a_gesture_is_mixed_in_joint_by_joint(
        seeds in prop::collection::vec(0.42..0.58f64, 37),
        which in 0..20usize,
        weight in 0.0..1.0f64,
        one: bool,
        left: bool,
    ) {
        let document = hand_of(if left { Side::Left } else { Side::Right });
        let posed = anyhow(&document, &seeds);
        let gesture = starters().nth(which).unwrap();
        let digit = one.then_some("ring-finger");
        let mut mixed = posed.clone();
        mixed.set(&gesture.mixed(&posed, weight, digit));
        let (before, after) = (Gesture::of(&posed, ""), Gesture::of(&mixed, ""));
        let flat = |gesture: &Gesture| {
            let fingers = gesture.fingers.iter().map(|&finger| <[f64; 5]>::from(finger));
            fingers.chain(gesture.thumb.map(<[f64; 5]>::from)).collect::<Vec<_>>()
        };
        let rows = flat(&before).into_iter().zip(flat(&after)).zip(flat(&gesture));
        for (at, ((before, after), target)) in rows.enumerate() {
            for joint in 0..5 {
                let here = before[joint];
                let mobile = at == 2 || at == 3 || at == 4 || joint > 0;
                let wanted = match one && at != 2 {
                    true => here,
                    // A finger without a mobile palm bone has nothing to cup.
                    false if !mobile => after[joint],
                    false => here + weight * (target[joint] - here),
                };
                prop_assert!((after[joint] - wanted).abs() < 1e-9, "{at} {joint}: {after:?} {wanted}");
            }
        }
    }
}

/// Kept from a hand that took it and put on the other: the same numbers to the bit, and the other
/// hand stands as its image in a mirror.
#[test]
fn a_gesture_kept_on_one_hand_is_the_other_s() {
    let [right, left] = [Side::Right, Side::Left].map(hand_of);
    for gesture in starters() {
        let mut posed = Posed::new(&right).unwrap();
        posed.set(&gesture.mixed(&posed, 1.0, None));
        let kept = Gesture::of(&posed, &gesture.name);
        assert_eq!(kept, gesture, "what is taken whole is what was given");
        let mut other = Posed::new(&left).unwrap();
        other.set(&kept.mixed(&other, 1.0, None));
        for (a, b) in right.nodes.iter().zip(&left.nodes) {
            let (a, b) = (posed.point(a.id), other.point(b.id));
            assert_eq!(
                [a.x, a.y, a.z].map(f64::to_bits),
                [b.x, b.y, 0.0 - b.z].map(f64::to_bits)
            );
        }
    }
}

/// Of five fingers used on three, seven or one: each takes what lies at its part of the way across.
#[test]
fn a_gesture_fits_any_number_of_fingers() {
    let gesture = starters()
        .find(|gesture| gesture.name == "relaxed")
        .unwrap();
    for digits in [2, 3, 4, 8] {
        let document = whole(digits, Side::Right);
        let mut posed = Posed::new(&document).unwrap();
        posed.set(&gesture.mixed(&posed, 1.0, None));
        let kept = Gesture::of(&posed, "");
        let knuckles: Vec<_> = kept.fingers.iter().map(|finger| finger.knuckle).collect();
        let steps = (digits - 2).max(1) as f64;
        for (at, knuckle) in knuckles.iter().enumerate() {
            let wanted = 25.0 + 15.0 * at as f64 / steps;
            assert!((knuckle - wanted).abs() < 1e-12, "{digits}: {knuckles:?}");
        }
        // And back on five.
        let five = hand_of(Side::Right);
        let mut posed = Posed::new(&five).unwrap();
        posed.set(&kept.mixed(&posed, 1.0, None));
        assert!(
            five.nodes
                .iter()
                .all(|node| posed.point(node.id).iter().all(|x| x.is_finite()))
        );
    }
}

/// No starter asks a joint for more than its own muscles do.
#[test]
fn starters_are_within_every_joint_s_range() {
    let document = hand_of(Side::Right);
    for gesture in starters() {
        let mut posed = Posed::new(&document).unwrap();
        posed.set(&gesture.mixed(&posed, 1.0, None));
        for node in &document.nodes {
            for channel in &Channel::ALL[..3] {
                let made = posed.makeup(node.id, *channel);
                assert_eq!(
                    made.limit, 0.0,
                    "{}: {} {channel:?}",
                    gesture.name, node.name
                );
            }
        }
    }
}

/// No starter has flesh in other flesh by more than 1 mm.
#[test]
fn no_starter_passes_through_itself() {
    let document = hand_of(Side::Right);
    let mut deep = Vec::new();
    for gesture in starters() {
        let mut posed = Posed::new(&document).unwrap();
        posed.set(&gesture.mixed(&posed, 1.0, None));
        if let Some(overlap) = hand::flesh::overlap(&posed)
            && overlap.mm > hand::flesh::MOST_OVERLAP
        {
            deep.push(format!("{}: {}", gesture.name, overlap.told(posed.rig())));
        }
    }
    assert!(deep.is_empty(), "{deep:#?}");
}

/// A flat hand closed to a fist: on the way no flesh goes into other flesh by more than 1 mm.
#[test]
fn nothing_passes_on_the_way_to_a_fist() {
    for side in [Side::Right, Side::Left] {
        let document = hand_of(side);
        let overlaps = hand::flesh::Overlaps::of(&document.rig);
        let mut posed = Posed::new(&document).unwrap();
        set(&mut posed, &DialRole::RestFlexion, 0.0);
        for step in 0..=400 {
            let curl = 0.25 * f64::from(step);
            set(&mut posed, &DialRole::Curl, curl);
            posed.evaluate();
            let deepest = overlaps.deepest(&posed);
            let told = deepest.map(|deepest| deepest.told(&document.rig));
            assert!(deepest.is_none_or(|d| d.mm <= 1.0), "{curl}: {told:?}");
        }
    }
}

/// What is to touch in a grip does, within 1 mm; and the grips' fingers are within what covers nine
/// tenths of twenty grips (bain-2015 in the reference tables: knuckle 19 to 71°, middle joint 23 to
/// 87°, last joint 10 to 64°).
#[test]
fn grips_touch_within_functional_ranges() {
    let document = hand_of(Side::Right);
    let overlaps = hand::flesh::Overlaps::of(&document.rig);
    let base = Posed::new(&document).unwrap();
    for (name, touches) in [
        ("pinch", &[(0, DigitPart::PhalanxDistal)][..]),
        ("key hold", &[(0, DigitPart::PhalanxIntermediate)]),
        (
            "three point",
            &[(0, DigitPart::PhalanxDistal), (1, DigitPart::PhalanxDistal)],
        ),
        ("ring touch", &[(2, DigitPart::PhalanxDistal)]),
    ] {
        let gesture = starters().find(|gesture| gesture.name == name).unwrap();
        let mut posed = base.clone();
        posed.set(&gesture.mixed(&base, 1.0, None));
        let node = |digit: &str, part| document.part(&Part::of(digit, part)).unwrap().id;
        let thumb = node("thumb", DigitPart::PhalanxDistal);
        for &(finger, part) in touches {
            let digit = &Hand::table().digits[1 + finger].name;
            let other = node(digit, part);
            let gap = overlaps
                .apart(&posed)
                .filter(|apart| {
                    let ends = [apart.bones.digit, apart.bones.other];
                    ends.contains(&thumb) && ends.contains(&other)
                })
                .map(|apart| apart.clearance)
                .fold(f64::INFINITY, f64::min);
            assert!(gap.abs() < 1.0, "{name}: {gap} mm to the {digit}");
            let bent = gesture.fingers[finger];
            for (at, (least, most)) in [
                (bent.knuckle, (19.0, 71.0)),
                (bent.middle, (23.0, 87.0)),
                (bent.last, (10.0, 64.0)),
            ] {
                assert!((least..=most).contains(&at), "{name}: {bent:?}");
            }
        }
    }
}
