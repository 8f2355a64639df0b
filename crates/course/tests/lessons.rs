//! The lesson files themselves: read whole, every number of DESIGN §5 recomputed through them,
//! every exercise solved and failed by a scripted attempt.
use course::{Answer, Attempt, Lesson, Mark, Task, Truth, check, judge, truth};
use rig::{DialId, Document, Edit, Posed, Solver, Vec3};
use std::path::PathBuf;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../lessons")
}

fn lesson(number: u32) -> Lesson {
    let start = format!("{number:02}-");
    let found = files()
        .into_iter()
        .find(|(name, _)| name.starts_with(&start))
        .expect("the lesson is there");
    course::read(&found.1).unwrap_or_else(|fault| panic!("{}: {fault}", found.0))
}

fn files() -> Vec<(String, String)> {
    let mut files: Vec<_> = std::fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.to_string_lossy().ends_with(".lesson.json"))
        .map(|path| {
            (
                path.file_name().unwrap().to_string_lossy().into_owned(),
                std::fs::read_to_string(&path).unwrap(),
            )
        })
        .collect();
    files.sort();
    files
}

/// A step of a lesson: its document and its task.
fn step(lesson: &Lesson, index: usize) -> (Document, Task) {
    let step = &lesson.steps[index];
    (
        step.document
            .clone()
            .unwrap_or_else(|| lesson.document.clone()),
        step.task.clone(),
    )
}

fn dial(document: &Document, name: &str) -> DialId {
    document
        .dial_named(name)
        .unwrap_or_else(|| panic!("no dial {name}"))
        .id
}

fn posed(document: &Document, values: &[(&str, f64)]) -> Posed {
    let mut posed = Posed::new(document).unwrap();
    values
        .iter()
        .for_each(|(name, value)| posed.set_dial(dial(document, name), *value));
    posed.evaluate();
    posed
}

fn point(document: &Document, posed: &Posed, node: &str) -> Vec3 {
    posed.point(document.node_named(node).unwrap().id)
}

/// How far a node moves when dials go to these values.
fn travel(document: &Document, node: &str, values: &[(&str, f64)]) -> f64 {
    (point(document, &posed(document, values), node) - point(document, &posed(document, &[]), node))
        .norm()
}

fn pose(document: &Document, values: &[(&str, f64)]) -> Vec<(DialId, f64)> {
    let given = |name: &str| values.iter().find(|(n, _)| *n == name).map(|(_, v)| *v);
    document
        .dials
        .iter()
        .map(|d| (d.id, given(&d.name).unwrap_or(d.value)))
        .collect()
}

fn says(mark: &Mark, words: &str) {
    let all: Vec<&str> = mark.findings.iter().map(|f| f.text.as_str()).collect();
    assert!(
        all.iter().any(|text| text.contains(words)),
        "'{words}' is not in {all:#?}"
    );
}

fn close(found: f64, expected: f64, within: f64) {
    assert!(
        (found - expected).abs() <= within,
        "{found} is not {expected} ± {within}"
    );
}

fn sin(degrees: f64) -> f64 {
    libm::sin(degrees.to_radians())
}

fn cos(degrees: f64) -> f64 {
    libm::cos(degrees.to_radians())
}

#[test]
fn every_file_reads_and_they_count_from_one() {
    let files = files();
    assert!(files.len() >= 5);
    for (index, (name, text)) in files.iter().enumerate() {
        let lesson = course::read(text).unwrap_or_else(|fault| panic!("{name}: {fault}"));
        assert_eq!(lesson.number as usize, index + 1, "{name}");
        assert!(
            name.starts_with(&format!("{:02}-", lesson.number)),
            "{name}"
        );
        assert!(
            lesson.steps.iter().any(|step| step.task.is_prediction()),
            "{name} has no prediction"
        );
        assert!(
            lesson.steps.iter().any(|step| !step.task.is_prediction()),
            "{name} has no exercise"
        );
    }
}

