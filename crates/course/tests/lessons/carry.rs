//! Lesson 1.
use crate::common::*;
use course::finding::{At, Kind, Part};
use course::{Answer, Attempt, Truth};
use rig::Vec3;

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
        verdict.grade() == course::Grade::Right
            && verdict.to_string().contains("3.0 mm")
            && verdict.to_string().contains("88.0 mm"),
        "{verdict}"
    );
    assert!(
        judge(&document, &task, &Answer::Pin(Vec3::zeros()))
            .unwrap()
            .grade()
            == course::Grade::NotSo
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
    // The same as data.
    let told = mark
        .findings
        .iter()
        .find_map(|finding| match &finding.kind {
            Kind::Told { value, .. } => Some((value.reading.value, value.at)),
            _ => None,
        });
    let (off, at) = told.expect("the mark's is told");
    close(off, 90.0 * (1.0 - cos(20.0)), 1e-9);
    assert_eq!(at, At::Way(0.5));

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
    assert!(mark.findings.iter().any(|finding| {
        let Kind::Over { band, value, limit } = &finding.kind else {
            return false;
        };
        finding.part == Part::SecondPose && value.at == At::Now && band.most == Some(*limit)
    }));
    assert_eq!(
        check(&document, &task, &Attempt::default())
            .unwrap_err()
            .to_string(),
        "Keep both poses first."
    );
}
