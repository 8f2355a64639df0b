//! How far the planted hand of `bench-press` presses, alone and on several dials at once: what its
//! flesh does on the bench, measured from poses (`watch.rs`).
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
mod watch;

use rig::{Document, Posed};
use watch::{DIGITS, Digit, Palm, dial, example};

/// Tolerances: mm of a digit's end in the bench, mm of the palm (the survey's own), mm of slip (the
/// survey's own), degrees a joint may turn for a degree of a dial.
const PAD: f64 = 0.2;
const PALM: f64 = 3.0;
const SLIP: f64 = 0.5;
const RATE: f64 = 12.0;

type Way = &'static [(&'static str, f64)];

/// Each from neutral straight to there.
const WAYS: [Way; 17] = [
    &[("roll", -20.0)],
    &[("roll", 90.0)],
    &[("lift", -20.0)],
    &[("lift", 60.0)],
    &[("lean", 20.0)],
    &[("lean", -20.0)],
    &[("twist", 10.0)],
    &[("twist", -10.0)],
    &[("lift", 40.0), ("roll", 40.0)],
    &[("lift", 40.0), ("lean", 12.0)],
    &[("lift", 40.0), ("lean", -12.0)],
    &[("roll", 70.0), ("lean", 12.0)],
    &[("roll", 70.0), ("lean", -12.0)],
    &[("lift", 40.0), ("twist", 6.0)],
    &[("roll", 60.0), ("twist", -6.0)],
    &[("roll", -20.0), ("lean", 12.0)],
    &[
        ("lift", 30.0),
        ("roll", 30.0),
        ("lean", -8.0),
        ("twist", 4.0),
    ],
];

fn set(posed: &mut Posed, document: &Document, way: Way, part: f64) {
    for (name, value) in way {
        posed.set_dial(dial(document, name), value * part);
    }
    posed.evaluate();
}

/// Steps of the dial that goes farthest, degrees.
fn steps(way: Way, size: f64) -> u32 {
    let farthest = way
        .iter()
        .fold(0.0, |most: f64, (_, value)| most.max(value.abs()));
    (farthest / size).round() as u32
}

#[test]
fn nothing_sinks_and_nothing_slips() {
    let document = example("bench-press");
    let palm = Palm::of(&document);
    for way in WAYS {
        let mut posed = Posed::new(&document).unwrap();
        let mut digits: Vec<_> = DIGITS
            .into_iter()
            .map(|name| Digit::of(&document, name))
            .collect();
        let steps = steps(way, 0.1);
        let (mut pads, mut joints, mut palms) = (0.0f64, 0.0f64, 0.0f64);
        let mut deep = std::collections::BTreeMap::new();
        for step in 0..=steps {
            set(
                &mut posed,
                &document,
                way,
                f64::from(step) / f64::from(steps),
            );
            for digit in &mut digits {
                digit.roll_on(&posed);
                pads = pads.max(digit.depth(&posed));
                let d = deep.entry(digit.name).or_insert(0.0f64);
                *d = d.max(digit.depth(&posed));
                joints = joints.max(digit.joints_depth(&posed));
            }
            palms = palms.max(palm.depth(&posed));
        }
        let slip = digits
            .iter()
            .fold(0.0f64, |most, digit| most.max(digit.slip));
        println!("{way:?}: pads {pads:.3}, joints {joints:.3}, palm {palms:.2}, slip {slip:.3}");
        assert!(
            pads <= PAD && joints <= PAD,
            "{way:?}: {pads} and {joints} mm deep"
        );
        assert!(palms <= PALM, "{way:?}: the palm is {palms} mm deep");
        assert!(slip <= SLIP, "{way:?}: {slip} mm");
    }
}

#[test]
fn nothing_sinks_anywhere_on_a_grid() {
    let document = example("bench-press");
    let palm = Palm::of(&document);
    let digits = DIGITS.map(|name| Digit::of(&document, name));
    let mut posed = Posed::new(&document).unwrap();
    let (mut worst, mut deepest) = (0.0f64, 0.0f64);
    let mut poses = 0;
    for lift in 0..9 {
        for roll in 0..13 {
            for lean in 0..9 {
                for (name, value) in [
                    ("lift", -20.0 + 10.0 * f64::from(lift)),
                    ("roll", -30.0 + 10.0 * f64::from(roll)),
                    ("lean", -20.0 + 5.0 * f64::from(lean)),
                    ("twist", f64::from((lift + roll + lean) % 5 - 2) * 5.0),
                ] {
                    posed.set_dial(dial(&document, name), value);
                }
                posed.evaluate();
                if 10 * (lift - 2) + 10 * (roll - 3) > 100 {
                    continue;
                }
                for digit in &digits {
                    let deep = digit.depth(&posed);
                    if deep > 0.2 {
                        let at = ["lift", "roll", "lean", "twist"]
                            .map(|name| posed.dial(dial(&document, name)));
                        println!(
                            "{} {deep:.2} at {at:?} hold {:.2} {:?}",
                            digit.name,
                            digit.hold(&posed),
                            digit.joints.map(|(j, _)| posed.turns(j))
                        );
                    }
                    worst = worst.max(deep);
                }
                deepest = deepest.max(palm.depth(&posed));
                poses += 1;
            }
        }
    }
    println!("{poses} poses: pads {worst:.3}, palm {deepest:.2}");
    assert!(worst <= PAD, "a digit is {worst} mm deep");
    assert!(deepest <= PALM, "the palm is {deepest} mm deep");
}