#[test]
fn carry_predicts_88_mm() {
    let lesson = lesson(1);
    let (document, task) = step(&lesson, 0);
    let Truth::Pin(lands) = truth(&document, &task).unwrap() else {
        panic!()
    };
    close(
        (lands - Vec3::new(80.0, 0.0, 0.0)).norm(),
        2.0 * 170.0 * sin(15.0),
        1e-12,
    );
    close((lands - Vec3::new(80.0, 0.0, 0.0)).norm(), 88.0, 0.05);
    close(
        travel(&document, "knuckle", &[("wrist turn", 30.0)]),
        46.6,
        0.05,
    );
    let verdict = judge(
        &document,
        &task,
        &Answer::Pin(lands + Vec3::new(0.0, 3.0, 0.0)),
    )
    .unwrap();
    assert!(
        verdict.near && verdict.text.contains("3.0 mm") && verdict.text.contains("88.0 mm"),
        "{}",
        verdict.text
    );
    assert!(
        !judge(&document, &task, &Answer::Pin(Vec3::zeros()))
            .unwrap()
            .near
    );
}

#[test]
fn carry_overshoots_between_two_right_poses() {
    let (document, task) = step(&lesson(1), 1);
    let low = pose(
        &document,
        &[
            ("wrist across", 0.0),
            ("wrist up", 0.0),
            ("wrist turn", 0.0),
        ],
    );
    let raised = pose(
        &document,
        &[
            ("wrist across", 90.0 - 90.0 * cos(40.0)),
            ("wrist up", 90.0 * sin(40.0)),
            ("wrist turn", -40.0),
        ],
    );
    let mark = check(
        &document,
        &task,
        &Attempt {
            poses: [Some(low.clone()), Some(raised)],
            ..Attempt::default()
        },
    )
    .unwrap();
    assert!(mark.passed, "{mark:#?}");
    close(90.0 * (1.0 - cos(20.0)), 5.43, 0.005);
    says(&mark, "leaves its mark by 5.43 mm, half way");

    let mark = check(
        &document,
        &task,
        &Attempt {
            poses: [Some(low.clone()), Some(low)],
            ..Attempt::default()
        },
    )
    .unwrap();
    assert!(!mark.passed);
    says(&mark, "Second pose: the palm is tilted 0.0°, too flat");
    assert_eq!(
        check(&document, &task, &Attempt::default()).unwrap_err(),
        "Store both poses first."
    );
}

/// Wrist places at a distance from the staple, by degrees raised, as values of lesson 2's and 3's dials.
fn raised(document: &Document, distance: f64, degrees: f64) -> Vec<(DialId, f64)> {
    pose(
        document,
        &[
            ("wrist across", 90.0 - distance * cos(degrees)),
            ("wrist up", distance * sin(degrees)),
        ],
    )
}

#[test]
fn anchor_ring_is_painted() {
    let (document, task) = step(&lesson(2), 0);
    let Truth::Region(outlines) = truth(&document, &task).unwrap() else {
        panic!()
    };
    // The ring of radius 88 to 92 about the staple, cut by the dials' ranges at y = 0.
    assert_eq!(outlines.len(), 1, "one half ring");
    let area = outlines[0]
        .iter()
        .zip(outlines[0].iter().cycle().skip(1))
        .map(|(a, b)| a.x * b.y - b.x * a.y)
        .sum::<f64>()
        / 2.0;
    let half_ring = std::f64::consts::PI * (92.0_f64 * 92.0 - 88.0 * 88.0) / 2.0;
    close(area.abs(), half_ring, 0.01 * half_ring);
    for place in &outlines[0] {
        let off = (place.norm() - 90.0).abs();
        assert!(
            off < 2.03 && (off > 1.97 || place.y.abs() < 1e-9),
            "{place} is {off} off the circle"
        );
    }
    let disc = |distance: f64, degrees: f64| {
        (
            Vec3::new(-distance * cos(degrees), distance * sin(degrees), 0.0),
            5.0,
        )
    };
    let ring = (0..=60).map(|i| disc(90.0, 3.0 * f64::from(i))).collect();
    let verdict = judge(&document, &task, &Answer::Region(ring)).unwrap();
    assert!(
        verdict.near && verdict.text.contains("covers 100 %") && verdict.text.contains("; 0 %"),
        "{}",
        verdict.text
    );
    let blob = (0..=60).map(|i| disc(60.0, 3.0 * f64::from(i))).collect();
    let verdict = judge(&document, &task, &Answer::Region(blob)).unwrap();
    assert!(
        !verdict.near && verdict.text.contains("100 % of your paint"),
        "{}",
        verdict.text
    );
}

