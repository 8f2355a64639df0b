//! The thumb's own dials: it turns as it opposes, and in a fist passes no finger.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::{Hand, Recipe, Side, document};
use rig::{Document, Posed, Vec3};

const FINGERS: [&str; 4] = [
    "index-finger",
    "middle-finger",
    "ring-finger",
    "pinky-finger",
];

/// A round bar of flesh: its ends and the radius at each.
struct Bar {
    ends: [Vec3; 2],
    radii: [f64; 2],
}

impl Bar {
    fn at(&self, part: f64) -> (Vec3, f64) {
        let [a, b] = self.ends;
        let [r, s] = self.radii;
        (a + (b - a) * part, r + (s - r) * part)
    }

    /// How deep two are in each other, mm: over a grid of places, then a finer one about the
    /// deepest.
    fn overlap(&self, other: &Self) -> f64 {
        let (mut deepest, mut about, mut width) = (f64::NEG_INFINITY, [0.5, 0.5], 0.5);
        for _ in 0..6 {
            let middle = about;
            for i in -8..=8 {
                for j in -8..=8 {
                    let part = |middle: f64, step: i32| {
                        (middle + width * f64::from(step) / 8.0).clamp(0.0, 1.0)
                    };
                    let parts = [part(middle[0], i), part(middle[1], j)];
                    let ((p, r), (q, s)) = (self.at(parts[0]), other.at(parts[1]));
                    let depth = r + s - (p - q).norm();
                    if depth > deepest {
                        (deepest, about) = (depth, parts);
                    }
                }
            }
            width *= 0.25;
        }
        deepest
    }
}

/// The bars of a digit from one of its joints on, as wide as its nodes, the last as long as the tip.
fn bars(posed: &Posed, digit: &str, joints: &[&str]) -> Vec<Bar> {
    let document = posed.document();
    let node = |part: &str| document.node_named(&format!("{digit}-{part}")).unwrap();
    let place = |part: &str| posed.point(node(part).id);
    let mut bars = Vec::new();
    for pair in joints.windows(2) {
        let [a, b] = [place(pair[0]), place(pair[1])];
        let [r, s] = [node(pair[0]), node(pair[1])].map(|node| 0.5 * node.width);
        let b = if pair[1] == "tip" {
            b - (b - a).normalize() * s
        } else {
            b
        };
        bars.push(Bar {
            ends: [a, b],
            radii: [r, s],
        });
    }
    bars
}

fn set(document: &Document, values: &[(&str, f64)]) -> Posed {
    let mut document = document.clone();
    for (name, value) in values {
        let dial = document.dial_named(name).expect(name).id;
        document.set_value(dial, *value);
    }
    Posed::new(&document).unwrap()
}

fn free(side: Side) -> Document {
    let hand = Hand {
        side,
        ..Hand::table()
    };
    let recipe = Recipe {
        hand,
        planting: None,
    };
    document(&recipe).unwrap()
}

/// The deepest that the thumb is in a finger, mm, with both bars.
fn cut(posed: &Posed) -> (f64, String) {
    let thumb = bars(
        posed,
        "thumb",
        &["phalanx-proximal", "phalanx-distal", "tip"],
    );
    let mut deepest = (f64::NEG_INFINITY, String::new());
    for finger in FINGERS {
        let parts = [
            "metacarpal",
            "phalanx-proximal",
            "phalanx-intermediate",
            "phalanx-distal",
            "tip",
        ];
        for (part, bar) in parts.iter().zip(bars(posed, finger, &parts)) {
            for (which, thumb) in thumb.iter().enumerate() {
                let depth = bar.overlap(thumb);
                if depth > deepest.0 && !(which == 0 && *part == "metacarpal") {
                    deepest = (depth, format!("{finger} {part} by {which}"));
                }
            }
        }
    }
    deepest
}

/// Degrees between the line across the thumb metacarpal's head and the backs of the second and third
/// metacarpals.
fn turned(posed: &Posed) -> f64 {
    let node = |name: &str| posed.document().node_named(name).unwrap().id;
    let head = posed.world(node("thumb-metacarpal")).rotation * Vec3::z();
    let [second, third] = ["index-finger", "middle-finger"]
        .map(|finger| posed.point(node(&format!("{finger}-phalanx-proximal"))));
    let backs = (second - third).normalize();
    // To the thumb's side of either hand.
    let head = if posed.document().hand.as_ref().unwrap().hand.side == Side::Left {
        -head
    } else {
        head
    };
    head.dot(&backs).acos().to_degrees()
}

