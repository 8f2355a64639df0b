//! Dials of the fingers and of each joint: what they add up to, their limits, what contact takes.
use crate::hands::{anyhow, hand_of, set};
use hand::{Bend, DigitPart, Hand, Side, Sideways, planted};
use proptest::prelude::*;
use rig::{Channel, DialRole, Part, Posed};

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
