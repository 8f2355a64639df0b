//! The survey of a planted hand: what its cells say, how it goes on, and what it refuses.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::survey::{Ends, LimitKind, Progress, Survey, Sweep, Tolerance, greatest, releases, stay};
use hand::{Hand, Planting, planted as press};
use rig::{Document, NodeId, Posed, validate};

mod held;

/// Slip alone is judged here, mm: depth is allowed without end.
const TOLERANCE: Tolerance = Tolerance {
    slip: 0.5,
    pad: 1e9,
    palm: 1e9,
};

fn bench() -> (Document, Posed) {
    let document = press(&Hand::table(), &Planting::default()).unwrap();
    let posed = validate::document(&document).expect("a sound document");
    (document, posed)
}

fn sweep(document: &Document, name: &str, from: f64, to: f64, count: usize) -> Sweep {
    Sweep {
        dial: document.dial_named(name).unwrap().id,
        from,
        to,
        count,
    }
}

fn lift_by_lean(posed: &Posed, count: usize) -> Survey {
    let document = posed.document();
    let across = sweep(document, "lift", -10.0, 60.0, count);
    let up = sweep(document, "lean", -12.0, 12.0, count);
    Survey::run(posed, across, up).unwrap()
}

/// The hold of whatever anchor has a node at its end.
fn hold(posed: &Posed, node: NodeId) -> f64 {
    let mut anchors = posed.rig().anchors.iter();
    posed.hold(anchors.find(|anchor| anchor.end == node).unwrap().id)
}

/// Each cell says what a fresh evaluation at its place says, by the gauges' own way: of hands that
/// roll and let go, that slip on a point, and whose knuckles come to the end of their range.
#[test]
fn a_cell_is_the_pose_at_its_place() {
    let (document, _) = bench();
    let mut seen = [0; 4];
    for (document, from, to) in [
        (document, -10.0, 60.0),
        (held::pointed(held::flat(12.0, 0.0, 0.5)), -10.0, 60.0),
        (own_range(held::flat(12.0, 4.0, 0.0), -30.0), 60.0, 75.0),
    ] {
        let across = sweep(&document, "lift", from, to, 15);
        let up = sweep(&document, "lean", -12.0, 12.0, 15);
        cells_are_poses(&document, across, up, &mut seen);
    }
    assert!(seen.iter().all(|&count| count > 0), "{seen:?}");
}

/// Knuckles that by themselves extend to no more than this, degrees.
fn own_range(mut document: Document, least: f64) -> Document {
    for node in &mut document.rig.nodes {
        if node.name.ends_with("finger-phalanx-proximal") {
            node.limits[2] = node.limits[2].map(|(_, most)| (least, most));
        }
    }
    document
}

