//! The survey of a press against SciPy, which works from the document's file alone: the law of
//! rolling solved as equations, hold by its windows, limits by bounded least squares.
use fastrand::Rng;
use hand::flesh::{Flesh, Kind};
use hand::survey::{Cell, Ends, Sunk, Survey, Sweep, Tolerance, measure};
use hand::{Planting, Recipe, document as build};
use reference::{between, numbers, oracle};
use rig::{Document, NodeId, Posed, write};
use serde_json::{Value, json};

/// What is allowed, mm: so that here a slip ends the region, there the digits' depth and there the
/// palm's.
const TOLERANCE: Tolerance = Tolerance {
    slip: 0.5,
    pad: 0.5,
    palm: 3.0,
};
/// Neither may find flesh deeper than the other by more than this, mm, where no limit is in the way.
const DEPTH: f64 = 1e-8;
/// Neither may find more slip than the other by more than this, mm: free, and at a limit, where
/// SciPy finds a least by differences.
const WITHIN: f64 = 1e-9;
const LEAST: f64 = 1e-4;
/// From this hold on a plant is down; nearer to it than `HARDLY` either answer will do.
const DOWN: f64 = 0.999;
const HARDLY: f64 = 1e-9;
/// Rows and columns.
const COUNT: usize = 17;
/// Random poses of the safe region of each survey.
const POSES: usize = 150;

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

/// The nodes of the chain that holds a planted end.
fn joints(document: &Document, end: NodeId) -> Vec<NodeId> {
    let anchors = &document.anchors;
    let anchor = anchors.iter().find(|anchor| anchor.end == end);
    let anchor = anchor.expect("what is planted is held by an anchor");
    let mut chain = vec![end];
    while chain.last() != Some(&anchor.base) {
        let node = document.node(*chain.last().expect("it has an end"));
        chain.push(node.and_then(|node| node.parent).expect("a chain"));
    }
    chain
}

/// A pose as ours is measured: slips by plant.
#[derive(Clone, Copy)]
struct Ours<'a> {
    cell: &'a Cell,
    slips: &'a [Option<f64>],
}

/// What was compared, and the worst of it.
#[derive(Debug, Default)]
struct Compared {
    /// Plants held in full, at a limit among them, and let go.
    free: usize,
    limited: usize,
    gone: usize,
    /// Differences, mm.
    slip: f64,
    least: f64,
    depth: f64,
    depths: usize,
    /// Cells that slip, whose digits sink and whose palm does.
    ended: [usize; 3],
    /// Cells unsafe for nothing but the flesh of a finger that has let go.
    untold: usize,
    ends: usize,
    /// Steps between the two boundaries.
    apart: f64,
}

