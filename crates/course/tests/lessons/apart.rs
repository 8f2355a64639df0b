//! What was drawn beside what happens: where the two are farthest apart.
use super::common::{close, cos, judge, lesson, sin, step, truth};
use course::{Answer, Truth, Verdict, apart};
use rig::Vec3;

fn arc(radius: f64, to: f64) -> Answer {
    let at = |i: u32| {
        let degrees = to * f64::from(i) / 40.0;
        Vec3::new(-radius * cos(degrees), radius * sin(degrees), 0.0)
    };
    Answer::Path((0..=40).map(at).collect())
}

/// Lesson 4's arc of 90 mm over 40°. A line that stops at 20° misses its end by the chord of the other
/// 20°, 2·90·sin 10° = 31.26 mm; one of 80 mm all the way is 10 mm inside it.
#[test]
fn a_line_is_farthest_where_one_of_the_two_goes_alone() {
    let (document, task) = step(&lesson(4), 1);
    let path = truth(&document, &task).expect("it lifts");
    for (line, expected) in [
        (arc(90.0, 20.0), 180.0 * sin(10.0)),
        (arc(80.0, 40.0), 10.0),
    ] {
        let (from, to) = apart(&path, &line).expect("two lines");
        close((to - from).norm(), expected, 0.01);
        let Ok(Verdict::Path { stray, missed }) = judge(&document, &task, &line) else {
            panic!("a verdict on a path");
        };
        close((to - from).norm(), stray.max(missed), 0.01);
    }
    assert_eq!(apart(&path, &Answer::Path(vec![Vec3::zeros()])), None);
}

/// A pin at rest is as far from where lesson 1's tip lands as that moves: 2·170·sin 15°.
#[test]
fn a_pin_is_apart_from_where_its_node_lands() {
    let (document, task) = step(&lesson(1), 0);
    let lands = truth(&document, &task).expect("it turns");
    let (from, to) = apart(&lands, &Answer::Pin(Vec3::new(80.0, 0.0, 0.0))).expect("a pin");
    close((to - from).norm(), 340.0 * sin(15.0), 1e-9);
    assert!(matches!(lands, Truth::Pin(at) if at == to));
}