/// Counts in `seen` the digits that slip too far, the ends of reach and of a joint's range, and the
/// digits that have let go.
fn cells_are_poses(document: &Document, across: Sweep, up: Sweep, seen: &mut [usize; 4]) {
    let posed = held::posed(document);
    let survey = Survey::run(&posed, across, up).unwrap();
    for (at, cell) in survey.cells.iter().enumerate() {
        let (lift, lean) = survey.values(at);
        let mut moved = document.clone();
        for (name, value) in [("lift", lift), ("lean", lean)] {
            let dial = moved.dial_named(name).unwrap().id;
            moved.set_value(dial, value);
        }
        let fresh = Posed::new(&moved).unwrap();
        let slips: Vec<_> = document
            .plants
            .iter()
            .map(|plant| fresh.slip(plant.node).unwrap())
            .collect();
        for (k, plant) in document.plants.iter().enumerate() {
            let down = hold(&fresh, plant.node) >= held::DOWN;
            let own = survey.slips[at * document.plants.len() + k];
            assert_eq!(own, down.then_some(slips[k]));
            assert!(down || slips[k] == 0.0, "what has let go does not slip");
            seen[3] += usize::from(!down);
        }
        let worst = slips.iter().copied().fold(0.0, f64::max);
        assert_eq!(cell.slip.to_bits(), worst.to_bits(), "{lift} {lean}");
        let lost: Vec<_> = survey.lost(at, &TOLERANCE).collect();
        let expected: Vec<_> = document
            .plants
            .iter()
            .zip(&slips)
            .filter(|(_, slip)| **slip > TOLERANCE.slip)
            .map(|(plant, _)| plant.node)
            .collect();
        assert_eq!(lost, expected);
        seen[0] += lost.len();
        // What eases off is let go before it is at its end.
        let limited = |anchor: &rig::Anchor| {
            let outcome = fresh.outcome(anchor.id);
            outcome.hold >= 1.0 && (outcome.limited || outcome.reach_margin < 0.0)
        };
        let all = document.anchors.iter().filter(|anchor| limited(anchor));
        let most = all.map(|anchor| fresh.outcome(anchor.id).residual);
        let most = most.reduce(f64::max);
        let limited = most.is_some();
        assert_eq!(cell.limit.is_some(), limited, "{lift} {lean}");
        if let Some(limit) = cell.limit {
            let residual = fresh.outcome(limit.anchor).residual;
            assert_eq!(Some(residual), most, "the limit told is that of the worst");
            if let LimitKind::Joint { node, channel, .. } = limit.kind {
                let turn = fresh.turns(node)[channel.index()];
                // A knuckle's own least is −30° here; pressed it goes to −45°.
                let held = document.node(node).unwrap();
                let (min, max) = held.loaded[channel.index()].unwrap();
                assert!((turn - min).abs() < 1e-6 || (turn - max).abs() < 1e-6);
                assert!(min == -45.0 && held.limits[channel.index()].unwrap().0 == -30.0);
                assert!(limit.only_load(document));
                assert!(limit.told(document).contains("only load"));
                seen[2] += 1;
            } else {
                seen[1] += 1;
            }
        }
    }
    assert!(survey.is_of(&posed));
    let mut other = posed.clone();
    other.set_dial(document.dial_named("twist").unwrap().id, 1.0);
    assert!(!survey.is_of(&other));
    other.set_dial(document.dial_named("twist").unwrap().id, 0.0);
    other.set_dial(document.dial_named("lift").unwrap().id, 5.0);
    assert!(survey.is_of(&other), "the swept dials do not count");
}

/// In pieces of any size it comes to the same, and shows coarser cells meanwhile.
#[test]
fn a_survey_in_pieces_is_the_same() {
    let (document, posed) = bench();
    let across = sweep(&document, "lift", -10.0, 60.0, 23);
    let up = sweep(&document, "lean", -12.0, 12.0, 18);
    let whole = Survey::run(&posed, across, up).unwrap();
    let mut progress = Progress::new(&posed, across, up).unwrap();
    // The first round is every eighth place.
    assert!(!progress.step(9));
    for row in 0..18 {
        for column in 0..23 {
            let coarse = whole.cell(column / 8 * 8, row / 8 * 8);
            assert_eq!(progress.survey().cell(column, row), coarse);
        }
    }
    let mut steps = 0;
    while !progress.step(7) {
        steps += 1;
        assert_eq!(progress.measured(), 9 + 7 * steps);
    }
    assert_eq!(progress.measured(), 23 * 18);
    assert_eq!(progress.into_survey(), whole);
}

