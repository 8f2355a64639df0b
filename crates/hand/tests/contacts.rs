//! Planting, letting go, planting anew and moving pivots in mid-shot: nothing jumps, undo is exact.
mod common;
use common::{Act, apply};
use hand::{Arm, Ground, GroundForm, Hand, Planting, Recipe, Side, Stance, document};
use proptest::prelude::*;
use rig::fault::Explain;
use rig::*;

/// What turns. The wrist target turns nothing: it is where the hand itself hangs.
const PIVOTS: [&str; 7] = [
    "surface",
    "twist",
    "tips",
    "inner edge",
    "outer edge",
    "heel",
    "knuckles",
];

const ROLLS: [&str; 4] = ["tips", "inner edge", "outer edge", "heel"];

fn hand(which: usize) -> Document {
    let with = |stance, form, side, arm: bool| {
        let recipe = Recipe {
            hand: Hand {
                side,
                arm: arm.then(Arm::default),
                ..Hand::table()
            },
            planting: Some(Planting {
                stance,
                surface: Ground {
                    form,
                    tilt: 8.0,
                    ..Ground::default()
                },
                ..Planting::default()
            }),
        };
        document(&recipe).unwrap_or_else(|fault| panic!("{fault}"))
    };
    match which {
        0 => with(Stance::Flat, GroundForm::Plane, Side::Right, false),
        1 => with(Stance::Flat, GroundForm::Rail, Side::Left, false),
        2 => with(Stance::Fingertips, GroundForm::Plane, Side::Right, true),
        _ => with(Stance::Fist, GroundForm::Plane, Side::Left, false),
    }
}

fn id(document: &Document, name: &str) -> NodeId {
    let node = document.node_named(name);
    node.unwrap_or_else(|| panic!("no '{name}'")).id
}

fn set(document: &mut Document, values: &[(&str, f64)]) {
    for (name, value) in values {
        let dial = document.dials.iter().position(|dial| dial.name == *name);
        document.setting.dials[dial.unwrap()] = *value;
    }
}

/// Farthest any node of the first document is off in the second: place, mm, and turn, radians.
/// Where a digit is held is left out: it comes along to where the digit had slipped. So is the turn
/// of a pivot that rolls: planted anew it is level with its surface, and what it carries is not.
fn jump(before: &Document, after: &Document, but: Option<NodeId>) -> (f64, f64) {
    let (a, b) = (Posed::new(before).unwrap(), Posed::new(after).unwrap());
    let mut worst = (0.0f64, 0.0f64);
    let moves = |node: &&Shared<Node>| Some(node.id) != but && !node.name.ends_with("-plant");
    for node in before.nodes.iter().filter(moves) {
        let (a, b) = (a.world(node.id), b.world(node.id));
        let turn = (a.rotation.coords - b.rotation.coords)
            .norm()
            .min((a.rotation.coords + b.rotation.coords).norm());
        worst.0 = worst
            .0
            .max((a.translation.vector - b.translation.vector).norm());
        if !ROLLS.contains(&&*node.name) {
            worst.1 = worst.1.max(turn);
        }
    }
    worst
}

/// Makes the edit, proves undo and redo to the bit, and gives the document before it.
fn made(document: &mut Document, edit: &impl Act) -> Document {
    let before = document.clone();
    let mut history = History::new(Posed::new(document).unwrap());
    let made = edit.act(&mut history);
    made.unwrap_or_else(|refusal| panic!("{edit:?}: {refusal}"));
    *document = history.document().clone();
    history.undo();
    assert_eq!(format!("{:?}", history.document()), format!("{before:?}"));
    history.redo();
    assert_eq!(format!("{:?}", history.document()), format!("{document:?}"));
    before
}

