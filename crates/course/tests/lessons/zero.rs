//! Zero: a rest that a mount takes in, and a mirrored hand on the same dials.
use crate::common::*;
use course::mounts::{Mounted, mount, mounted, rest, take_in};
use course::signs::turned;
use course::{Answer, Attempt, Grade, Mark, Rung, Truth};
use hand::Gauge;
use rig::{Document, Edit, Posed, Vec3, WorldAxis};

/// Both bones, mm, and how they rest, degrees.
const BONE: f64 = 40.0;
const REST: [f64; 2] = [25.0, 30.0];

/// The tip, from the knuckle, of a finger bent down by these: two turns in a plane.
fn tip(knuckle: f64, middle: f64) -> Vec3 {
    let along = BONE * (cos(knuckle) + cos(knuckle + middle));
    let down = BONE * (sin(knuckle) + sin(knuckle + middle));
    Vec3::new(along, -down, 0.0)
}

/// The figure after both acts on each of these joints, with its dials at these values.
fn after(document: &Document, joints: &[&str], dials: [f64; 2]) -> Document {
    let given = Posed::new(document).unwrap();
    let mut document = document.clone();
    for joint in joints {
        let now = Posed::new(&document).unwrap();
        let node = document.node_named(joint).unwrap().clone();
        rig::edit::apply(&mut document, &mount(&now, &node)).unwrap();
        let hung = Posed::new(&document).unwrap();
        close(
            (point(&hung, "tip") - point(&now, "tip")).norm(),
            0.0,
            1e-12,
        );
        let node = document.node_named(joint).unwrap().clone();
        let Mounted::Hung(mount) = mounted(&given, &hung, &node) else {
            panic!("a mount hangs above the {joint}");
        };
        let by = rest(&given, joint).unwrap();
        rig::edit::apply(&mut document, &take_in(&hung, mount, &by)).unwrap();
    }
    document.setting = pose(&document, &[("knuckle", dials[0]), ("middle", dials[1])]);
    document
}

#[test]
fn the_tip_leaves_its_rest_with_all_dials_at_nought() {
    let (document, task) = step(&named("zero"), 0);
    let rested = tip(REST[0], REST[1]);
    close(
        (point(&posed(&document, &[]), "tip") - rested).norm(),
        0.0,
        1e-12,
    );
    let Truth::Pin(lands) = truth(&document, &task).unwrap() else {
        panic!()
    };
    close((lands - Vec3::new(80.0, 0.0, 0.0)).norm(), 0.0, 1e-12);
    let far = (lands - rested).norm();
    close(far, 53.85, 0.005);
    close(far, 53.9, 0.05);
    let said = judge(&document, &task, &Answer::Pin(rested)).unwrap();
    assert!(
        said.grade() == Grade::NotSo && said.to_string().contains("It moves 53.9 mm"),
        "{said}"
    );
    // The reading of the 'why', in the same words at both ends.
    let travel = &named("zero").readings["travel"];
    let read = |document: &Document, dials: &[_]| travel.read(&posed(document, dials)).unwrap();
    close(read(&document, &[]).value, far, 1e-12);
    close(
        read(&document, &[("knuckle", 0.0), ("middle", 0.0)]).value,
        0.0,
        1e-12,
    );
    let solved = after(&document, &["knuckle", "middle joint"], [0.0, 0.0]);
    close(read(&solved, &[]).value, 0.0, 1e-12);
}

#[test]
fn a_mount_above_takes_the_rest_in() {
    let lesson = named("zero");
    let (document, task) = step(&lesson, 1);
    let rested = tip(REST[0], REST[1]);
    // The mark and the gauge stand where the tip rests.
    for at in [
        lesson.steps[1].marks[0].at,
        off_mark(&lesson.steps[1].gauges[0].gauge),
    ] {
        close((Vec3::from(at) - rested).norm(), 0.0, 1e-6);
    }
    let both = ["knuckle", "middle joint"];
    let tried = |joints: &[&str], dials: [f64; 2]| {
        let document = after(&document, joints, dials);
        check(&document, &task, &Attempt::default()).unwrap()
    };
    let tells = |mark: &Mark, tip: f64, words: &[&str]| {
        assert!(!mark.passed);
        says(mark, &format!("It is {tip:.2} mm from its rest"));
        words.iter().for_each(|words| says(mark, words));
    };
    let zero = [0.0, 0.0];
    let mark = tried(&both, zero);
    assert!(mark.passed, "{mark:#?}");
    // Nothing done: it lies as it should, and by the dials alone.
    let mark = tried(&[], REST);
    assert!(!mark.passed);
    says(&mark, "It still reads 25.0°");
    says(&mark, "It still reads 30.0°");
    // Only the dials turned; one mount alone; the rest counted twice.
    let none = tried(&[], zero);
    tells(&none, 53.85, &["It slopes by 0.0°", "It is bent by 0.0°"]);
    let one = tried(&["knuckle"], zero);
    tells(
        &one,
        2.0 * BONE * sin(15.0),
        &["It is bent by 0.0°; at rest it was bent by 30.0°"],
    );
    close(2.0 * BONE * sin(15.0), 20.71, 0.005);
    let ways: Vec<_> = one.findings.iter().map(|f| f.told(Rung::Way)).collect();
    assert!(
        ways.iter().any(|way| way.contains("It is too straight.")),
        "{ways:?}"
    );
    let other = tried(&["middle joint"], zero);
    tells(
        &other,
        (tip(0.0, REST[1]) - rested).norm(),
        &["It slopes by 0.0°; at rest"],
    );
    close((tip(0.0, REST[1]) - rested).norm(), 33.45, 0.005);
    let twice = tried(&both, REST);
    let doubled = tip(2.0 * REST[0], 2.0 * REST[1]);
    tells(
        &twice,
        (doubled - rested).norm(),
        &["It still reads 25.0°.", "It slopes by 50.0°"],
    );
    close((doubled - rested).norm(), 50.68, 0.005);
    let ways: Vec<_> = twice.findings.iter().map(|f| f.told(Rung::Way)).collect();
    assert!(ways[0].contains("It still holds the rest"), "{ways:?}");
    // Too far the other way; a twentieth of a degree passes, a tenth does not.
    tells(
        &tried(&both, [-5.0, 0.0]),
        2.0 * (rested.norm() * sin(2.5)),
        &["It reads −5.0°."],
    );
    assert!(tried(&both, [0.05, -0.05]).passed);
    // A dial's own band is wider than what the tip allows.
    assert!(!tried(&both, [0.1, 0.0]).passed && !tried(&both, [0.0, -0.1]).passed);
}

