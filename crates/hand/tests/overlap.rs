//! How deep a hand's flesh is in itself: what counts, who is told, and nothing passed over.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::flesh::{Flesh, Kind, MOST_OVERLAP, Overlaps, Segment, between, overlap};
use hand::{Gauge, Hand, Planting, Recipe, SCENARIOS, Side, document, read, scenario};
use proptest::prelude::*;
use recipe::{Digit, DigitPart, Part};
use rig::{Document, NodeId, Posed};
use std::collections::BTreeMap;
use testkit::loose;

/// Of sums of a few lengths of at most 100 mm, by rounding.
const ROUNDING: f64 = 1e-10;

fn hand(side: Side) -> Document {
    let hand = Hand {
        side,
        ..Hand::table()
    };
    let recipe = Recipe {
        hand,
        planting: None,
    };
    loose(&document(&recipe).unwrap())
}

fn set(document: &Document, dials: &[(&str, f64)]) -> Posed {
    let mut posed = Posed::new(document).unwrap();
    posed.set_neutral();
    for (name, value) in dials {
        let dial = document.dial_named(name).expect(name).id;
        posed.set_dial(dial, *value);
    }
    posed.evaluate();
    posed
}

/// Every dial somewhere in its range, as these parts say, in turn.
fn mixed(document: &Document, parts: &[f64]) -> Posed {
    let mut posed = Posed::new(document).unwrap();
    for (dial, part) in document.dials.iter().zip(parts.iter().cycle()) {
        posed.set_dial(dial.id, dial.min + (dial.max - dial.min) * part);
    }
    posed.evaluate();
    posed
}

fn told(posed: &Posed) -> Option<String> {
    overlap(posed).map(|overlap| overlap.told(posed.rig()))
}

/// Fingers spread off each other, flat and bent at will; the web's own overlap counts nothing.
#[test]
fn what_is_far_overlaps_nothing() {
    for side in [Side::Right, Side::Left] {
        let document = hand(side);
        assert_eq!(told(&set(&document, &[])), None);
        let mut spread = Vec::new();
        // A left hand's turns about x go the other way.
        let out = if side == Side::Left { -1.0 } else { 1.0 };
        for (finger, turn) in [("index", -14.0), ("ring", 6.0), ("pinky", 14.0)] {
            spread.push((
                format!("{finger}-finger-phalanx-proximal TurnX"),
                out * turn,
            ));
        }
        let mut dials: Vec<_> = spread.iter().map(|(n, v)| (n.as_str(), *v)).collect();
        let posed = set(&document, &dials);
        // The dials spread them, on either hand.
        let gap = |posed: &Posed| {
            let at = |name| posed.point(document.node_named(name).unwrap().id);
            (at("index-finger-tip") - at("pinky-finger-tip")).norm()
        };
        assert!(gap(&posed) > gap(&set(&document, &[])) + 20.0);
        assert_eq!(told(&posed), None);
        dials.push(("rest flexion", 35.0));
        assert_eq!(told(&set(&document, &dials)), None);
        let gauge = Gauge::FleshOverlap {};
        assert_eq!(gauge.read(&posed).unwrap().to_string(), "0.00 mm");
    }
}

/// A thumb that closes with the index finger in its way.
const THUMB_IN: [(&str, f64); 5] = [
    ("thumb-metacarpal TurnX", -20.0),
    ("thumb-metacarpal TurnZ", 15.0),
    ("thumb-phalanx-proximal TurnZ", 30.0),
    ("index-finger-phalanx-proximal TurnZ", 80.0),
    ("index-finger-phalanx-intermediate TurnZ", 60.0),
];

/// Who is in whom is said, by the gauge as deep.
#[test]
fn each_kind_of_overlap_is_told() {
    let document = hand(Side::Right);
    let bent = ["proximal", "intermediate", "distal"]
        .map(|part| format!("pinky-finger-phalanx-{part} TurnZ"));
    let little = |turns: [f64; 3]| bent.iter().map(|name| &**name).zip(turns).collect();
    let aside = "index-finger-phalanx-proximal TurnX";
    let cases = [
        (vec![(aside, 12.0)], "index finger through middle finger"),
        (THUMB_IN.to_vec(), "thumb through index finger"),
        (little([90.0, 100.0, 75.0]), "little finger through palm"),
        (little([20.0, 100.0, 90.0]), "little finger through itself"),
    ];
    for (dials, expected) in cases {
        let posed = set(&document, &dials);
        let found = overlap(&posed).expect(expected);
        let told = found.told(posed.rig());
        println!("{told}");
        assert!(told.contains(expected), "{told}");
        assert!(told.ends_with(&format!(", {:.1} mm", found.mm)), "{told}");
        let read = Gauge::FleshOverlap {}.read(&posed).unwrap();
        assert_eq!((read.value, read.unit), (found.mm, "mm"));
    }
}

