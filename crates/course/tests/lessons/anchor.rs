//! Lesson 2.
use crate::common::*;
use course::finding::{At, Kind, Seen};
use course::{Answer, Attempt, Task, Truth};
use rig::{Edit, Vec3};

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
        verdict.grade() == course::Grade::Right
            && verdict.to_string().contains("covers 100 %")
            && verdict.to_string().contains("; 0 %"),
        "{verdict}"
    );
    let blob = (0..=60).map(|i| disc(60.0, 3.0 * f64::from(i))).collect();
    let verdict = judge(&document, &task, &Answer::Region(blob)).unwrap();
    assert!(
        verdict.grade() != course::Grade::Right
            && verdict.to_string().contains("100 % of your paint"),
        "{verdict}"
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
    let Kind::Short { asked, turned } = &mark.findings[0].kind else {
        panic!("{mark:#?}")
    };
    close(*turned, 25.0, 1e-9);
    assert_eq!((asked.angle, asked.limit.value), (40.0, 2.0));

    // Straight from the one end to the other: two events, and all that lies between is measured.
    let mark = tried(vec![
        raised(&document, 90.0, 0.0),
        raised(&document, 90.0, 40.0),
    ]);
    assert!(!mark.passed);
    says(&mark, "5.43 mm at 20° round; the limit is 2.00 mm");
    says(&mark, "5.4 mm too near");
    let Kind::Strayed {
        asked,
        value: Seen { reading, at },
        distance,
        start,
    } = &mark.findings[0].kind
    else {
        panic!("{mark:#?}")
    };
    close(reading.value, 90.0 * (1.0 - cos(20.0)), 1e-9);
    close(start - distance, reading.value, 1e-9);
    assert!(matches!(at, At::Round(degrees) if (degrees.abs() - 20.0).abs() < 1e-9));
    assert_eq!(
        asked.limit,
        rig::Reading {
            value: 2.0,
            ..*reading
        }
    );

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
    assert!(point(&bent, "middle").y > 6.0, "it bends up, off the bench");
    let verdict = judge(&document, &task, &Answer::Angle(2.0)).unwrap();
    assert!(
        verdict.grade() != course::Grade::Right && verdict.to_string().contains("18.1°"),
        "{verdict}"
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