#[test]
fn anchor_trace_names_the_slip() {
    let (document, task) = step(&lesson(2), 1);
    let arc = |distance: f64, to: u32| {
        (0..=to)
            .map(|d| raised(&document, distance, f64::from(d)))
            .collect::<Vec<_>>()
    };
    let tried = |trail| {
        check(
            &document,
            &task,
            &Attempt {
                trail,
                ..Attempt::default()
            },
        )
        .unwrap()
    };
    let mark = tried(arc(90.0, 40));
    assert!(mark.passed, "{mark:#?}");
    says(&mark, "40.0°");

    let mark = tried(arc(90.0, 25));
    assert!(!mark.passed);
    says(&mark, "You went 25.0° round, and 40° are asked");

    // Straight from the one end to the other: two events, and all that lies between is measured.
    let mark = tried(vec![
        raised(&document, 90.0, 0.0),
        raised(&document, 90.0, 40.0),
    ]);
    assert!(!mark.passed);
    says(&mark, "5.43 mm at 20° round; the limit is 2.00 mm");
    says(&mark, "5.4 mm too near");

    let mark = tried(arc(93.0, 40));
    assert!(!mark.passed);
    says(&mark, "3.00 mm");

    // A spoiled beginning does not spoil a good stretch after it.
    let mut trail = arc(94.0, 30);
    trail.extend(arc(90.0, 41).into_iter().rev());
    assert!(tried(trail).passed);
}

#[test]
fn straight_finger_over_reacts() {
    let lesson = lesson(2);
    let (document, task) = step(&lesson, 2);
    let Truth::Angle(first) = truth(&document, &task).unwrap() else {
        panic!()
    };
    let closed = |pull: f64| (2.0 * libm::acos((80.0 - pull) / 80.0)).to_degrees();
    close(first, closed(1.0), 1e-9);
    close(first, 18.1, 0.05);
    let Task::PredictAngle {
        apex,
        along,
        gauge,
        mut dials,
    } = task.clone()
    else {
        panic!()
    };
    dials.insert("tip pull".into(), 2.0);
    let Truth::Angle(second) = truth(
        &document,
        &Task::PredictAngle {
            apex,
            along,
            gauge,
            dials,
        },
    )
    .unwrap() else {
        panic!()
    };
    close(second - first, 7.5, 0.05);
    let bent = posed(&document, &[("tip pull", 1.0)]);
    assert!(
        point(&document, &bent, "middle").y > 6.0,
        "it bends up, off the bench"
    );
    let verdict = judge(&document, &task, &Answer::Angle(2.0)).unwrap();
    assert!(
        !verdict.near && verdict.text.contains("18.1°"),
        "{}",
        verdict.text
    );
}