impl Compared {
    /// One cell against SciPy's; whether SciPy can tell that it is safe or not.
    fn cell(&mut self, document: &Document, told: &str, ours: Ours, theirs: &Value) -> bool {
        let Ours { cell, slips } = ours;
        let mut gone = Vec::new();
        let (mut stopped, mut unsure, mut easing) = (false, false, false);
        for (which, theirs) in theirs[0].as_array().expect("fingers").iter().enumerate() {
            let hold = theirs[0].as_f64().expect("a hold");
            unsure |= theirs[3] == true || (hold - DOWN).abs() < HARDLY;
            if (hold - DOWN).abs() > HARDLY {
                assert_eq!(
                    cell.down.has(which),
                    hold > DOWN,
                    "{told}: {which} {theirs}"
                );
            }
            if hold < 1.0 {
                self.gone += 1;
                gone.extend(joints(document, document.plants[which].node));
                // On its way back it slips by up to a hundredth of that more than SciPy tells.
                easing |= hold > DOWN;
                // What eases and still counts as down tells its limit.
                stopped |= hold > DOWN && theirs[2] == true;
                continue;
            }
            let ours = slips[which].expect("it is down");
            let theirs_slip = theirs[1].as_f64().expect("a slip");
            let by = (ours - theirs_slip).abs();
            if theirs[2] == true {
                stopped = true;
                self.limited += 1;
                self.least = self.least.max(by);
                assert!(by < LEAST, "{told}: {which} {ours} {theirs}");
            } else {
                self.free += 1;
                self.slip = self.slip.max(by);
                assert!(by < WITHIN, "{told}: {which} {ours} {theirs}");
            }
        }
        // One that is stopped is told as a limit, and none else.
        assert!(
            unsure || cell.limit.is_some() == stopped,
            "{told}: {cell:?}"
        );
        let [pad, palm] = numbers(&theirs[1])[..] else {
            panic!("two depths");
        };
        // SciPy has no flesh of what has let go: there it is no deeper than ours.
        let placed = |sunk: &Sunk| sunk.node.is_none_or(|node| !gone.contains(&node));
        let (pad_placed, palm_placed) = (placed(&cell.pad), placed(&cell.palm));
        let mut compare = |ours: f64, theirs: f64| {
            assert!(
                (ours - theirs).abs() <= DEPTH,
                "{told}: {ours} {theirs} {cell:?}"
            );
            self.depth = self.depth.max((ours - theirs).abs());
            self.depths += 1;
        };
        if !stopped && !unsure {
            if palm_placed {
                compare(cell.palm.by, palm);
            }
            if pad_placed {
                compare(cell.pad.by, pad);
            }
        }
        assert!(pad <= cell.pad.by + LEAST, "{told}: {pad} {:?}", cell.pad);
        assert!(palm <= cell.palm.by + LEAST, "{told}: {palm} {cell:?}");
        let kind = match cell.ends(&TOLERANCE) {
            Some(Ends::Slips(_)) => Some(0),
            Some(Ends::Sinks(_, Kind::Pad)) => Some(1),
            Some(Ends::Sinks(_, Kind::Palm)) => Some(2),
            _ => None,
        };
        if let Some(kind) = kind {
            self.ended[kind] += 1;
        }
        let safe = cell.is_safe(&TOLERANCE);
        let strain = theirs[2].as_f64().expect("a strain");
        let untold = strain <= 1.0
            && (!pad_placed && cell.pad.by > TOLERANCE.pad
                || !palm_placed && cell.palm.by > TOLERANCE.palm);
        if untold {
            self.untold += 1;
            return false;
        }
        assert!(
            (strain - 1.0).abs() < if easing { 0.5 } else { 1e-4 } || safe == (strain <= 1.0),
            "{told}: {strain} {cell:?}"
        );
        true
    }

    /// One row's boundary either way from the column of neutral.
    fn row(&mut self, survey: &Survey, row: usize, theirs: &Value) {
        let ours = survey.reach(&TOLERANCE)[row];
        let ends = theirs.as_array().expect("two ends");
        assert_eq!(ours.is_some(), ends[0].is_f64(), "row {row}: {ends:?}");
        let Some((low, high)) = ours else { return };
        for (ours, theirs) in [low, high].into_iter().zip(ends) {
            let theirs = theirs.as_f64().expect("an end");
            self.apart = self.apart.max((ours - theirs).abs() / survey.across.step());
            self.ends += 1;
        }
    }
}

