//! Flesh against what it presses on and against flesh, beside Coal (PyPI `coal`).
use fastrand::Rng;
use hand::flesh::{Segment, between};
use reference::{between as number, numbers, oracle, rotation, vector};
use rig::surface::Surface;
use rig::{Form, Transform, Vec3};
use serde_json::json;

/// Neither may tell another distance than the other by more, mm.
const WITHIN: f64 = 1e-6;
const CASES: usize = 2000;

fn segment(random: &mut Rng, middle: Vec3) -> Segment {
    let mut end = || middle + vector(random, 25.0);
    let ends = [end(), end()];
    Segment {
        ends,
        radii: [number(random, 3.0, 15.0), number(random, 3.0, 15.0)],
    }
}

#[test]
fn coal_measures_the_same_depths() {
    let mut random = Rng::with_seed(10);
    let mut segments = Vec::new();
    for at in 0..CASES {
        let radius = number(&mut random, 5.0, 40.0);
        let (form, name) = match at % 3 {
            0 => (Form::Plane, "plane"),
            1 => (Form::Rail { radius }, "rail"),
            _ => (Form::Edge { radius }, "edge"),
        };
        let frame = Transform::from_parts(vector(&mut random, 50.0).into(), rotation(&mut random));
        let surface = Surface {
            frame,
            form,
            node: None,
        };
        // About the surface's origin: in it, across its rounding and off it.
        let middle = frame.translation.vector;
        let segment = segment(&mut random, middle);
        segments.push((segment, surface, name, radius));
    }
    let pairs: Vec<_> = (0..CASES)
        .map(|_| {
            let radius = number(&mut random, 3.0, 12.0);
            let mut one = || Segment {
                radii: [radius; 2],
                ..segment(&mut random, Vec3::zeros())
            };
            [one(), one()]
        })
        .collect();
    let ends = |segment: &Segment| segment.ends.map(<[f64; 3]>::from);
    let told = |(segment, surface, name, radius): &(Segment, Surface, &str, f64)| {
        let frame = surface.frame;
        json!({
            "form": name,
            "radius": radius,
            "frame": {
                "at": frame.translation.vector.as_slice(),
                "turn": frame.rotation.coords.as_slice(),
            },
            "ends": ends(segment),
            "radii": segment.radii,
        })
    };
    let pair = |[a, b]: &[Segment; 2]| json!({"ends": [ends(a), ends(b)], "radius": a.radii[0]});
    let case = json!({
        "segments": segments.iter().map(told).collect::<Vec<_>>(),
        "pairs": pairs.iter().map(pair).collect::<Vec<_>>(),
    });
    let answer = oracle("flesh", &case);

    let (mut apart, mut deep, mut clear) = (0.0f64, 0, 0);
    let theirs = numbers(&answer["clearances"]);
    assert_eq!(theirs.len(), CASES);
    for ((segment, surface, name, _), theirs) in segments.iter().zip(theirs) {
        let ours = segment.clearance(surface);
        assert!(
            (ours - theirs).abs() <= WITHIN,
            "{name}: {ours} {theirs} {segment:?} {surface:?}"
        );
        apart = apart.max((ours - theirs).abs());
        deep += usize::from(ours < -1.0);
        clear += usize::from(ours > 1.0);
    }
    assert!(deep > 300 && clear > 100, "{deep} deep, {clear} clear");
    let (mut gap, mut overlap, mut off) = (0.0f64, 0, 0);
    let theirs = numbers(&answer["gaps"]);
    assert_eq!(theirs.len(), CASES);
    for ([a, b], theirs) in pairs.iter().zip(theirs) {
        let ours = between(a, b).clearance;
        assert!(
            (ours - theirs).abs() <= WITHIN,
            "{ours} {theirs} {a:?} {b:?}"
        );
        gap = gap.max((ours - theirs).abs());
        overlap += usize::from(ours < -1.0);
        off += usize::from(ours > 1.0);
    }
    assert!(overlap > 300 && off > 300, "{overlap} overlap, {off} apart");
    println!(
        "from Coal's by {apart:e} mm at most ({deep} deep, {clear} clear), flesh from flesh by {gap:e} mm ({overlap} overlap)"
    );
}
