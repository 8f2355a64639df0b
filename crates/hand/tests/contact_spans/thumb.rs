//! A planted thumb and a free one under the press: none of its joints runs, it does not sink, and it
//! does not end what the fingers could go on with.
use super::watch::{Digit, dial};
use hand::survey::{Tolerance, greatest, stay};
use hand::{Planting, Recipe, Stance, document};
use rig::{Document, Posed};

/// Degrees a joint may turn for a degree of the dials, as for the fingers.
const RATE: f64 = 12.0;
/// mm a free thumb's flesh may be in the bench.
const DEEP: f64 = 0.3;

const NAMES: [&str; 4] = ["roll", "lift", "lean", "twist"];
/// How far each goes either way. On the fingertips not with heel and lift both pressed back: past
/// 35° of the two together its flesh lies on the seam of its arcs, and there it can jump.
const ENDS: [(f64, f64); 4] = [(-20.0, 90.0), (-20.0, 60.0), (-20.0, 20.0), (-10.0, 10.0)];

fn build(stance: Stance, thumb: bool) -> Document {
    let mut planting = Planting {
        stance,
        ..Planting::default()
    };
    if thumb {
        planting.digits.insert(0, "thumb".to_owned());
    }
    document(&Recipe {
        planting: Some(planting),
        ..Recipe::default()
    })
    .unwrap()
}

fn set(posed: &mut Posed, document: &Document, values: [f64; 4]) {
    for (name, value) in NAMES.iter().zip(values) {
        posed.set_dial(dial(document, name), value);
    }
    posed.evaluate();
}

/// Straight from neutral to every corner, edge and face of the box of dials; and each dial alone from
/// end to end with the others standing at none, or at a part of theirs.
fn lines() -> Vec<([f64; 4], [f64; 4])> {
    let at = |mut place: usize, part: f64| {
        ENDS.map(|(low, high)| {
            let which = place % 3;
            place /= 3;
            [0.0, low, high][which] * part
        })
    };
    let mut lines = Vec::new();
    for place in 1..81 {
        let mut to = at(place, 1.0);
        // The palm is 100° up at most.
        let up = to[0] + to[1];
        if up > 100.0 {
            (to[0], to[1]) = (to[0] * 100.0 / up, to[1] * 100.0 / up);
        }
        lines.push(([0.0; 4], to));
    }
    for which in 0..4 {
        for place in 0..81 {
            let mut from = at(place, 0.6);
            if from[which] != 0.0 {
                continue;
            }
            let mut to = from;
            (from[which], to[which]) = ENDS[which];
            let over = to[0] + to[1] - 100.0;
            if which < 2 && over > 0.0 {
                to[which] -= over;
            }
            lines.push((from, to));
        }
    }
    lines
}

/// Calls with the poses along a line, in steps of at most so many degrees of its farthest dial, and
/// gives the degrees of all dials together that one step is.
fn along(
    posed: &mut Posed,
    document: &Document,
    (from, to): ([f64; 4], [f64; 4]),
    size: f64,
    mut look: impl FnMut(&Posed, f64),
) -> f64 {
    let far = |by: [f64; 4]| by.iter().fold(0.0, |most: f64, by| most.max(by.abs()));
    let by = [0, 1, 2, 3].map(|i| to[i] - from[i]);
    let count = (far(by) / size).round();
    let degrees: f64 = by.iter().map(|by| by.abs()).sum();
    for step in 0..=count as u32 {
        let part = f64::from(step) / count;
        set(
            posed,
            document,
            [0, 1, 2, 3].map(|i| from[i] + by[i] * part),
        );
        look(posed, part);
    }
    degrees / count
}