/// Ten people's by computed tomography, with its standard deviation, degrees (metacarpal-ct-2006 in
/// the tables of spread; kept here with its source).
const RESTING: (f64, f64) = (74.0, 10.0);
const TO_INDEX: (f64, f64) = (100.0, 7.0);
const TO_LITTLE: (f64, f64) = (110.0, 7.0);

/// As it opposes the thumb turns its pad to the fingers, as far as people's do.
#[test]
fn an_opposing_thumb_turns_as_peoples() {
    for side in [Side::Right, Side::Left] {
        let document = free(side);
        let at = |part| turned(&set(&document, &[("opposition", part)]));
        let within = |angle: f64, (mean, deviation): (f64, f64)| (angle - mean).abs() < deviation;
        let [resting, index, little] = [at(0.0), at(75.0), at(100.0)];
        println!("turned by {resting:.1}, {index:.1}, {little:.1}");
        assert!(within(resting, RESTING) && within(index, TO_INDEX) && within(little, TO_LITTLE));
        // It swings by the dial's 40°, and only the thumb moves.
        let tip = |part, name: &str| {
            let posed = set(&document, &[("opposition", part)]);
            posed.point(document.node_named(name).unwrap().id)
        };
        assert!(tip(100.0, "thumb-tip").y < tip(0.0, "thumb-tip").y - 40.0);
        for finger in FINGERS {
            let name = format!("{finger}-tip");
            assert_eq!(tip(100.0, &name), tip(0.0, &name));
        }
    }
}

/// The same dials on a left hand are the right hand's mirror image, to the bit.
#[test]
fn thumbs_of_both_hands_mirror() {
    let [right, left] = [Side::Right, Side::Left]
        .map(|side| set(&free(side), &[("opposition", 63.0), ("curl", 91.0)]));
    for node in &right.document().nodes {
        let other = left.document().node_named(&node.name).unwrap().id;
        let (one, other) = (right.point(node.id), left.point(other));
        assert_eq!(
            [one.x, one.y, 0.0 - one.z],
            [other.x, other.y, other.z],
            "{}",
            node.name
        );
    }
}

/// How near the thumb's last bone comes to a bar of a finger, and the round of its tip alone, mm.
fn gaps(posed: &Posed, finger: &str) -> [f64; 2] {
    let thumb = bars(posed, "thumb", &["phalanx-distal", "tip"]).remove(0);
    let middle = ["phalanx-intermediate", "phalanx-distal"];
    let middle = bars(posed, finger, &middle).remove(0);
    let (tip, radius) = thumb.at(1.0);
    let tip = Bar {
        ends: [tip; 2],
        radii: [radius; 2],
    };
    [thumb, tip].map(|bar| 0.0 - middle.overlap(&bar))
}

/// On the way to a fist and in it the thumb passes no finger by more than 1 mm; in the fist its last
/// bone lies within 3 mm over the middle phalanges of index and middle finger, its tip on the latter's
/// (relaxed fingers bend further in, and leave it).
#[test]
fn the_thumb_of_a_fist_passes_no_finger() {
    for side in [Side::Right, Side::Left] {
        let document = free(side);
        let relaxed = document.dial_named("rest flexion").unwrap().id;
        for rest in [0.0, document.value(relaxed).unwrap()] {
            let mut deepest = (f64::NEG_INFINITY, String::new());
            for step in 0..=40 {
                let curl = 2.5 * f64::from(step);
                let posed = set(&document, &[("rest flexion", rest), ("curl", curl)]);
                let (depth, what) = cut(&posed);
                if depth > deepest.0 {
                    deepest = (depth, format!("{what} at {curl}"));
                }
                if curl == 100.0 {
                    let [index, middle, ..] = FINGERS;
                    let [over_index, _] = gaps(&posed, index);
                    let [over_middle, tip] = gaps(&posed, middle);
                    println!(
                        "rest {rest}: over the index {over_index:.2}, the middle {over_middle:.2}, its tip {tip:.2}"
                    );
                    let most = over_index.max(over_middle).max(tip);
                    assert!(rest > 0.0 || most <= 3.0, "{most}");
                }
            }
            println!("rest flexion {rest}: {deepest:?}");
            assert!(deepest.0 < 1.0, "{deepest:?}");
        }
    }
}
