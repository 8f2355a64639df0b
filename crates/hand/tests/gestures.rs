//! Every joint free: finger dials, joints' own dials, gestures, and who adds what.
use hand::gesture::starters;
use hand::{Bend, DigitPart, Gesture, Hand, Recipe, Side, Sideways, free, planted};
use proptest::prelude::*;
use rig::{Channel, DialRole, Document, Part, Posed};

fn whole(digits: usize, side: Side) -> Document {
    let table = Hand::table();
    let fingers = (0..digits - 1).map(|at| {
        let mut finger = table.digits[1 + at * 3 / (digits - 1).max(1)].clone();
        finger.name = format!("finger-{at}");
        // As far apart as the table's, so that a row of any number is one.
        let part = at as f64 / (digits - 2).max(1) as f64;
        finger.head[0] = 26.8 - part * 58.6;
        finger.base[1] = 15.0 - part * 32.0;
        finger
    });
    let digits = std::iter::once(table.digits[0].clone()).chain(fingers);
    let hand = Hand {
        digits: digits.collect(),
        side,
        ..table
    };
    let mut document = free(&hand).unwrap();
    document.hand = Some(Box::new(Recipe {
        hand,
        planting: None,
    }));
    document
}

fn hand_of(side: Side) -> Document {
    let hand = Hand {
        side,
        ..Hand::table()
    };
    let recipe = Recipe {
        hand,
        planting: None,
    };
    hand::document(&recipe).unwrap()
}

fn set(posed: &mut Posed, role: &DialRole, value: f64) {
    let dial = posed.rig().role(role).unwrap_or_else(|| panic!("{role:?}"));
    let id = dial.id;
    posed.set_dial(id, value);
}