/// Twice, with steps of two sizes: a jump would double with the second.
#[test]
fn no_joint_jumps() {
    let document = example("bench-press");
    let digits = DIGITS.map(|name| Digit::of(&document, name));
    for way in WAYS {
        for size in [0.1, 0.05] {
            let mut posed = Posed::new(&document).unwrap();
            let steps = steps(way, size);
            // All dials turn: their degrees count together.
            let degrees: f64 = way.iter().map(|(_, value)| value.abs()).sum();
            let whole = degrees / (f64::from(steps) * size);
            let mut before: Option<Vec<[f64; 3]>> = None;
            let (mut worst, mut whose) = (0.0f64, "");
            for step in 0..=steps {
                set(
                    &mut posed,
                    &document,
                    way,
                    f64::from(step) / f64::from(steps),
                );
                let mut now = Vec::new();
                for digit in &digits {
                    now.extend(digit.joints.map(|(joint, _)| posed.turns(joint)));
                }
                for (at, (a, b)) in before.iter().flatten().zip(&now).enumerate() {
                    for (a, b) in a.iter().zip(b) {
                        let rate = (b - a).abs() / (size * whole);
                        if rate > worst {
                            (worst, whose) = (rate, DIGITS[at / 3]);
                        }
                    }
                }
                before = Some(now);
            }
            println!("{way:?} by {size}: {worst:.2}° a degree, {whose}");
            assert!(worst <= RATE, "{way:?}: {whose} {worst}° a degree");
        }
    }
}

/// From where to where each digit lets go, degrees of the dial.
fn spans(document: &Document, way: Way) -> Vec<(&'static str, Option<f64>, Option<f64>)> {
    let digits = DIGITS[..4].iter().map(|name| Digit::of(document, name));
    let mut posed = Posed::new(document).unwrap();
    let steps = steps(way, 0.1);
    let mut spans: Vec<_> = digits.map(|digit| (digit, None, None)).collect();
    for step in 0..=steps {
        let part = f64::from(step) / f64::from(steps);
        set(&mut posed, document, way, part);
        let value = way[0].1 * part;
        for (digit, starts, ends) in &mut spans {
            let hold = digit.hold(&posed);
            if hold < 1.0 && starts.is_none() {
                *starts = Some(value);
            }
            if hold <= 0.0 && ends.is_none() {
                *ends = Some(value);
            }
        }
    }
    spans
        .into_iter()
        .map(|(digit, starts, ends)| (digit.name, starts, ends))
        .collect()
}

#[test]
fn diag() {
    let name = std::env::var("DOC").unwrap_or("bench-press".into());
    let document = example(&name);
    let text = std::env::var("WAY").unwrap();
    let way: Vec<(String, f64)> = text
        .split(',')
        .map(|part| {
            let (a, b) = part.split_once(':').unwrap();
            (a.to_owned(), b.parse().unwrap())
        })
        .collect();
    let by = std::env::var("BY").unwrap().parse::<usize>().unwrap();
    let mut digits: Vec<_> = DIGITS
        .into_iter()
        .filter(|n| document.anchor_named(n).is_some())
        .map(|name| Digit::of(&document, name))
        .collect();
    let palm = Palm::of(&document);
    let mut posed = Posed::new(&document).unwrap();
    for k in 0..=600 {
        let part = f64::from(k) / 600.0;
        for (name, value) in &way {
            posed.set_dial(dial(&document, name), value * part);
        }
        posed.evaluate();
        for d in &mut digits {
            d.roll_on(&posed);
        }
        if k as usize % by == 0 {
            print!("{:7.2} palm {:5.2}", way[0].1 * part, palm.depth(&posed));
            for d in &digits {
                let j = d.joints.map(|(j, _)| posed.turns(j)[2]);
                let o = posed.outcome(document.anchor_named(d.name).unwrap().id);
                print!(
                    "| h{:.2} m{:6.2} {:6.1}{:6.1}{:6.1} a{:5.1} d{:5.2} s{:.2} r{:.2}{} ",
                    d.hold(&posed),
                    o.reach_margin,
                    j[0],
                    j[1],
                    j[2],
                    posed.turns(d.joints[0].0)[0],
                    d.depth(&posed),
                    d.slip,
                    o.residual,
                    if o.limited { "L" } else { "" }
                );
            }
            println!();
        }
    }
}

#[test]
fn table() {
    let document = example("bench-press");
    for way in [
        &[("roll", -30.0)] as Way,
        &[("roll", 100.0)],
        &[("lift", -30.0)],
        &[("lift", 75.0)],
        &[("lean", 25.0)],
        &[("lean", -25.0)],
        &[("twist", 15.0)],
        &[("twist", -15.0)],
    ] {
        for (name, from, to) in spans(&document, way) {
            println!("{way:?} {name} {from:?} {to:?}");
        }
    }
}