fn still(before: &Document, after: &Document, what: &str) {
    let (mm, turn) = jump(before, after, None);
    assert!(mm < 1e-9 && turn < 1e-10, "{what}: {mm:e} mm, {turn:e}");
    let (was, posed) = (Posed::new(before).unwrap(), Posed::new(after).unwrap());
    for anchor in &after.anchors {
        // One that is off says how far its digit is from where it could be held; one that gives
        // way, as round a rail where its flesh would sink, gives no more than it did.
        let own = before.anchors.iter().any(|own| own.id == anchor.id);
        let gave = if own {
            was.outcome(anchor.id).residual
        } else {
            0.0
        };
        assert!(
            !posed.is_active(anchor.id) || posed.outcome(anchor.id).residual < gave + 1e-9,
            "{what}: {}",
            anchor.name
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(24) })]

    /// A pivot moved while everything is turned takes nothing with it, and afterwards turns about
    /// its new place.
    #[test]
    fn pivots_move_in_mid_shot(
        which in 0usize..4, pivot in 0usize..7,
        lift in -5.0..12.0f64, roll in -4.0..12.0f64, lean in -5.0..5.0f64, twist in -2.0..2.0f64,
        by in [-20.0..20.0f64, -20.0..20.0, -20.0..20.0],
    ) {
        // A fist is set down on its surface, wherever that goes.
        prop_assume!(!(which == 3 && PIVOTS[pivot] == "surface"));
        let mut hand = hand(which);
        set(&mut hand, &[("lift", lift), ("roll", roll), ("lean", lean), ("twist", twist)]);
        let node = id(&hand, PIVOTS[pivot]);
        let to = Posed::new(&hand).unwrap().point(node) + Vec3::from(by);
        let edit = Edit::Move { node, to, keep_children: true };
        let before = made(&mut hand, &edit);
        let (mm, turn) = jump(&before, &hand, Some(node));
        prop_assert!(mm < 1e-9 && turn < 1e-10, "{mm:e} mm, {turn:e}");
        let moved = Posed::new(&hand).unwrap().point(node);
        prop_assert!((moved - to).norm() < 1e-9);
    }

    /// The present pose made the planted one: all press dials at zero, no slip, nothing moved.
    #[test]
    fn planting_anew_moves_nothing(
        which in 0usize..4,
        lift in -3.0..8.0f64, lean in -4.0..4.0f64, twist in -1.5..1.5f64, tips in -2.0..2.0f64,
        height in -20.0..20.0f64, tilt in -10.0..10.0f64,
    ) {
        let mut hand = hand(which);
        set(&mut hand, &[
            ("lift", lift), ("lean", lean), ("twist", twist), ("raw tips", tips),
            ("surface height", height), ("surface tilt", tilt),
        ]);
        let before = made(&mut hand, &hand::Edit::Replant);
        still(&before, &hand, "replant");
        let posed = Posed::new(&hand).unwrap();
        for plant in &hand.plants {
            prop_assert!(posed.slip(plant.node).unwrap() < 1e-9);
        }
        for name in ["lift", "lean", "twist", "raw tips"] {
            prop_assert_eq!(hand.value(hand.dial_named(name).unwrap().id), Some(0.0));
        }
        // Where the surface is is not part of the press.
        prop_assert_eq!(hand.value(hand.dial_named("surface height").unwrap().id).unwrap(), height);
    }

    /// Let go, a digit relaxes and nothing else moves; planted again, it stays where it is.
    #[test]
    fn letting_go_moves_its_digit_alone_and_planting_nothing(
        which in 0usize..3, finger in 0usize..4,
        lift in -3.0..8.0f64, lean in -4.0..4.0f64, later in -3.0..8.0f64,
    ) {
        let mut hand = hand(which);
        set(&mut hand, &[("lift", lift), ("lean", lean)]);
        let node = hand.plants[finger].node;
        let surface = id(&hand, "surface");
        let before = made(&mut hand, &hand::Edit::Release { node });
        let digit = hand.node(node).unwrap().part.as_ref().unwrap().digit().unwrap().to_owned();
        let own = |of: &Node| of.part.as_ref().and_then(|part| part.digit()) == Some(&digit);
        let (a, b) = (Posed::new(&before).unwrap(), Posed::new(&hand).unwrap());
        for other in before.nodes.iter().filter(|other| !own(other)) {
            prop_assert!((a.point(other.id) - b.point(other.id)).norm() < 1e-9, "{}", other.name);
        }
        let held = hand.anchor_named(&digit).unwrap().id;
        prop_assert_eq!(hand.is_active(held), Some(false));
        set(&mut hand, &[("lift", later)]);
        let before = made(&mut hand, &hand::Edit::Plant { node, surface: Some(surface) });
        still(&before, &hand, "plant");
        prop_assert!(Posed::new(&hand).unwrap().slip(node).unwrap() < 1e-9);
    }

    /// Planted on another surface in mid-press, a digit stays; when that surface moves, it follows.
    #[test]
    fn a_digit_changes_its_surface(which in 0usize..3, lift in -3.0..8.0f64, finger in 0usize..4) {
        let mut hand = hand(which);
        set(&mut hand, &[("lift", lift)]);
        let node = hand.plants[finger].node;
        let at = Posed::new(&hand).unwrap().point(node);
        let door = Edit::AddNode {
            name: "door".to_owned(), kind: Kind::Mount, parent: None, at, width: 0.0,
        };
        apply(&mut hand, &door).unwrap();
        let door = id(&hand, "door");
        apply(&mut hand, &Edit::AddDrive {
            dial: "door opens".to_owned(), unit: Unit::Millimetres, range: (-5.0, 5.0),
            drive: Drive { target: Target::Channel(door, Channel::MoveZ), gain: 1.0, ramp: Ramp::Whole },
        }).unwrap();
        let before = made(&mut hand, &hand::Edit::Plant { node, surface: Some(door) });
        still(&before, &hand, "change of surface");
        set(&mut hand, &[("door opens", 0.4)]);
        let posed = Posed::new(&hand).unwrap();
        prop_assert!(posed.slip(node).unwrap() < 1e-9);
        prop_assert!((posed.point(node) - at - Vec3::z() * 0.4).norm() < 1e-9);
    }
}