#[test]
fn rest_bend_is_bracketed() {
    let (document, task) = step(&lesson(2), 3);
    let tried = |bend: f64| {
        let mut document = document.clone();
        let values = vec![(dial(&document, "tip pull"), 80.0 - 80.0 * cos(bend / 2.0))];
        rig::edit::apply(&mut document, &Edit::SetDials { values }).unwrap();
        check(&document, &task, &Attempt::default()).unwrap()
    };
    // 1/(40·sin(φ/2)) rad/mm = 5°/mm.
    let least = 2.0 * libm::asin(180.0 / (std::f64::consts::PI * 5.0 * 40.0)).to_degrees();
    close(least, 33.3, 0.05);
    assert!(tried(least + 0.01).passed);
    let mark = tried(least - 0.05);
    assert!(!mark.passed);
    says(&mark, "Bend it more");
    let mark = tried(36.0);
    assert!(!mark.passed);
    says(&mark, "The finger is bent 36.0°");
}

#[test]
fn only_the_wrist_stays_on_the_carrier() {
    let (document, task) = step(&lesson(3), 0);
    let Truth::Stay(moved) = truth(&document, &task).unwrap() else {
        panic!()
    };
    let of = |node: &str| moved.iter().find(|(n, ..)| n == node).unwrap();
    assert!(of("wrist").2 && !of("knuckle").2 && !of("finger").2 && !of("tip").2);
    close(of("knuckle").1, 2.0 * 90.0 * sin(20.0), 1e-9);
    close(of("knuckle").1, 61.6, 0.05);
    let right = judge(&document, &task, &Answer::Stay(vec!["wrist".into()])).unwrap();
    assert!(
        right.near && right.text.contains("only the wrist"),
        "{}",
        right.text
    );
    let wrong = judge(&document, &task, &Answer::Stay(vec!["knuckle".into()])).unwrap();
    assert!(
        !wrong.near && wrong.text.contains("knuckle moves 61.6 mm"),
        "{}",
        wrong.text
    );
}

#[test]
fn straight_path_has_a_best() {
    let (document, task) = step(&lesson(3), 1);
    let tried = |a: f64, b: f64| {
        let poses = [
            Some(raised(&document, a, 0.0)),
            Some(raised(&document, b, 40.0)),
        ];
        check(
            &document,
            &task,
            &Attempt {
                poses,
                ..Attempt::default()
            },
        )
        .unwrap()
    };
    let best = 180.0 / (1.0 + cos(20.0));
    close(best - 90.0, 2.80, 0.005);
    let mark = tried(best, best);
    assert!(mark.passed, "{mark:#?}");
    says(&mark, "at most 2.80 mm");
    let mark = tried(90.0, 90.0);
    assert!(!mark.passed);
    says(&mark, "Worst slip 5.43 mm, half way");
    says(&mark, "as near as 84.57 mm");
    let mark = tried(94.0, 94.0);
    assert!(!mark.passed);
    says(&mark, "too far for a palm of 90 mm");
    // No straight path over 40° beats 2.80 mm: a grid of start and end distances.
    let slip = |a: f64, b: f64| {
        let (from, to) = (raised(&document, a, 0.0), raised(&document, b, 40.0));
        (0..=100).fold(0.0_f64, |worst, i| {
            let t = f64::from(i) / 100.0;
            let mut posed = Posed::new(&document).unwrap();
            from.iter()
                .zip(&to)
                .for_each(|((id, p), (_, q))| posed.set_dial(*id, p + (q - p) * t));
            posed.evaluate();
            worst.max(
                posed
                    .slip(&document, document.node_named("knuckle").unwrap().id)
                    .unwrap(),
            )
        })
    };
    let grid = (0..=12).flat_map(|i| {
        (0..=12).map(move |j| (91.3 + 0.25 * f64::from(i), 91.3 + 0.25 * f64::from(j)))
    });
    let least = grid.map(|(a, b)| slip(a, b)).fold(f64::INFINITY, f64::min);
    assert!(least > 2.79 && least < 2.9, "{least}");
}

