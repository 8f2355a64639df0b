//! Drawing the knuckle axis, and the path of a hand that turns about it.
use course::{Answer, Task, Truth, judge, truth};
use hand::read;
use rig::Vec3;

#[test]
fn a_line_is_judged_by_its_turn_and_its_distance() {
    let document =
        read(r#"{"format": "handstand/1", "hand": {"planting": {}}}"#).expect("a planted hand");
    let fingers = ["index", "middle", "ring", "pinky"];
    let knuckles = fingers.map(|f| format!("{f}-finger-phalanx-proximal"));
    let task = Task::PredictAxis {
        knuckles: knuckles.to_vec(),
    };
    let Truth::Path(axis) = truth(&posed(&document), &task).unwrap() else {
        panic!()
    };
    let [from, to] = axis[..] else { panic!() };
    let along = (to - from).normalize();
    let across = Vec3::new(along.z, 0.0, -along.x);
    let drawn = |turn: f64, off: f64| {
        let turned = along * libm::cos(turn.to_radians()) + across * libm::sin(turn.to_radians());
        let middle = (from + to) * 0.5 + across * off;
        let line = (-20..=20).map(|i| middle + turned * f64::from(i)).collect();
        judge(&posed(&document), &task, &Answer::Path(line)).unwrap()
    };
    let verdict = drawn(0.0, 0.0);
    assert!(
        verdict.grade() == course::Grade::Right && verdict.to_string().contains("turned 0.0°"),
        "{verdict}"
    );
    let verdict = drawn(4.0, 5.0);
    assert!(
        verdict.grade() == course::Grade::Right
            && verdict.to_string().contains("4.0°")
            && verdict.to_string().contains("5.0 mm"),
        "{verdict}"
    );
    assert!(
        drawn(20.0, 0.0).grade() != course::Grade::Right
            && drawn(0.0, 15.0).grade() != course::Grade::Right
    );
    // Drawn from the other end it is the same line.
    let back: Vec<_> = [to, from].to_vec();
    assert!(
        judge(&posed(&document), &task, &Answer::Path(back))
            .unwrap()
            .grade()
            == course::Grade::Right
    );
    assert!(judge(&posed(&document), &task, &Answer::Path(vec![from, from])).is_err());
}

/// The axis runs slantwise, so the wrist leaves the plane it is drawn in; a line drawn from the
/// side says nothing of that.
#[test]
fn a_path_is_judged_as_it_is_seen() {
    let document =
        read(r#"{"format": "handstand/1", "hand": {"planting": {}}}"#).expect("a planted hand");
    let task = Task::PredictPath {
        node: "wrist".into(),
        dial: "lift".into(),
        range: (0.0, 40.0),
    };
    let Truth::Path(path) = truth(&posed(&document), &task).unwrap() else {
        panic!()
    };
    assert!(path.iter().any(|p| (p.z - path[0].z).abs() > 2.0));
    let drawn = |up: f64| {
        let line = path.iter().map(|p| Vec3::new(p.x, p.y + up, 0.0)).collect();
        judge(&posed(&document), &task, &Answer::Path(line))
            .unwrap()
            .to_string()
    };
    assert!(drawn(0.0).contains("within 0.0 mm"), "{}", drawn(0.0));
    assert!(drawn(9.0).contains("within 9.0 mm"), "{}", drawn(9.0));
}

fn posed(document: &rig::Document) -> rig::Posed {
    rig::Posed::new(document).expect("it was checked")
}