/// A digit that was let go of by its dial, and one that was never planted, are planted as they are.
#[test]
fn a_resting_digit_is_planted_as_it_is() {
    let mut hand = hand(0);
    set(&mut hand, &[("lift", 6.0), ("release ring-finger", 100.0)]);
    let surface = Some(id(&hand, "surface"));
    let node = id(&hand, "ring-finger-pad");
    let before = made(&mut hand, &hand::Edit::Plant { node, surface });
    still(&before, &hand, "after its dial let go");
    assert_eq!(
        hand.value(hand.dial_named("release ring-finger").unwrap().id)
            .unwrap(),
        0.0
    );

    let recipe = Recipe {
        planting: Some(Planting {
            digits: vec!["index-finger".to_owned(), "middle-finger".to_owned()],
            ..Planting::default()
        }),
        ..Recipe::default()
    };
    let mut hand = document(&recipe).unwrap();
    set(&mut hand, &[("lift", 6.0), ("curl", 35.0)]);
    let surface = Some(id(&hand, "surface"));
    // Any of its last parts will do: it is held by its tip's centre.
    let pad = id(&hand, "pinky-finger-pad");
    let node = id(&hand, "pinky-finger-tip-contact");
    let edit = hand::Edit::Plant { node: pad, surface };
    let before = made(&mut hand, &edit);
    still(&before, &hand, "never planted before");
    assert!(hand.anchor_named("pinky-finger").is_some());
    let planting = hand.hand.as_ref().unwrap().planting.as_ref().unwrap();
    assert!(planting.digits.contains(&"pinky-finger".to_owned()));
    set(&mut hand, &[("lift", 7.0)]);
    assert!(Posed::new(&hand).unwrap().slip(node).unwrap() < 1e-9);
    // The recipe knows, and can be built from.
    let recipe = hand.hand.clone().unwrap();
    apply(&mut hand, &hand::Edit::Remake { recipe }).unwrap();
}

#[test]
fn a_thumb_is_planted_as_it_is() {
    let mut hand = hand(0);
    set(&mut hand, &[("lift", 4.0), ("curl", 20.0)]);
    let surface = Some(id(&hand, "surface"));
    let node = id(&hand, "thumb-pad");
    let before = made(&mut hand, &hand::Edit::Plant { node, surface });
    let (mm, turn) = jump(&before, &hand, None);
    assert!(mm < 1e-6 && turn < 1e-7, "{mm:e} mm, {turn:e}");
    let before = made(&mut hand, &hand::Edit::Release { node });
    let (mm, turn) = jump(&before, &hand, None);
    assert!(mm < 1e-6 && turn < 1e-7, "{mm:e} mm, {turn:e}");
}

#[test]
fn what_cannot_be_is_refused() {
    let mut hand = hand(0);
    let thumb = id(&hand, "thumb-pad");
    let refusal = apply(&mut hand, &hand::Edit::Release { node: thumb }).unwrap_err();
    assert!(refusal.why().contains("'thumb-pad' is not planted"));
    let tip = id(&hand, "index-finger-tip");
    let own = hand::Edit::Plant {
        node: id(&hand, "index-finger-pad"),
        surface: Some(tip),
    };
    let before = hand.clone();
    assert!(
        apply(&mut hand, &own).is_err(),
        "a finger cannot be planted on itself"
    );
    assert_eq!(hand, before);
    let gone = NodeId(9999);
    assert!(
        apply(
            &mut hand,
            &hand::Edit::Plant {
                node: gone,
                surface: None
            }
        )
        .is_err()
    );
    let chain = include_str!("../../../examples/bench-press-chain.hand.json");
    let mut empty = read(chain).unwrap();
    empty.plants.clear();
    assert!(apply(&mut empty, &hand::Edit::Replant).is_err());
}