/// The region that is reached from neutral, the boundary and the greatest lift tell one story: of a
/// hand whose fingers hold a point and whose knuckle pivot is 2 mm higher than it should be.
#[test]
fn region_boundary_and_greatest_lift_agree() {
    let document = held::pointed(held::flat(12.0, 2.0, 0.5));
    let posed = held::posed(&document);
    let survey = lift_by_lean(&posed, 61);
    let reachable = survey.reachable(&TOLERANCE);
    assert!(reachable[survey.home]);
    assert_eq!(survey.values(survey.home), (survey.across.value(9), 0.0));
    for (at, &reached) in reachable.iter().enumerate() {
        assert!(!reached || survey.safe(at, &TOLERANCE));
    }
    let dial = document.dial_named("lift").unwrap().id;
    let lean = document.dial_named("lean").unwrap().id;
    let reach = survey.reach(&TOLERANCE);
    let (step, mut compared) = (survey.across.step(), 0);
    for (row, reach) in reach.iter().enumerate().step_by(6) {
        let mut posed = posed.clone();
        posed.set_dial(lean, survey.up.value(row));
        let high = greatest(&posed, dial, true, &TOLERANCE).unwrap();
        let low = greatest(&posed, dial, false, &TOLERANCE).unwrap();
        let Some((from, to)) = reach else {
            assert_eq!((high.value, low.value), (0.0, 0.0));
            continue;
        };
        // The grid is cut at −10; linear interpolation is off by part of a step.
        assert!((to - high.value).abs() < step, "{to} {high:?}");
        assert!((from - low.value.max(-10.0)).abs() < step, "{from} {low:?}");
        // Slip is just within the tolerance there and just past it beyond.
        posed.set_dial(dial, high.value);
        posed.evaluate();
        let worst = |posed: &Posed| {
            let slips = document.plants.iter();
            slips
                .map(|plant| posed.slip(plant.node).unwrap())
                .fold(0.0, f64::max)
        };
        assert!((worst(&posed) - TOLERANCE.slip).abs() < 1e-6);
        assert!(matches!(high.stopped_by, Some(Ends::Slips(_))));
        let (at, _) = high.limit.expect("a finger is straight before it slips");
        assert!(at < high.value);
        compared += 1;
    }
    assert!(compared >= 3);
    // The boundary's crossings of each row are where the rows' reach ends.
    let lines = survey.boundary(&TOLERANCE);
    for (row, (_, to)) in reach
        .iter()
        .enumerate()
        .filter_map(|(k, r)| Some((k, (*r)?)))
    {
        let y = survey.up.value(row);
        let mut points = lines.iter().flatten();
        assert!(to == 60.0 || points.any(|p| (p.1 - y).abs() < 1e-9 && (p.0 - to).abs() < 1e-9));
    }
}

/// How far all stay down on the grid is what it is by itself, to a step of the grid, with the same
/// one first.
#[test]
fn on_the_grid_all_stay_down_as_far_as_by_themselves() {
    let document = held::flat(12.0, 4.0, 0.5);
    let posed = held::posed(&document);
    let survey = lift_by_lean(&posed, 61);
    let [lift, lean] = ["lift", "lean"].map(|name| document.dial_named(name).unwrap().id);
    let (stays, mut compared, mut firsts) = (survey.stays(), 0, 0);
    assert_eq!(stays.len(), 61);
    for (row, stays) in stays.iter().enumerate().step_by(4) {
        let mut posed = posed.clone();
        posed.set_dial(lean, survey.up.value(row));
        let alone = [false, true].map(|rising| stay(&posed, lift, rising));
        let Some(stays) = stays else {
            // Leaning so far somebody has let go already.
            assert!(
                alone
                    .iter()
                    .all(|alone| alone.is_none_or(|alone| alone.count < 4))
            );
            continue;
        };
        for (grid, alone) in stays.iter().zip(alone) {
            let alone = alone.unwrap();
            assert_eq!((grid.count, alone.count), (4, 4));
            let cut = alone.value.clamp(survey.across.from, survey.across.to);
            assert!(
                (grid.value - cut).abs() <= survey.across.step() + 1e-9,
                "{grid:?} {alone:?}"
            );
            if let Some(first) = grid.first {
                let at = alone.first.unwrap();
                // Of several that let go between two places the first in the document is told.
                let mut order = document.plants.iter().map(|plant| plant.node);
                assert!(order.find(|&node| node == first || node == at) == Some(first));
                firsts += usize::from(first == at);
            }
        }
        compared += 1;
    }
    println!("{compared} rows, {firsts} the same first");
    assert!(compared > 5 && compared < 16 && firsts > compared);
    for cell in 0..survey.cells.len() {
        let slips = &survey.slips[cell * 4..cell * 4 + 4];
        assert_eq!(survey.all_down(cell), slips.iter().all(Option::is_some));
        let gone: Vec<_> = survey.let_go(&survey.cells[cell]).collect();
        let plants = survey.plants.iter().zip(slips);
        let expected: Vec<_> = plants
            .filter(|(_, slip)| slip.is_none())
            .map(|(n, _)| *n)
            .collect();
        assert_eq!(gone, expected);
    }
}