fn off_mark(gauge: &Gauge) -> [f64; 3] {
    match gauge {
        Gauge::OffMark { at, .. } => *at,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_copied_spread_leans_the_same_way() {
    let (document, task) = step(&named("zero"), 2);
    let Truth::Pin(lands) = truth(&document, &task).unwrap() else {
        panic!()
    };
    let spread = posed(&document, &[("spread", 15.0)]);
    let image = rig::measure::mirrored(&point(&spread, "tip"), WorldAxis::Z, 0.0);
    // Outwards on the right: away from the mirror.
    assert!(image.z < -40.0 && lands.z > -40.0);
    let apart = (lands - image).norm();
    close(apart, 4.0 * BONE * sin(15.0), 1e-12);
    close(apart, 41.41, 0.005);
    close(apart, 41.4, 0.05);
}

#[test]
fn a_mirror_turns_two_of_three_dials_about() {
    let (document, task) = step(&named("zero"), 3);
    let under = document.node_named("left hand").unwrap().id;
    let tried = |opposite: [bool; 3]| {
        let mut document = document.clone();
        for (name, way) in ["spread", "twist", "curl"].into_iter().zip(opposite) {
            let dial = dial(&document, name);
            for edit in turned(&document, under, dial, way) {
                rig::edit::apply(&mut document, &edit).unwrap();
            }
        }
        // Wherever the dials were left.
        document.setting = pose(&document, &[("spread", -3.0), ("curl", 5.0)]);
        check(&document, &task, &Attempt::default()).unwrap()
    };
    let (same, opposite) = (false, true);
    let mark = tried([opposite, opposite, same]);
    assert!(mark.passed, "{mark:#?}");
    // Distances by SciPy (reference/lessons.rs).
    let [spread, twist, curl] = [
        "Choose opposite for spread",
        "Choose opposite for twist",
        "Choose same for curl",
    ];
    let cases: [([bool; 3], &str, &[&str]); 7] = [
        ([same, same, same], "41.30", &[spread, twist]),
        ([opposite, same, same], "22.61", &[twist]),
        ([same, opposite, same], "20.32", &[spread]),
        ([opposite, opposite, opposite], "130.21", &[curl]),
        ([same, same, opposite], "129.83", &[spread, twist, curl]),
        ([opposite, same, opposite], "128.23", &[twist, curl]),
        ([same, opposite, opposite], "134.72", &[spread, curl]),
    ];
    for (ways, off, words) in cases {
        let mark = tried(ways);
        assert!(!mark.passed, "{ways:?}");
        says(&mark, &format!("It is {off} mm away; 0.10 mm is the most."));
        words.iter().for_each(|words| says(&mark, words));
        let amiss = mark.findings.iter().filter(|f| !f.ok()).count();
        assert_eq!(amiss, words.len() + 1, "{ways:?}: {mark:#?}");
    }
}

/// The 'why': with a mount turned half round the curl's line above the left knuckle and another below
/// it, the copied dials mirror without a sign changed.
#[test]
fn two_mounts_turned_half_round_mirror_without_a_sign() {
    let (mut document, task) = step(&named("zero"), 3);
    let half = rig::Rotation::from_scaled_axis(Vec3::new(0.0, 0.0, std::f64::consts::PI));
    for (above, name) in [("left knuckle", "over"), ("left middle joint", "under")] {
        let now = Posed::new(&document)
            .unwrap()
            .point(document.node_named("left knuckle").unwrap().id);
        let above = document.node_named(above).unwrap().id;
        let insert = Edit::InsertPivot {
            above,
            name: name.into(),
            at: now,
        };
        rig::edit::apply(&mut document, &insert).unwrap();
        let node = document.node_named(name).unwrap().id;
        let turn = Edit::Rotate {
            node,
            by: half,
            keep_children: false,
        };
        // At rest, so that the turn is about the curl's line.
        let set = document.setting.clone();
        document.setting = pose(&document, &[("spread", 0.0), ("twist", 0.0), ("curl", 0.0)]);
        rig::edit::apply(&mut document, &turn).unwrap();
        document.setting = set;
    }
    let course::Task::Hold { at, bands } = &task else {
        panic!()
    };
    let at: Vec<_> = at
        .iter()
        .map(|(name, value)| (name.as_str(), *value))
        .collect();
    let Some(gauge) = bands.last().map(|band| &band.gauge) else {
        panic!()
    };
    close(
        gauge.read(&posed(&document, &at)).unwrap().value,
        0.0,
        1e-10,
    );
}
