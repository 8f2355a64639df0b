//! Lesson 3.
use crate::common::*;
use course::{Answer, Attempt, Truth, Verdict};
use rig::{Posed, Setting};

#[test]
fn only_the_wrist_stays_on_the_carrier() {
    let (document, task) = step(&lesson(3), 0);
    let Truth::Stay(moved) = truth(&document, &task).unwrap() else {
        panic!()
    };
    let of = |node: &str| moved.iter().find(|what| what.node == node).unwrap();
    assert!(of("wrist").stays);
    assert!(
        ["knuckle", "finger", "tip"]
            .iter()
            .all(|node| !of(node).stays)
    );
    close(of("knuckle").travel, 2.0 * 90.0 * sin(20.0), 1e-9);
    close(of("knuckle").travel, 61.6, 0.05);
    let right = judge(&document, &task, &Answer::Stay(vec!["wrist".into()])).unwrap();
    assert!(
        right.grade() == course::Grade::Right && right.to_string().contains("Only the wrist"),
        "{right}"
    );
    let wrong = judge(&document, &task, &Answer::Stay(vec!["knuckle".into()])).unwrap();
    let Verdict::Stay { nodes } = &wrong else {
        panic!("{wrong:?}")
    };
    let knuckle = nodes.iter().find(|said| said.what.node == "knuckle");
    let knuckle = knuckle.unwrap();
    assert!(knuckle.stapled && !knuckle.what.stays);
    close(knuckle.what.travel, 2.0 * 90.0 * sin(20.0), 1e-9);
    assert!(
        wrong.grade() != course::Grade::Right
            && wrong.to_string().contains("knuckle moves 61.6 mm"),
        "{wrong}"
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
            let dials = from.dials.iter().zip(&to.dials);
            posed.set(&Setting {
                dials: dials.map(|(p, q)| p + (q - p) * t).collect(),
                active: from.active.clone(),
            });
            worst.max(
                posed
                    .slip(document.node_named("knuckle").unwrap().id)
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
