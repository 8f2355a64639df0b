//! Lesson 5.
use crate::common::*;
use course::finding::{At, Kind};
use course::{Attempt, Truth};
use rig::{Edit, Vec3};

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
    let document = lesson(5).document.document().clone();
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
        let height = point(&posed(&sharp, &[("lean", degrees)]), "palm").y;
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
    // Every number of the two sentences is in the data, and the lesson's own words.
    assert!(mark.findings.iter().any(|finding| matches!(
        &finding.kind,
        Kind::OutOfPlace { place, off, towards }
            if place.called == "the outer pivot"
                && (off - 12.0).abs() < 1e-9
                && matches!(&towards[..], [(part, name)]
                    if (part - 12.0).abs() < 1e-9 && name == "towards the middle")
    )));
    assert!(mark.findings.iter().any(|finding| matches!(
        &finding.kind,
        Kind::Under { band, value, limit }
            if band.low.all().any(|text| text.contains("{at}"))
                && value.at == At::Dial(-2.0, rig::Unit::Degrees)
                && (value.reading.value - 0.33).abs() < 0.005
                && *limit == 0.9
    )));
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