#[test]
fn wrist_under_its_own_knuckle_is_refused() {
    let (mut document, task) = step(&lesson(4), 0);
    let id = |name: &str| document.node_named(name).unwrap().id;
    let (wrist, knuckle) = (id("wrist"), id("knuckle"));
    let refusal = rig::edit::apply(
        &mut document,
        &Edit::Rehang {
            node: wrist,
            parent: Some(knuckle),
        },
    )
    .unwrap_err();
    assert!(
        refusal.mend.contains("put a mount where the knuckle is"),
        "{}",
        refusal.mend
    );
    assert!(!check(&document, &task, &Attempt::default()).unwrap().passed);
    let refused = vec![("wrist".to_string(), "knuckle".to_string())];
    assert!(
        check(
            &document,
            &task,
            &Attempt {
                refused,
                ..Attempt::default()
            }
        )
        .unwrap()
        .passed
    );
    // The mend: inserting the pivot moves nothing.
    let before = posed(&document, &[]);
    let at = before.point(knuckle);
    rig::edit::apply(
        &mut document,
        &Edit::InsertPivot {
            above: wrist,
            name: "knuckle pivot".into(),
            at,
        },
    )
    .unwrap();
    let after = posed(&document, &[]);
    for node in ["wrist", "knuckle", "finger", "tip"] {
        close(
            (point(&document, &after, node) - point(&document, &before, node)).norm(),
            0.0,
            1e-10,
        );
    }
}

#[test]
fn wrist_runs_on_the_arc() {
    let (document, task) = step(&lesson(4), 1);
    let Truth::Path(path) = truth(&document, &task).unwrap() else {
        panic!()
    };
    assert!(path.iter().all(|p| (p.norm() - 90.0).abs() < 1e-10));
    let last = path[path.len() - 1];
    close(libm::atan2(last.y, -last.x).to_degrees(), 40.0, 1e-9);
    let verdict = judge(
        &document,
        &task,
        &Answer::Path(path.iter().map(|p| p * 1.02).collect()),
    )
    .unwrap();
    assert!(
        verdict.near && verdict.text.contains("within 1.8 mm"),
        "{}",
        verdict.text
    );
    let short = Answer::Path(vec![path[0], Vec3::new(-90.0, 20.0, 0.0)]);
    let verdict = judge(&document, &task, &short).unwrap();
    assert!(
        !verdict.near && verdict.text.contains("short of the path's end"),
        "{}",
        verdict.text
    );
}

#[test]
fn right_pivot_leaves_every_anchored_joint() {
    let lesson = lesson(4);
    let document = &lesson.document;
    for lift in 0..=40 {
        let lifted = posed(document, &[("lift", f64::from(lift))]);
        for (node, x) in [("knuckle", 0.0), ("finger", 40.0), ("tip", 80.0)] {
            let off = (point(document, &lifted, node) - Vec3::new(x, 0.0, 0.0)).norm();
            assert!(off < 1e-10, "{node} at {lift}°: {off}");
        }
    }
    // A point carried rigidly, 10 mm from the axis, goes 6.84 mm.
    let mut document = document.clone();
    let pivot = document.node_named("knuckle pivot").unwrap().id;
    let add = Edit::AddNode {
        name: "fly".into(),
        kind: rig::Kind::Mount,
        parent: Some(pivot),
        at: Vec3::new(0.0, 10.0, 0.0),
        width: 1.0,
    };
    rig::edit::apply(&mut document, &add).unwrap();
    let moved = travel(&document, "fly", &[("lift", 40.0)]);
    close(moved, 2.0 * 10.0 * sin(20.0), 1e-10);
    close(moved, 6.84, 0.005);
}