/// Digits go in the order in which they run out, and each is lost just past where it goes: what
/// rolls by its hold, what holds a point by its slip. Tipped back, every one goes.
#[test]
fn digits_let_go_in_order() {
    let (rolling, _) = bench();
    let held = held::pointed(rolling.clone());
    for (document, rolls) in [(rolling, true), (held, false)] {
        let mut posed = held::posed(&document);
        let dial = document.dial_named("lift").unwrap().id;
        let order = releases(&posed, dial, false, &TOLERANCE);
        assert_eq!(order.len(), 4, "tipped back by 30° no finger reaches");
        assert!(order.windows(2).all(|pair| pair[0].at >= pair[1].at));
        for release in &order {
            for (by, lost) in [(1e-6, false), (-1e-6, true)] {
                posed.set_dial(dial, release.at + by);
                posed.evaluate();
                let (hold, slip) = (
                    hold(&posed, release.node),
                    posed.slip(release.node).unwrap(),
                );
                let gone = if rolls {
                    assert!(slip <= TOLERANCE.slip);
                    hold < held::DOWN
                } else {
                    assert_eq!(hold, 1.0);
                    slip > TOLERANCE.slip
                };
                assert_eq!(gone, lost, "{release:?}");
            }
        }
        posed.set_dial(dial, 0.0);
        posed.evaluate();
        let first = greatest(&posed, dial, false, &TOLERANCE).unwrap();
        let stays = stay(&posed, dial, false).unwrap();
        let end = document.dial(dial).unwrap().min;
        if rolls {
            assert_eq!((first.value, first.stopped_by), (end, None));
            assert!((stays.value - order[0].at).abs() < 1e-6);
            assert_eq!(stays.first, Some(order[0].node));
        } else {
            assert!((first.value - order[0].at).abs() < 1e-6);
            assert_eq!(first.stopped_by, Some(Ends::Slips(order[0].node)));
            assert_eq!((stays.value, stays.first), (end, None));
        }
    }
}

#[test]
fn what_cannot_be_surveyed_is_told() {
    let (document, posed) = bench();
    let good = sweep(&document, "lift", 0.0, 30.0, 5);
    let lean = sweep(&document, "lean", -5.0, 5.0, 5);
    let refused = |posed: &Posed, across, up| {
        let fault = Survey::run(posed, across, up).expect_err("refused");
        assert!(!fault.what().is_empty() && !fault.mend().is_empty());
        fault.to_string()
    };
    for bad in [
        Sweep {
            from: 30.0,
            to: 0.0,
            ..good
        },
        Sweep { to: 500.0, ..good },
        // Places on it would be one and the same.
        Sweep { to: 1e-320, ..good },
        Sweep {
            from: 20.0,
            to: 20.0 + 1e-14,
            ..good
        },
        Sweep {
            from: f64::NAN,
            ..good
        },
        Sweep { count: 1, ..good },
        Sweep { count: 0, ..good },
    ] {
        assert!(refused(&posed, bad, lean).contains("'lift'"));
    }
    assert!(refused(&posed, good, good).contains("same dial"));
    let huge = Sweep {
        count: usize::MAX,
        ..good
    };
    assert!(refused(&posed, huge, lean).contains("too fine"));
    let mut gone = good;
    gone.dial = rig::DialId(9999);
    assert!(refused(&posed, gone, lean).contains("not in the document"));

    let mut bare = document.clone();
    bare.plants.clear();
    let posed_bare = Posed::new(&bare).unwrap();
    assert!(refused(&posed_bare, good, lean).contains("nothing is planted"));
    let mut let_go = document.clone();
    let_go.setting.active.fill(false);
    let posed_off = Posed::new(&let_go).unwrap();
    assert!(refused(&posed_off, good, lean).contains("nothing is planted"));
}

/// A surface out of reach leaves nothing down of what rolls, and no safe region where points are
/// held; the survey says so.
#[test]
fn no_safe_region_is_told() {
    let (document, _) = bench();
    let posed = held::posed(&shifted(document.clone()));
    let [lift, lean] = ["lift", "lean"].map(|name| sweep(&document, name, -10.0, 10.0, 3));
    let told = Survey::run(&posed, lift, lean).expect_err("refused");
    assert!(told.to_string().contains("nothing is planted"), "{told}");
    let far = shifted(held::pointed(document));
    let posed = validate::document(&far).unwrap();
    let survey = lift_by_lean(&posed, 9);
    assert!(survey.reachable(&TOLERANCE).iter().all(|&reached| !reached));
    assert!(survey.boundary(&TOLERANCE).is_empty());
    assert!(survey.reach(&TOLERANCE).iter().all(Option::is_none));
    let told = survey.verdict(&far, &TOLERANCE).expect_err("none");
    assert!(
        told.contains("no safe region") && told.contains("misses by"),
        "{told}"
    );
    for cell in &survey.cells {
        assert!(cell.slip.is_finite() && cell.slip > 60.0);
        assert!(matches!(cell.limit.unwrap().kind, LimitKind::Reach));
    }
    let (document, posed) = bench();
    let survey = lift_by_lean(&posed, 9);
    assert!(survey.verdict(&document, &TOLERANCE).is_ok());
    // Neutral alone may be outside, or the tolerance too small for any pose.
    let told = survey
        .verdict(&document, &Tolerance::of_slip(-1.0))
        .expect_err("none");
    assert!(told.contains("no safe region"), "{told}");
}

