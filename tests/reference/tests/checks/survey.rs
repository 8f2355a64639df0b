//! The survey of the shipped press against SciPy, which works from the document's file alone.
use fastrand::Rng;
use hand::flesh::{Flesh, Kind};
use hand::survey::{Ends, Survey, Sweep, Tolerance};
use hand::{Planting, Recipe, document as build};
use reference::{between, numbers, oracle};
use rig::{Document, Posed, write};
use serde_json::{Value, json};

/// What is allowed, mm: so that here a slip ends the region, there the digits' depth and there the
/// palm's.
const TOLERANCE: Tolerance = Tolerance {
    slip: 0.5,
    pad: 4.0,
    palm: 6.0,
};
/// Neither may find flesh deeper than the other by more than this, mm, where all digits hold. How
/// a finger that does not reach lies is not told by how far it misses.
const DEPTH: f64 = 1e-5;
/// Neither may find a place nearer to a plant than the other by more than this, mm.
const WITHIN: f64 = 1e-6;
const COUNT: usize = 25;

fn sweep(document: &Document, name: &str, from: f64, to: f64) -> Sweep {
    Sweep {
        dial: document.dial_named(name).expect("a press dial").id,
        from,
        to,
        count: COUNT,
    }
}

fn told(document: &Document, sweep: &Sweep) -> Value {
    let dial = document.dial(sweep.dial).expect("it is swept");
    json!({"dial": dial.name, "from": sweep.from, "to": sweep.to, "count": sweep.count})
}

/// A place in a square of the grid whose corners can all be reached from neutral.
fn inside(survey: &Survey, squares: &[(usize, usize)], random: &mut Rng) -> (f64, f64) {
    let (column, row) = squares[random.usize(..squares.len())];
    (
        between(
            random,
            survey.across.value(column),
            survey.across.value(column + 1),
        ),
        between(random, survey.up.value(row), survey.up.value(row + 1)),
    )
}

/// Squares of the grid whose four corners can be reached.
fn squares(survey: &Survey) -> Vec<(usize, usize)> {
    let reachable = survey.reachable(&TOLERANCE);
    let all = (0..COUNT - 1).flat_map(|row| (0..COUNT - 1).map(move |column| (column, row)));
    all.filter(|&(column, row)| {
        let at = row * COUNT + column;
        [at, at + 1, at + COUNT, at + COUNT + 1]
            .iter()
            .all(|&at| reachable[at])
    })
    .collect()
}

/// The flesh as balls in the frames of its joints.
fn balls(posed: &Posed) -> Vec<Value> {
    let flesh = Flesh::of(posed.rig());
    let segments = flesh.segments(posed);
    let balls = segments.flat_map(|(node, kind, segment)| {
        let name = &posed.rig().node(node).expect("it carries flesh").name;
        let world = posed.world(node);
        let ends = segment.ends.into_iter().zip(segment.radii);
        ends.map(|(at, radius)| {
            let at = world.inverse_transform_point(&at.into());
            let digit = kind == Kind::Pad;
            json!({"node": name, "digit": digit, "at": at.coords.as_slice(), "radius": radius})
        })
        .collect::<Vec<_>>()
    });
    balls.collect()
}