/// A hand with every dial that turns a finger's joints anywhere.
fn anyhow(document: &Document, seeds: &[f64]) -> Posed {
    let mut posed = Posed::new(document).unwrap();
    let rig = posed.rig().clone();
    for (dial, seed) in rig.dials.iter().zip(seeds.iter().cycle()) {
        posed.set_dial(dial.id, dial.min + seed * (dial.max - dial.min));
    }
    posed.evaluate();
    posed
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// What each dial adds, less what is parted, and what links bring, less what the limit takes,
    /// is the channel; with what contact makes of it, where the joint stands.
    #[test]
    fn who_adds_what_sums_up(seeds in prop::collection::vec(0.0..1.0f64, 37), pressed: bool) {
        let document = if pressed {
            planted(&Hand::table(), &hand::Planting::default()).unwrap()
        } else {
            hand_of(Side::Left)
        };
        let posed = anyhow(&document, &seeds);
        for node in &document.nodes {
            for channel in &Channel::ALL[..3] {
                let made = posed.makeup(node.id, *channel);
                let dials: f64 = made.dials.iter().map(|(_, adds)| adds).sum();
                let brought: f64 = made.brought.iter().map(|(_, adds)| adds).sum();
                let left = dials - made.parted + brought - made.limit;
                prop_assert!((left - made.channel).abs() < 1e-12, "{} {left} {made:?}", node.name);
                let stands = posed.turns(node.id)[channel.axis()];
                prop_assert!((made.stands() - stands).abs() < 1e-12);
            }
        }
    }

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

/// A joint's own dial beyond what the joint can do: it stops at its range, and what is lost is told.
#[test]
fn what_a_limit_takes_is_told() {
    let document = hand_of(Side::Right);
    let mut posed = Posed::new(&document).unwrap();
    let digit = || "index-finger".to_owned();
    set(&mut posed, &DialRole::Curl, 100.0);
    let own = DialRole::Joint(digit(), DigitPart::PhalanxIntermediate, Bend::Flexion);
    set(&mut posed, &own, 40.0);
    posed.evaluate();
    let node = document
        .part(&Part::of("index-finger", DigitPart::PhalanxIntermediate))
        .unwrap();
    let made = posed.makeup(node.id, Channel::TurnZ);
    // 30 relaxed, 98 curled, 40 its own; the range ends at 100.
    assert_eq!(made.channel.round(), 100.0);
    assert!((made.limit - 68.0).abs() < 1e-9, "{made:?}");
    assert_eq!(made.dials.len(), 3);
}

/// Spread by half as much at 45° of the knuckle as the fading says, a fifth at 90°.
#[test]
fn a_bent_knuckle_spreads_less() {
    let document = hand_of(Side::Right);
    let mut posed = Posed::new(&document).unwrap();
    let digit = || "index-finger".to_owned();
    set(&mut posed, &DialRole::RestFlexion, 0.0);
    set(&mut posed, &DialRole::Spread, 100.0);
    let node = document
        .part(&Part::of("index-finger", DigitPart::PhalanxProximal))
        .unwrap();
    for (flexion, spread) in [(0.0, -12.0), (45.0, -7.2), (90.0, -2.4), (-20.0, -12.0)] {
        let own = DialRole::Joint(digit(), DigitPart::PhalanxProximal, Bend::Flexion);
        set(&mut posed, &own, flexion);
        posed.evaluate();
        let stands = posed.turns(node.id)[0];
        assert!((stands - spread).abs() < 1e-12, "{flexion}: {stands}");
    }
}

/// Held fingers stay whatever their dials say, and what the contact takes is all of it.
#[test]
fn what_is_held_stays() {
    let document = planted(&Hand::table(), &hand::Planting::default()).unwrap();
    let mut posed = Posed::new(&document).unwrap();
    let tips: Vec<_> = document.plants.iter().map(|plant| plant.node).collect();
    let before: Vec<_> = tips.iter().map(|&tip| posed.point(tip)).collect();
    for role in [
        DialRole::Curl,
        DialRole::Claw,
        DialRole::Spread,
        DialRole::Fan,
    ] {
        set(&mut posed, &role, 60.0);
    }
    posed.evaluate();
    for (&tip, before) in tips.iter().zip(&before) {
        assert!((posed.point(tip) - before).norm() < 1e-9);
    }
    let made = posed.makeup(
        document
            .part(&Part::of("ring-finger", DigitPart::PhalanxIntermediate))
            .unwrap()
            .id,
        Channel::TurnZ,
    );
    assert!(made.channel > 90.0 && made.contact < -50.0, "{made:?}");
}

/// Every dial of the fingers, of hands held, half let go, let go and free, in steps of 0.01: no
/// joint turns by more than 0.5° for one.
#[test]
fn nothing_jumps() {
    let held = planted(&Hand::table(), &hand::Planting::default()).unwrap();
    let tents = hand::Planting {
        stance: hand::Stance::Fingertips,
        ..hand::Planting::default()
    };
    let tents = planted(&Hand::table(), &tents).unwrap();
    for (document, lift) in [(&held, 0.0), (&held, 55.0), (&held, 75.0), (&tents, 20.0)] {
        let mut posed = Posed::new(document).unwrap();
        set(&mut posed, &DialRole::Lift, lift);
        let joints: Vec<_> = document
            .nodes
            .iter()
            .filter(|node| matches!(&node.part, Some(Part::Digit(..))))
            .map(|node| node.id)
            .collect();
        let rig = posed.rig().clone();
        for dial in &rig.dials {
            let shapes = dial.drives.iter().any(|drive| {
                let node = drive.node().and_then(|node| rig.node(node));
                node.is_some_and(|node| matches!(&node.part, Some(Part::Digit(..))))
            });
            if !shapes {
                continue;
            }
            let stood = posed.dial(dial.id);
            // From 23 places over the dial one step on.
            for at in 0..23 {
                let from = dial.min + (dial.max - dial.min - 0.01) * f64::from(at) / 22.0;
                posed.set_dial(dial.id, from);
                posed.evaluate();
                let before: Vec<_> = joints.iter().map(|&node| posed.turns(node)).collect();
                posed.set_dial(dial.id, from + 0.01);
                posed.evaluate();
                for (&node, before) in joints.iter().zip(&before) {
                    let after = posed.turns(node);
                    for axis in 0..3 {
                        let by = (after[axis] - before[axis]).abs();
                        let name = &rig.node(node).unwrap().name;
                        assert!(
                            by < 0.5,
                            "lift {lift}, {} at {from}: {name} by {by}",
                            dial.name
                        );
                    }
                }
            }
            posed.set_dial(dial.id, stood);
        }
    }
}

/// A left hand's sideways dials, counted either way: mirrored, the same value is the mirror image;
/// the same way, the negative is.
#[test]
fn a_mirrored_dial_counts_either_way() {
    let build = |side, sideways| {
        let hand = Hand {
            side,
            sideways,
            ..Hand::table()
        };
        planted(&hand, &hand::Planting::default()).unwrap()
    };
    let right = build(Side::Right, Sideways::Mirrored);
    for (sideways, sign) in [(Sideways::Mirrored, 1.0), (Sideways::SameWay, -1.0)] {
        let left = build(Side::Left, sideways);
        for role in [
            DialRole::Lean,
            DialRole::Twist,
            DialRole::Wrist(Bend::Spread),
        ] {
            for value in [-9.0, 4.0] {
                let mut posed = Posed::new(&right).unwrap();
                set(&mut posed, &role, value);
                posed.evaluate();
                let mut other = Posed::new(&left).unwrap();
                set(&mut other, &role, sign * value);
                other.evaluate();
                let wrist = |posed: &Posed| {
                    posed.point(
                        posed
                            .rig()
                            .part(&Part::of("ring-finger", DigitPart::Tip))
                            .unwrap()
                            .id,
                    )
                };
                let (a, b) = (wrist(&posed), wrist(&other));
                assert_eq!([a.x, a.y, a.z], [b.x, b.y, 0.0 - b.z], "{role:?} {value}");
            }
        }
    }
}

/// A fingertip pulled somewhere within reach goes there by its joints' own dials, and one pulled out
/// of reach as near as a grid of the dials finds.
#[test]
fn a_tip_is_pulled() {
    let document = hand_of(Side::Right);
    let digit = || "middle-finger".to_owned();
    let joints = [
        (DigitPart::PhalanxProximal, Bend::Flexion),
        (DigitPart::PhalanxProximal, Bend::Spread),
        (DigitPart::PhalanxIntermediate, Bend::Flexion),
        (DigitPart::PhalanxDistal, Bend::Flexion),
    ];
    let dials = joints.map(|(part, bend)| {
        let role = DialRole::Joint(digit(), part, bend);
        document.role(&role).unwrap().id
    });
    let tip = document
        .part(&Part::of("middle-finger", DigitPart::Tip))
        .unwrap()
        .id;
    for sight in [
        rig::Vec3::z(),
        rig::Vec3::y(),
        rig::Vec3::new(0.6, 0.0, 0.8),
    ] {
        for wanted in [
            [20.0, 5.0, 15.0, 10.0],
            [-10.0, -8.0, 40.0, 20.0],
            [45.0, 0.0, 50.0, 0.0],
        ] {
            let mut there = Posed::new(&document).unwrap();
            for (&dial, value) in dials.iter().zip(wanted) {
                there.set_dial(dial, value);
            }
            there.evaluate();
            let to = there.point(tip);
            let mut posed = Posed::new(&document).unwrap();
            for _ in 0..3 {
                rig::pull::pull(&mut posed, tip, &dials, to, sight);
            }
            let miss = posed.point(tip) - to;
            let miss = miss - sight * sight.dot(&miss);
            assert!(
                miss.norm() < 0.1,
                "{wanted:?} from {sight:?}: {} mm",
                miss.norm()
            );
        }
    }
    let to = rig::Vec3::new(400.0, 200.0, 0.0);
    let mut posed = Posed::new(&document).unwrap();
    for _ in 0..20 {
        rig::pull::pull(&mut posed, tip, &dials, to, rig::Vec3::z());
    }
    let far = |posed: &Posed| {
        let miss = posed.point(tip) - to;
        libm::hypot(miss.x, miss.y)
    };
    let ours = far(&posed);
    let mut best = f64::INFINITY;
    for step in 0..9 * 9 * 9 * 5 {
        let parts = [step % 9, step / 9 % 9, step / 81 % 9, step / 729];
        for ((&dial, part), of) in dials.iter().zip(parts).zip([8.0, 8.0, 8.0, 4.0]) {
            let source = document.dial(dial).unwrap();
            posed.set_dial(
                dial,
                source.min + f64::from(part) / of * (source.max - source.min),
            );
        }
        posed.evaluate();
        best = best.min(far(&posed));
    }
    assert!(ours < best + 0.05, "{ours} against {best}");
}

/// A finger that is let go and closed past a right angle is told as its dials have it: its hinges
/// have one turn, not three.
#[test]
fn a_hinge_past_a_right_angle_has_one_turn() {
    let document = planted(&Hand::table(), &hand::Planting::default()).unwrap();
    let mut posed = Posed::new(&document).unwrap();
    set(
        &mut posed,
        &DialRole::Release("ring-finger".to_owned()),
        100.0,
    );
    for curl in [40.0, 50.0, 52.0, 58.0] {
        set(&mut posed, &DialRole::Curl, curl);
        posed.evaluate();
        let joint = Part::of("ring-finger", DigitPart::PhalanxIntermediate);
        let node = document.part(&joint).unwrap().id;
        let [x, y, z] = posed.turns(node);
        assert!(x.abs() < 1e-9 && y.abs() < 1e-9, "{curl}: {x} {y} {z}");
        assert!((z - (40.0 + 0.98 * curl)).abs() < 1e-9, "{curl}: {z}");
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

/// Every dial of the fingers to either end, of a planted hand: what is held does not slip, and no
/// digit goes deeper into the bench than the tolerance of a press. But for two: an arched palm brings
/// a knuckle down that no finger's joint can take back, and a thumb that is curled whole has come
/// to the end of what its base gives way (4 mm); the dials' safe spans tell of both.
#[test]
fn no_dial_drives_a_digit_into_the_bench() {
    let mut deep = Vec::new();
    for stance in [hand::Stance::Flat, hand::Stance::Fingertips] {
        let planting = hand::Planting {
            stance,
            ..hand::Planting::default()
        };
        let document = planted(&Hand::table(), &planting).unwrap();
        let base = Posed::new(&document).unwrap();
        for dial in &document.dials {
            let shapes = dial.drives.iter().any(|drive| {
                let node = drive.node().and_then(|node| document.node(node));
                node.is_some_and(|node| matches!(&node.part, Some(Part::Digit(..))))
            });
            for part in [0.0, 0.3, 0.6, 1.0] {
                if !shapes {
                    continue;
                }
                let mut posed = base.clone();
                posed.set_dial(dial.id, dial.min + part * (dial.max - dial.min));
                posed.evaluate();
                let read = |gauge: hand::Gauge| gauge.read(&posed).unwrap().value;
                let (depth, slip) = (
                    read(hand::Gauge::DigitDepth {}),
                    read(hand::Gauge::WorstSlip {}),
                );
                let arched = ["arch", "pinky-finger base flexion"].contains(&dial.name.as_str());
                let most = match dial.name.as_str() {
                    "thumb curl" => 4.0,
                    _ if arched => f64::INFINITY,
                    _ => 1.5,
                };
                if depth > most || slip > 0.5 {
                    deep.push(format!(
                        "{stance:?} {} {part}: {depth:.2} deep, slips {slip:.2}",
                        dial.name
                    ));
                }
            }
        }
    }
    assert!(deep.is_empty(), "{deep:#?}");
}
