//! The measured flesh of a hand, against closed forms and itself mirrored.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::flesh::{Flesh, Kind, Segment};
use hand::{Gauge, Hand, Planting, Recipe, SCENARIOS, Side, document, read, scenario};
use proptest::prelude::*;

use recipe::{DigitPart, Part, bones};
use rig::surface::Surface;
use rig::{Form, Posed, Transform, Vec3};

fn posed(recipe: &Recipe, dials: &[(&str, f64)]) -> Posed {
    let mut posed = Posed::new(&document(recipe).unwrap()).unwrap();
    for (name, value) in dials {
        let dial = posed.rig().dial_named(name).unwrap().id;
        posed.set_dial(dial, *value);
    }
    posed.evaluate();
    posed
}

fn press(side: Side) -> Recipe {
    Recipe {
        hand: Hand {
            side,
            ..Hand::table()
        },
        planting: Some(Planting::default()),
    }
}

/// Of a plane y = 0 the deepest sphere of all between is one of the ends.
#[test]
fn a_tapered_segment_by_hand() {
    let flat = |form| Surface {
        frame: Transform::identity(),
        form,
        node: None,
    };
    let segment = Segment {
        ends: [Vec3::new(-9.0, 10.0, 0.0), Vec3::new(9.0, 7.0, 3.0)],
        radii: [6.0, 4.0],
    };
    assert_eq!(segment.clearance(&flat(Form::Plane)), 3.0);
    // Lying level across a rail of 20 with its top at 0, 12 over the top in the middle.
    let across = Segment {
        ends: [Vec3::new(-30.0, 12.0, 0.0), Vec3::new(30.0, 12.0, 0.0)],
        radii: [5.0, 5.0],
    };
    assert_eq!(across.clearance(&flat(Form::Rail { radius: 20.0 })), 7.0);
    // Tapered towards the top: a cone's side is nearest, at s = h·k/√(1 − k²) of it, and what is
    // left is h·√(1 − k²) − the radius over the middle.
    let tapered = Segment {
        radii: [2.0, 8.0],
        ..across
    };
    let (h, k) = (32.0, 6.0 / 60.0f64);
    let told = tapered.clearance(&flat(Form::Rail { radius: 20.0 }));
    assert!((told - (h * (1.0 - k * k).sqrt() - 5.0 - 20.0)).abs() < 1e-12);
    // Over a sharp edge the corner's line is nearest.
    let edge = across.clearance(&flat(Form::Edge { radius: 0.0 }));
    assert_eq!(edge, 7.0);
    let upright = Segment {
        ends: [Vec3::new(4.0, -30.0, 0.0), Vec3::new(4.0, 30.0, 0.0)],
        radii: [1.0, 1.0],
    };
    assert_eq!(upright.clearance(&flat(Form::Edge { radius: 0.0 })), 3.0);
}

/// The last bone's palmar outline is the two arcs of the contact (CONTACT.md, chosen here) within
/// 0.05 mm, from the pad to the upright tip.
#[test]
fn a_fingertip_is_its_two_arcs() {
    let posed = posed(&Recipe::default(), &[("rest flexion", 0.0)]);
    let flesh = Flesh::of(posed.rig());
    for finger in ["index-finger", "middle-finger", "pinky-finger", "thumb"] {
        let rig = posed.rig();
        let node = |part| rig.part(&Part::of(finger, part)).unwrap();
        let (bone, end) = (node(DigitPart::PhalanxDistal), node(DigitPart::Tip));
        let length = (posed.point(end.id) - posed.point(bone.id)).norm();
        let h = 0.5 * bone.width;
        let (r, big, s) = (
            bones::TIP_ROUND * h,
            bones::PAD_ROUND * h,
            bones::CHANGEOVER.to_radians(),
        );
        let local = |at: &Vec3| {
            let at = posed.world(bone.id).inverse_transform_point(&(*at).into());
            (at.x, -at.y)
        };
        for step in 0..=90 {
            let angle = f64::from(step).to_radians();
            // The support of the outline in the direction `angle` from the palm's normal.
            let way = (angle.cos(), angle.sin());
            let centre = (bones::TIP_UNDER * h, length - r);
            let tip = centre.0 * way.0 + centre.1 * way.1 + r;
            let pad = (
                centre.0 - (big - r) * s.cos(),
                centre.1 - (big - r) * s.sin(),
            );
            let pad = pad.0 * way.0 + pad.1 * way.1 + big;
            let arcs = if angle < s { pad } else { tip };
            let own = flesh.segments(&posed).filter(|(node, ..)| *node == bone.id);
            let ours = own
                .flat_map(|(_, _, segment)| {
                    let ends = segment.ends.into_iter().zip(segment.radii);
                    ends.map(|(at, radius)| {
                        let (x, y) = local(&at);
                        x * way.0 + y * way.1 + radius
                    })
                    .collect::<Vec<_>>()
                })
                .fold(f64::NEG_INFINITY, f64::max);
            assert!((ours - arcs).abs() < 0.05, "{finger} {step}: {ours} {arcs}");
        }
    }
}