/// No joint of a planted thumb turns by more than 12° for a degree of the dials, in steps of a
/// fifth and, where it is fastest, of a twentieth: a jump would grow with the second. Near a tilt of 90° its pitch does.
#[test]
fn no_joint_of_a_planted_thumb_runs() {
    for stance in [Stance::Flat, Stance::Fingertips] {
        let document = build(stance, true);
        let thumb = Digit::of(&document, "thumb");
        let mut posed = Posed::new(&document).unwrap();
        let mut fastest = (0.0, String::new());
        let (mut held, mut gone, mut count) = (0, 0, 0);
        for line in lines() {
            // The corner named at `ENDS`.
            if stance == Stance::Fingertips && line.1[0] + line.1[1] < -35.0 {
                continue;
            }
            count += 1;
            let mut fast = |line, size| {
                let (mut worst, mut before) = ((0.0, 0.0), None);
                let mut turned: Vec<f64> = Vec::new();
                let step = along(&mut posed, &document, line, size, |posed, part| {
                    let hold = thumb.hold(posed);
                    held += usize::from(hold == 1.0);
                    gone += usize::from(hold == 0.0);
                    let now = thumb.joints.map(|(joint, _)| posed.turns(joint));
                    turned.clear();
                    if let Some(before) = before.replace(now) {
                        let both = before.as_flattened().iter().zip(now.as_flattened());
                        turned.extend(both.map(|(a, b): (&f64, &f64)| (b - a).abs()));
                    }
                    let most = turned.iter().copied().fold(0.0, f64::max);
                    if most > worst.0 {
                        worst = (most, part);
                    }
                });
                (worst.0 / step, worst.1)
            };
            let (coarse, part) = fast(line, 0.2);
            let near =
                |by: f64| [0, 1, 2, 3].map(|i| line.0[i] + (line.1[i] - line.0[i]) * (part + by));
            let (fine, _) = fast((near(-0.01), near(0.01)), 0.05);
            let rate = coarse.max(fine);
            if rate > fastest.0 {
                fastest = (rate, format!("{line:?} at {part}: {coarse} and {fine}"));
            }
        }
        println!("{stance:?}: {fastest:?}, {held} held, {gone} gone, {count} lines");
        assert!(fastest.0 <= RATE, "{stance:?}: {fastest:?}");
        assert!(
            held > 5_000 && gone > 1_000 && count > 170,
            "{held} {gone} {count}"
        );
    }
}

/// A thumb let go does not sink, whatever the press: its tip and pad, and the joints behind.
#[test]
fn a_free_thumb_does_not_sink() {
    let document = build(Stance::Flat, false);
    let thumb = Digit::of(&document, "thumb");
    let mut posed = Posed::new(&document).unwrap();
    let mut deepest = (f64::NEG_INFINITY, String::new());
    for line in lines() {
        along(&mut posed, &document, line, 0.5, |posed, part| {
            let depth = thumb.depth(posed).max(thumb.joints_depth(posed));
            if depth > deepest.0 {
                deepest = (depth, format!("{line:?} at {part}"));
            }
        });
    }
    println!("{deepest:?}");
    assert!(deepest.0 <= DEEP, "{deepest:?}");
}

/// A planted thumb lets go when its reach ends and the fingers press on: it shortens no lift or roll by
/// more than a third, and the report has it that it is the thumb that goes first.
#[test]
fn a_planted_thumb_does_not_end_the_press() {
    for stance in [Stance::Flat, Stance::Fingertips] {
        let [without, with] = [false, true].map(|thumb| Posed::new(&build(stance, thumb)).unwrap());
        for name in ["lift", "roll"] {
            let far = |posed: &Posed| {
                let dial = dial(posed.document(), name);
                let found = greatest(posed, dial, true, &Tolerance::default());
                found.unwrap().value
            };
            let (alone, together) = (far(&without), far(&with));
            let stays = stay(&with, dial(with.document(), name), true).unwrap();
            let first = with.document().node(stays.first.unwrap()).unwrap();
            println!(
                "{stance:?} {name}: {alone:.2} without, {together:.2} with, all down to {:.2}, then {}",
                stays.value, first.name
            );
            assert!(
                together >= alone * 2.0 / 3.0,
                "{stance:?} {name}: {together} of {alone}"
            );
            assert_eq!(first.name, "thumb-tip-contact");
        }
    }
}