/// Everything planted 80 mm farther ahead on its surface.
fn shifted(mut far: Document) -> Document {
    let surface = far.node_named("surface").unwrap().id;
    let plants: Vec<_> = far.anchors.iter().map(|anchor| anchor.target).collect();
    for node in &mut far.nodes {
        if plants.contains(&node.id) {
            assert_eq!(node.parent, Some(surface));
            node.translation[0] += 80.0;
        }
    }
    for plant in &mut far.plants {
        plant.at[0] += 80.0;
    }
    far
}

/// A digit that is let go is not measured; the others are.
#[test]
fn a_digit_let_go_has_no_slip() {
    let (document, _) = bench();
    for document in [document.clone(), held::pointed(document)] {
        without_one(&document);
    }
}

fn without_one(document: &Document) {
    let mut posed = held::posed(document);
    let anchor = document.anchor_named("pinky-finger").unwrap();
    let place = document.plants.iter().position(|p| p.node == anchor.end);
    let before = lift_by_lean(&posed, 9);
    posed.set_active(anchor.id, false);
    let survey = lift_by_lean(&posed, 9);
    assert!(!before.is_of(&posed) && survey.is_of(&posed));
    let count = survey.plants.len();
    for cell in 0..survey.cells.len() {
        let slips = &survey.slips[cell * count..(cell + 1) * count];
        for (at, (slip, was)) in slips.iter().zip(&before.slips[cell * count..]).enumerate() {
            assert_eq!(*slip, was.filter(|_| Some(at) != place));
        }
    }
}

/// B5: each cell keeps the slip of each plant, so that many of both would take gigabytes.
#[test]
fn b5_slips_of_a_survey_are_counted_before_room_is_made_for_them() {
    let (mut document, _) = bench();
    document.plants = vec![document.plants[0].clone(); 1000];
    let posed = Posed::new(&document).unwrap();
    let run = |count| {
        let across = sweep(&document, "lift", 0.0, 30.0, count);
        let up = sweep(&document, "lean", -5.0, 5.0, count);
        Progress::new(&posed, across, up)
    };
    let told = run(1000).expect_err("refused").to_string();
    assert!(told.contains("too fine for 1000 plants"), "{told}");
    assert!(told.contains("no more than 10000 poses"), "{told}");
    assert!(run(101).is_err() && run(100).is_ok());
}

/// B7: a spreadsheet may part a line at semicolons or tabs, and then a formula begins in the
/// middle of a name.
#[test]
fn b7_no_part_of_a_name_is_a_formula() {
    let (mut document, posed) = bench();
    let survey = lift_by_lean(&posed, 2);
    let layers = [hand::survey::report::Layer { at: None, survey }];
    let lift = document
        .dials
        .iter()
        .position(|dial| dial.name == "lift")
        .unwrap();
    for (name, shown) in [
        (
            "rye;=HYPERLINK(\"http://x\")",
            "\"rye;'=HYPERLINK(\"\"http://x\"\")\"",
        ),
        ("rye;\"=1+1", "\"rye;\"\"'=1+1\""),
        ("rye\t+1", "\"rye\t'+1\""),
        ("rye\r\n-1", "\"rye\r\n'-1\""),
        ("rye\n@SUM(A1)", "\"rye\n'@SUM(A1)\""),
        ("\t=1", "\"'\t'=1\""),
        ("=1;1", "\"'=1;1\""),
        ("a-b = c+d", "a-b = c+d"),
    ] {
        document.dials[lift].name = name.to_owned();
        let text = hand::survey::report::csv(&document, &layers, &TOLERANCE);
        assert!(
            text.starts_with(&format!("{shown},lean,")),
            "{name:?} in {text:?}"
        );
    }
}