#[test]
fn hidden_pivot_is_found_by_measurement() {
    let (mut document, task) = step(&lesson(4), 2);
    let mark = check(&document, &task, &Attempt::default()).unwrap();
    assert!(!mark.passed);
    close(2.0 * 6.0 * sin(20.0), 4.10, 0.005);
    says(&mark, "The pivot is 6.0 mm towards the wrist.");
    says(&mark, "mark moves 4.10 mm at 40°");
    // 90 − |wrist about the wrong pivot|: the anchors hide two thirds of it.
    says(&mark, "Anchors on: the worst slip is 1.32 mm at 40°");
    let place = |document: &mut Document, x: f64, y: f64| {
        let node = document.node_named("knuckle pivot").unwrap().id;
        rig::edit::apply(
            document,
            &Edit::Move {
                node,
                to: Vec3::new(x, y, 0.0),
                keep_children: true,
            },
        )
        .unwrap();
        check(document, &task, &Attempt::default()).unwrap()
    };
    let mark = place(&mut document, 2.0, 3.0);
    assert!(!mark.passed);
    says(
        &mark,
        "The pivot is 3.0 mm too high and 2.0 mm towards the fingertips.",
    );
    let mark = place(&mut document, 0.1, 0.0);
    assert!(mark.passed, "{mark:#?}");
    let mark = place(&mut document, 0.0, 0.0);
    assert!(mark.passed, "{mark:#?}");
    assert!(
        !place(&mut document, 0.0, 0.5).passed,
        "half a millimetre is too much"
    );
    assert!(
        document
            .anchors
            .iter()
            .all(|a| a.active && a.solver == Solver::Aim)
    );
}

#[test]
fn leaning_about_the_middle_sinks_the_edge() {
    let (document, task) = step(&lesson(5), 0);
    let Truth::Pin(lands) = truth(&document, &task).unwrap() else {
        panic!()
    };
    close(lands.y, -40.0 * sin(20.0), 1e-12);
    close(-lands.y, 13.7, 0.05);
}

#[test]
fn the_middle_rises_as_a_v() {
    let document = lesson(5).document;
    let mut sharp = document.clone();
    let lean = dial(&sharp, "lean");
    rig::edit::apply(
        &mut sharp,
        &Edit::SetSoftness {
            dial: lean,
            softness: 0.0,
        },
    )
    .unwrap();
    for degrees in [-20.0, -5.0, 0.0, 5.0, 20.0_f64] {
        let height = point(&sharp, &posed(&sharp, &[("lean", degrees)]), "palm").y;
        close(height, 40.0 * sin(degrees.abs()), 1e-10);
    }
}

#[test]
fn edge_pivots_and_softness_are_told_apart() {
    let (document, task) = step(&lesson(5), 1);
    let mark = check(&document, &task, &Attempt::default()).unwrap();
    assert!(!mark.passed);
    says(&mark, "The outer pivot is 12.0 mm towards the middle.");
    says(&mark, "The inner pivot is 12.0 mm towards the middle.");
    says(&mark, "at −20°");
    says(&mark, "At −2° the hand follows only 0.33 °/°; 0.90");
    let tried = |outer: f64, inner: f64, softness: f64| {
        let mut document = document.clone();
        for (name, z) in [("outer pivot", outer), ("inner pivot", inner)] {
            let node = document.node_named(name).unwrap().id;
            rig::edit::apply(
                &mut document,
                &Edit::Move {
                    node,
                    to: Vec3::new(0.0, 0.0, z),
                    keep_children: true,
                },
            )
            .unwrap();
        }
        let dial = dial(&document, "lean");
        rig::edit::apply(&mut document, &Edit::SetSoftness { dial, softness }).unwrap();
        check(&document, &task, &Attempt::default()).unwrap()
    };
    let mark = tried(-40.0, 40.0, 2.0);
    assert!(mark.passed, "{mark:#?}");
    assert!(tried(-40.0, 40.0, 0.0).passed);
    let mark = tried(-40.0, 40.0, 4.0);
    assert!(!mark.passed);
    says(&mark, "follows only 0.50");
    let mark = tried(-44.0, 40.0, 2.0);
    assert!(!mark.passed);
    says(&mark, "The outer pivot is 4.0 mm beyond the edge.");
}