#[test]
fn scipy_finds_the_same_region() {
    let mut recipe = Recipe {
        planting: Some(Planting::default()),
        ..Recipe::default()
    };
    // Its thumb rolls by a law and a check of its own.
    recipe.hand.digits.retain(|digit| !digit.thumb);
    // A stiff hand is at its knuckles' limits sooner.
    recipe.hand.suppleness = 0.0;
    let document = build(&recipe).expect("a hand of four fingers");
    let posed = Posed::new(&document).expect("it is sound");
    // Dials of one pivot go where the press keeps from: into the surface, past reach and limits.
    let spans = [
        (("roll", -16.0, 84.0), ("raw outer edge", -30.0, 12.0)),
        (("lift", -15.0, 65.0), ("raw heel", -10.0, 22.0)),
    ];
    let surveys = spans.map(|(across, up)| {
        let [across, up] = [across, up].map(|(name, from, to)| sweep(&document, name, from, to));
        Survey::run(&posed, across, up).expect("a survey")
    });

    // The press itself over its whole dials, then random poses of the safe regions.
    let mut random = Rng::with_seed(31);
    let mut poses = Vec::new();
    for _ in 0..POSES {
        let mut dials = serde_json::Map::new();
        for name in ["lift", "roll", "lean", "twist"] {
            if random.bool() {
                let dial = document.dial_named(name).expect("a press dial");
                let value = between(&mut random, dial.min, dial.max);
                dials.insert(name.to_owned(), json!(value));
            }
        }
        poses.push(Value::Object(dials));
    }
    for (survey, ((across, ..), (up, ..))) in surveys.iter().zip(spans) {
        let squares = squares(survey);
        assert!(squares.len() > 40, "{up}: {}", squares.len());
        for _ in 0..POSES {
            let (first, second) = inside(survey, &squares, &mut random);
            poses.push(json!({across: first, up: second}));
        }
    }
    let file: Value = serde_json::from_str(&write(&document)).expect("a document is JSON");
    let told = |survey: &Survey| json!({"across": told(&document, &survey.across), "up": told(&document, &survey.up), "home": survey.home % COUNT});
    let case = json!({
        "document": file,
        "flesh": balls(&posed),
        "tolerance": TOLERANCE,
        "surveys": surveys.iter().map(told).collect::<Vec<_>>(),
        "poses": poses,
    });
    let answer = oracle("survey", &case);

    let rows = answer["rows"].as_array().expect("rows");
    assert_eq!(rows.len(), surveys.len() * COUNT);
    let mut compared = Compared::default();
    for (at, row) in rows.iter().enumerate() {
        let (survey, k) = (&surveys[at / COUNT], at % COUNT);
        let mut all = true;
        for (column, theirs) in row["cells"].as_array().expect("cells").iter().enumerate() {
            let (at, count) = (k * COUNT + column, survey.plants.len());
            let ours = Ours {
                cell: &survey.cells[at],
                slips: &survey.slips[at * count..(at + 1) * count],
            };
            let told = format!("{at} {:?}", survey.values(at));
            all &= compared.cell(&document, &told, ours, theirs);
        }
        if all {
            compared.row(survey, k, &row["ends"]);
        }
    }
    println!("{compared:#?}");
    let Compared {
        free,
        limited,
        gone,
        depths,
        ended,
        untold,
        ends,
        ..
    } = compared;
    assert!(compared.depth <= DEPTH && depths > 500, "{compared:?}");
    assert!(compared.apart < 1.0 && ends > COUNT, "{compared:?}");
    assert!(
        free > 500 && limited > 15 && gone > 200,
        "the cells try all: {compared:?}"
    );
    assert!(
        untold * 50 < rows.len() * COUNT,
        "few cells hang on what SciPy does not place: {untold}"
    );
    assert!(ended.iter().all(|&cells| cells > 10), "{ended:?}");

    // Poses that are none of the grid's.
    let theirs = answer["poses"].as_array().expect("poses");
    assert_eq!(theirs.len(), POSES * (1 + surveys.len()));
    let (mut between, mut outside) = (Compared::default(), 0);
    for (at, (values, theirs)) in poses.iter().zip(theirs).enumerate() {
        let mut posed = posed.clone();
        for (name, value) in values.as_object().expect("dials") {
            let dial = document.dial_named(name).expect("a press dial");
            posed.set_dial(dial.id, value.as_f64().expect("a number"));
        }
        posed.evaluate();
        let slips = document.plants.iter().map(|plant| {
            let down = posed.is_down(plant.node);
            posed.slip(plant.node).filter(|_| down)
        });
        let slips: Vec<_> = slips.collect();
        let cell = measure(&posed);
        let ours = Ours {
            cell: &cell,
            slips: &slips,
        };
        between.cell(&document, &values.to_string(), ours, theirs);
        outside += usize::from(at >= POSES && !cell.is_safe(&TOLERANCE));
    }
    println!(
        "poses besides: {between:#?}; of {} in squares with safe corners {outside} are not",
        2 * POSES
    );
    assert!(between.depth <= DEPTH && between.free > 300, "{between:?}");
    assert!(
        outside * 20 < 2 * POSES,
        "a square with safe corners is mostly safe: {outside}"
    );
}