#[test]
fn scipy_finds_the_same_region() {
    let recipe = Recipe {
        planting: Some(Planting::default()),
        ..Recipe::default()
    };
    let document = build(&recipe).expect("the shipped hand");
    let posed = Posed::new(&document).expect("it is sound");
    let lift = sweep(&document, "lift", -21.0, 51.0);
    let ups = [
        sweep(&document, "lean", -12.0, 12.0),
        sweep(&document, "twist", -6.0, 6.0),
    ];
    let surveys = ups.map(|up| Survey::run(&posed, lift, up).expect("a survey"));

    // The spans within which the shipped press is claimed not to slip, then a thousand poses of the
    // safe region.
    let mut poses = Vec::new();
    for step in 0..=20 {
        let part = f64::from(step) / 20.0;
        poses.push(json!({"lift": 35.0 * part}));
        poses.push(json!({"lean": 12.0 * part - 6.0}));
        poses.push(json!({"twist": 8.0 * part - 4.0}));
    }
    let claimed = poses.len();
    let mut random = Rng::with_seed(31);
    for (survey, up) in surveys.iter().zip(["lean", "twist"]) {
        let squares = squares(survey);
        assert!(squares.len() > 60, "{up}: {}", squares.len());
        for _ in 0..500 {
            let (lift, value) = inside(survey, &squares, &mut random);
            poses.push(json!({"lift": lift, up: value}));
        }
    }
    let file: Value = serde_json::from_str(&write(&document)).expect("a document is JSON");
    let told = |survey: &Survey| json!({"across": told(&document, &survey.across), "up": told(&document, &survey.up)});
    let case = json!({
        "document": file,
        "flesh": balls(&posed),
        "tolerance": TOLERANCE,
        "surveys": surveys.iter().map(told).collect::<Vec<_>>(),
        "poses": poses,
    });
    let answer = oracle("survey", &case);

    // Every plant in every cell, and the boundary where SciPy's own worst slip passes the
    // tolerance: within one step of the grid.
    let rows = answer["rows"].as_array().expect("rows");
    let (mut above, mut below, mut apart, mut compared) = (0.0f64, 0.0f64, 0.0f64, 0);
    let (mut deeper, mut depths) = (0.0f64, 0);
    let mut ended = [0; 3];
    for (at, row) in rows.iter().enumerate() {
        let (survey, k) = (&surveys[at / COUNT], at % COUNT);
        let count = survey.plants.len();
        for (column, slips) in row["slips"].as_array().expect("cells").iter().enumerate() {
            let cell = k * COUNT + column;
            let ours = &survey.slips[cell * count..(cell + 1) * count];
            for (ours, theirs) in ours.iter().zip(numbers(slips)) {
                let ours = ours.expect("every digit holds");
                above = above.max(ours - theirs);
                below = below.max(theirs - ours);
            }
        }
        for (column, theirs) in row["depths"].as_array().expect("cells").iter().enumerate() {
            let cell = survey.cell(column, k);
            match cell.ends(&TOLERANCE) {
                Some(Ends::Slips(_)) => ended[0] += 1,
                Some(Ends::Sinks(_, Kind::Pad)) => ended[1] += 1,
                Some(Ends::Sinks(_, Kind::Palm)) => ended[2] += 1,
                _ => {}
            }
            if cell.slip > 1e-6 {
                continue;
            }
            for (ours, theirs) in [cell.pad.by, cell.palm.by].into_iter().zip(numbers(theirs)) {
                deeper = deeper.max((ours - theirs).abs());
                depths += 1;
            }
        }
        let ours = survey.reach(&TOLERANCE)[k];
        let ends = row["ends"].as_array().expect("two ends");
        let neutral = &row["depths"][survey.home % COUNT];
        let at_neutral = numbers(neutral)
            .into_iter()
            .zip([TOLERANCE.pad, TOLERANCE.palm]);
        let slips = numbers(&row["slips"][survey.home % COUNT]);
        let safe_at_neutral = slips.iter().all(|&slip| slip <= TOLERANCE.slip)
            && at_neutral
                .into_iter()
                .all(|(depth, allowed)| depth <= allowed);
        assert_eq!(ours.is_some(), safe_at_neutral, "row {at}");
        let Some((low, high)) = ours else { continue };
        for (ours, (theirs, rim)) in [low, high]
            .into_iter()
            .zip(ends.iter().zip([lift.from, lift.to]))
        {
            let theirs = theirs.as_f64().unwrap_or(rim);
            apart = apart.max((ours - theirs).abs());
            compared += 1;
        }
    }
    println!(
        "slip above SciPy's by {above:e} mm at most, below by {below:e}; boundary apart by {apart:.3}° of a step of {}°, {compared} ends",
        lift.step()
    );
    assert!(above <= WITHIN && below <= WITHIN, "{above:e} {below:e}");
    assert!(compared > 30 && apart < lift.step(), "{apart}");
    println!(
        "depths apart by {deeper:e} mm of {depths}; cells that slip, whose digits and whose palm sink: {ended:?}"
    );
    assert!(deeper <= DEPTH && depths > 500, "{deeper:e} of {depths}");
    assert!(ended.iter().all(|&cells| cells > 20), "{ended:?}");

    let poses: Vec<Vec<f64>> = serde_json::from_value(answer["poses"].clone()).expect("numbers");
    let worst = |poses: &[Vec<f64>], at: usize| {
        let all = poses.iter().map(|pose| pose[at]);
        all.fold(0.0, f64::max)
    };
    let (claim, inside) = (worst(&poses[..claimed], 1), worst(&poses[claimed..], 0));
    println!(
        "by SciPy: worst slip {claim:.4} mm in the spans claimed; the worst of 1,000 poses inside takes {inside:.4} of what is allowed"
    );
    assert!(claim <= TOLERANCE.slip && inside <= 1.0, "{claim} {inside}");
    assert_eq!(poses.len(), claimed + 1000);
}
