//! Lesson 4.
use crate::common::*;
use course::{Answer, Attempt, Obstacle, Truth};
use hand::Gauge;
use rig::{Document, Edit, Solver, Vec3};

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
        verdict.grade() == course::Grade::Right && verdict.to_string().contains("within 1.8 mm"),
        "{verdict}"
    );
    let short = Answer::Path(vec![path[0], Vec3::new(-90.0, 20.0, 0.0)]);
    let verdict = judge(&document, &task, &short).unwrap();
    assert!(
        verdict.grade() != course::Grade::Right
            && verdict.to_string().contains("short of the path's end"),
        "{verdict}"
    );
}

#[test]
fn right_pivot_leaves_every_anchored_joint() {
    let lesson = lesson(4);
    let document = lesson.document.document();
    for lift in 0..=40 {
        let lifted = posed(document, &[("lift", f64::from(lift))]);
        for (node, x) in [("knuckle", 0.0), ("finger", 40.0), ("tip", 80.0)] {
            let off = (point(&lifted, node) - Vec3::new(x, 0.0, 0.0)).norm();
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
fn a_node_that_is_gone_is_named() {
    let (mut document, task) = step(&lesson(4), 2);
    let node = document.node_named("tip").unwrap().id;
    rig::edit::apply(&mut document, &Edit::Delete { node }).unwrap();
    assert!(
        check(&document, &task, &Attempt::default()).is_ok(),
        "its plant went with it"
    );
    let node = document.node_named("knuckle").unwrap().id;
    rig::edit::apply(&mut document, &Edit::Delete { node }).unwrap();
    let said = check(&document, &task, &Attempt::default()).unwrap_err();
    assert!(
        matches!(&said, Obstacle::Unread { gauge: Gauge::OffMark { node, .. }, .. } if node == "knuckle"),
        "{said:?}"
    );
    let said = said.to_string();
    assert!(
        said.contains("'knuckle'") && said.ends_with("undo until it is back."),
        "{said}"
    );
}

#[test]
fn hidden_pivot_is_found_by_measurement() {
    let (mut document, task) = step(&lesson(4), 2);
    let mark = check(&document, &task, &Attempt::default()).unwrap();
    assert!(!mark.passed);
    close(2.0 * 6.0 * sin(20.0), 4.10, 0.005);
    says(&mark, "The pivot is 6.0 mm towards the wrist.");
    says(&mark, "mark moves 4.10 mm at 40°");
    // However the reader left the anchors, both runs are made.
    let mut loose = document.clone();
    for anchor in &document.anchors {
        let edit = Edit::SetActive {
            anchor: anchor.id,
            active: false,
        };
        rig::edit::apply(&mut loose, &edit).unwrap();
    }
    assert_eq!(check(&loose, &task, &Attempt::default()).unwrap(), mark);
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
        document.anchors.iter().all(|a| a.solver == Solver::Aim)
            && document.setting.active.iter().all(|active| *active)
    );
}