/// What of the hand two segments are of.
type Of = (NodeId, Kind);

/// Where a segment lies: on which digit's ray, on which bone of it from the metacarpal on, and how
/// far along that bone it begins.
struct Place<'a> {
    digit: &'a str,
    bone: usize,
    part: f64,
}

fn place<'a>(posed: &'a Posed, node: NodeId, segment: &Segment) -> Option<Place<'a>> {
    use DigitPart::{Metacarpal, PhalanxDistal, PhalanxIntermediate, PhalanxProximal, Tip};
    let rig = posed.rig();
    let Some(Part::Digit(digit, part)) = &rig.node(node)?.part else {
        return None;
    };
    let joints = [
        Metacarpal,
        PhalanxProximal,
        PhalanxIntermediate,
        PhalanxDistal,
        Tip,
    ];
    let joints = joints.iter().filter_map(|part| {
        let node = rig.part(&Part::of(digit, *part))?;
        Some((*part, posed.point(node.id)))
    });
    let joints: Vec<_> = joints.collect();
    let bone = joints.iter().position(|(own, _)| own == part)?;
    let (from, way) = (joints[bone].1, joints[bone + 1].1 - joints[bone].1);
    let part = (segment.ends[0] - from).dot(&way) / way.norm_squared();
    Some(Place { digit, bone, part })
}

/// How deep what counts is in each other, segment by segment, by the rule as the documentation
/// has it.
fn all_against_all(posed: &Posed) -> BTreeMap<(Of, Of), f64> {
    let flesh = Flesh::of(posed.rig());
    let all: Vec<_> = flesh.segments(posed).collect();
    let all: Vec<_> = all
        .iter()
        .map(|(node, kind, segment)| ((*node, *kind), segment, place(posed, *node, segment)))
        .collect();
    let mut deepest = BTreeMap::new();
    for (of, one, here) in &all {
        let Some(here) = here.as_ref().filter(|_| of.1 == Kind::Pad) else {
            continue;
        };
        for (to, other, there) in &all {
            let same = there.as_ref().filter(|there| there.digit == here.digit);
            let is_first = |place: &Place| place.bone == 1 && place.digit != "thumb";
            let counts = match (to.1, there, same) {
                // Of one digit: over a bone between.
                (Kind::Pad, _, Some(there)) => there.bone == here.bone + 2,
                // Each pair once, and the web not.
                (Kind::Pad, Some(there), None) => {
                    let web = |place: &Place| is_first(place) && place.part < 0.44;
                    of.0 < to.0 && !(web(here) && web(there))
                }
                // A finger's first bone not; nor any bone and what of the palm is on the next.
                (Kind::Palm, _, same) => {
                    let next = same.is_some_and(|there| there.bone + 1 == here.bone);
                    !is_first(here) && !next
                }
                _ => false,
            };
            if counts {
                let depth = 0.0 - between(one, other).clearance;
                let pair = deepest.entry((*of, *to)).or_insert(f64::NEG_INFINITY);
                *pair = depth.max(*pair);
            }
        }
    }
    deepest
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// What bounds pass over is never deeper than what is found, and what counts is what the
    /// documentation says.
    #[test]
    fn nothing_deeper_is_passed_over(parts in prop::collection::vec(0.0..1.0, 29)) {
        for side in [Side::Right, Side::Left] {
            let posed = mixed(&hand(side), &parts);
            let overlaps = Overlaps::of(posed.rig());
            let all = all_against_all(&posed);
            let mut counted = BTreeMap::new();
            for apart in overlaps.apart(&posed) {
                let bones = apart.bones;
                let pair = ((bones.digit, Kind::Pad), (bones.other, bones.kind));
                let depth = counted.entry(pair).or_insert(f64::NEG_INFINITY);
                *depth = depth.max(-apart.clearance);
            }
            prop_assert!(all.keys().eq(counted.keys()));
            for (pair, depth) in &all {
                prop_assert!((depth - counted[pair]).abs() < ROUNDING, "{pair:?}");
            }
            let most = all.values().copied().fold(0.0, f64::max);
            let found = overlaps.deepest(&posed).map_or(0.0, |overlap| overlap.mm);
            prop_assert!((found - most).abs() < 2e-9, "{found} {most}");
        }
    }

    /// As two bones move, their overlap changes by no more than their flesh moves.
    #[test]
    fn nothing_jumps(parts in prop::collection::vec(0.0..0.99, 29), by in 1e-6..1e-2) {
        let document = hand(Side::Right);
        let moved: Vec<f64> = parts.iter().map(|part| part + by).collect();
        let [here, there] = [&parts, &moved].map(|parts| mixed(&document, parts));
        let flesh = Flesh::of(here.rig());
        let far = flesh.segments(&here).zip(flesh.segments(&there)).flat_map(|((.., a), (.., b))| {
            [0, 1].map(|end| (a.ends[end] - b.ends[end]).norm())
        });
        let far = far.fold(0.0, f64::max);
        let [a, b] = [&here, &there].map(|posed| overlap(posed).map_or(0.0, |overlap| overlap.mm));
        prop_assert!((a - b).abs() <= 2.0 * far + 2e-9, "{a} {b} {far}");
    }

    /// A left hand's is the right hand's, to the bit.
    #[test]
    fn sides_mirror(parts in prop::collection::vec(0.0..1.0, 29)) {
        let [right, left] = [Side::Right, Side::Left].map(|side| {
            let recipe = Recipe { hand: Hand { side, ..Hand::table() }, planting: None };
            let posed = mixed(&document(&recipe).unwrap(), &parts);
            overlap(&posed).map(|overlap| (overlap.mm.to_bits(), overlap.told(posed.rig())))
        });
        prop_assert_eq!(right, left);
    }
}