#[test]
fn left_and_right_mirror_to_the_bit() {
    for dials in [&[][..], &[("lift", 17.0), ("lean", 3.0), ("roll", 5.0)]] {
        let [right, left] = [Side::Right, Side::Left].map(|side| posed(&press(side), dials));
        let clear = |posed: &Posed| {
            let clear = Flesh::of(posed.rig()).clearances(posed);
            [clear.pad, clear.palm].map(|clear| clear.unwrap().mm.to_bits())
        };
        assert_eq!(clear(&right), clear(&left), "{dials:?}");
    }
}

/// Parts are found by what they are: a hand whose names are others measures the same.
#[test]
fn names_do_not_matter() {
    let recipe = press(Side::Right);
    let plain = posed(&recipe, &[("lift", 9.0)]);
    let mut document = plain.document().clone();
    for (at, node) in document.nodes.iter_mut().enumerate() {
        node.name = format!("loaf {at}");
    }
    let other = Posed::new(&document).unwrap();
    let clear = |posed: &Posed| Flesh::of(posed.rig()).clearances(posed);
    assert_eq!(clear(&plain), clear(&other));
    assert!(clear(&plain).pad.is_some() && clear(&plain).palm.is_some());
}

#[test]
fn a_document_without_a_hand_keeps_its_spheres() {
    let chain = read(include_str!(
        "../../../examples/bench-press-chain.hand.json"
    ))
    .unwrap();
    let posed = Posed::new(&chain).unwrap();
    assert!(Flesh::of(posed.rig()).is_empty());
    let palm = chain
        .node_named("palm")
        .or(chain.node_named("wrist"))
        .unwrap();
    let gauge = Gauge::Clearance {
        nodes: vec![palm.name.clone()],
    };
    let over = posed.point(palm.id).y - chain.bench.unwrap() - 0.5 * palm.width;
    assert!((gauge.read(&posed).unwrap().value - over).abs() < 1e-9);
    assert!(Gauge::PalmClearance {}.read(&posed).is_err());
    assert!(Gauge::DigitDepth {}.read(&posed).is_err());
}

/// What the gauges say is what the flesh says.
#[test]
fn gauges_tell_the_flesh() {
    for name in SCENARIOS {
        let posed = posed(&scenario(name).unwrap(), &[("lift", 8.0)]);
        let clear = Flesh::of(posed.rig()).clearances(&posed);
        let palm = Gauge::PalmClearance {}.read(&posed).unwrap().value;
        assert_eq!(palm, clear.palm.unwrap().mm);
        let deep = Gauge::DigitDepth {}.read(&posed).unwrap().value;
        assert_eq!(deep, 0f64.max(-clear.pad.unwrap().mm));
        // The deepest of the digits' bones is the deepest of all.
        let pads = Flesh::of(posed.rig());
        let nodes = posed.rig().nodes.iter();
        let own = nodes.filter_map(|node| pads.clearance(&posed, node.id, Some(Kind::Pad)));
        let least = own.fold(f64::INFINITY, f64::min);
        assert_eq!(least, clear.pad.unwrap().mm);
    }
}

proptest! {
    /// However a hand's nodes are edited, what is measured stays finite.
    #[test]
    fn an_edited_hand_stays_finite(
        edits in prop::collection::vec((any::<prop::sample::Index>(), 0u8..4, -200.0..200.0), 1..8),
    ) {
        let mut document = document(&press(Side::Right)).unwrap();
        for (at, what, by) in edits {
            let at = at.index(document.nodes.len());
            let node = &mut document.nodes[at];
            match what {
                0 => node.translation = [0.0; 3],
                1 => node.translation[1] = by,
                2 => node.width = by.abs() * 3.0,
                _ => node.part = None,
            }
        }
        let posed = Posed::new(&document).unwrap();
        let clear = Flesh::of(posed.rig()).clearances(&posed);
        for clear in [clear.pad, clear.palm].into_iter().flatten() {
            prop_assert!(clear.mm.is_finite());
        }
        let cell = hand::survey::measure(&posed);
        prop_assert!(cell.pad.by.is_finite() && cell.palm.by.is_finite());
    }
}