/// Parts are found by what they are, and a hand that is planted measures as one that is free.
#[test]
fn neither_names_nor_plants_matter() {
    let recipe = Recipe {
        planting: Some(Planting::default()),
        ..Recipe::default()
    };
    let planted = Posed::new(&document(&recipe).unwrap()).unwrap();
    let free = Posed::new(&hand(Side::Right)).unwrap();
    let bones = |posed: &Posed| -> Vec<_> {
        let apart = Overlaps::of(posed.rig());
        let name = |node| posed.rig().node(node).unwrap().name.clone();
        let bones = apart.apart(posed).map(|apart| apart.bones);
        bones
            .map(|bones| (name(bones.digit), name(bones.other)))
            .collect()
    };
    assert_eq!(bones(&planted), bones(&free));

    let plain = set(&hand(Side::Right), &THUMB_IN);
    let mut document = plain.document().clone();
    for (at, node) in document.nodes.iter_mut().enumerate() {
        node.name = format!("loaf {at}");
    }
    let renamed = Posed::new(&document).unwrap();
    let bent = document.dial_named(THUMB_IN[3].0).unwrap().id;
    assert_eq!(renamed.document().value(bent), Some(80.0));
    assert_eq!(overlap(&renamed), overlap(&plain));
    assert!(overlap(&plain).is_some());
}

/// A hand without a thumb, of three fingers, and of none but a thumb: measured all the same.
#[test]
fn odd_hands_are_measured() {
    let table = Hand::table();
    let keep = |count: &dyn Fn(&Digit) -> bool| {
        let digits = table.digits.iter().filter(|digit| count(digit)).cloned();
        let hand = Hand {
            digits: digits.collect(),
            ..table.clone()
        };
        let recipe = Recipe {
            hand,
            planting: None,
        };
        Posed::new(&document(&recipe).unwrap()).unwrap()
    };
    let fingers = keep(&|digit| !digit.thumb);
    let few =
        keep(&|digit| digit.thumb || digit.name.starts_with('m') || digit.name.starts_with('r'));
    let mut counts = Vec::new();
    for posed in [fingers, few] {
        let overlaps = Overlaps::of(posed.rig());
        let deepest = overlaps.deepest(&posed).map_or(0.0, |overlap| overlap.mm);
        assert!(deepest < MOST_OVERLAP, "{deepest}");
        counts.push(overlaps.apart(&posed).count());
    }
    println!("{counts:?} pairs");
    assert!(counts[0] > counts[1] && counts[1] > 10);
}

/// What is built is built without flesh far in flesh; a document without a hand is told so.
#[test]
fn what_is_shipped() {
    for name in SCENARIOS {
        let posed = Posed::new(&document(&scenario(name).unwrap()).unwrap()).unwrap();
        let found = overlap(&posed);
        let told = found.map(|found| found.told(posed.rig()));
        assert!(
            found.is_none_or(|found| found.mm < MOST_OVERLAP),
            "{name}: {told:?}"
        );
        let depth = Gauge::FleshOverlap {}.read(&posed).unwrap().value;
        assert_eq!(depth, found.map_or(0.0, |found| found.mm));
    }
    let chain = read(include_str!(
        "../../../examples/bench-press-chain.hand.json"
    ));
    let posed = Posed::new(&chain.unwrap()).unwrap();
    assert_eq!(overlap(&posed), None);
    assert!(Gauge::FleshOverlap {}.read(&posed).is_err());
}
