//! Lessons 6, 7 and 8: a whole hand.
use crate::common::*;
use course::{Answer, Attempt, Mark, Truth};
use rig::{Channel, Document, Edit, Posed, Vec3, edit};

const FINGERS: [&str; 4] = ["index", "middle", "ring", "pinky"];

fn slips(document: &Document, values: &[(&str, f64)]) -> [f64; 4] {
    let posed = posed(document, values);
    FINGERS.map(|finger| {
        let pad = document
            .node_named(&format!("{finger}-finger-pad"))
            .unwrap();
        posed.slip(pad.id).unwrap()
    })
}

fn knuckles(document: &Document) -> [Vec3; 4] {
    let posed = posed(document, &[]);
    FINGERS.map(|finger| point(&posed, &format!("{finger}-finger-phalanx-proximal")))
}

/// The figure with some dials set, checked.
fn set(document: &Document, task: &course::Task, values: &[(&str, f64)]) -> Mark {
    let mut document = document.clone();
    document.setting = pose(&document, values);
    check(&document, task, &Attempt::default()).unwrap()
}

/// The figure with a pivot moved as in the lesson, checked.
fn moved(document: &Document, task: &course::Task, node: &str, by: [f64; 3]) -> Mark {
    let mut document = document.clone();
    let to = point(&Posed::new(&document).unwrap(), node) + Vec3::from(by);
    let node = document.node_named(node).unwrap().id;
    edit::apply(&mut document, &Edit::MovePivot { node, to }).unwrap();
    check(&document, task, &Attempt::default()).unwrap()
}

fn stays(lesson_number: u32, index: usize, expected: &[&str]) {
    let (document, task) = step(&lesson(lesson_number), index);
    let Truth::Stay(moved) = truth(&document, &task).unwrap() else {
        panic!()
    };
    let staying: Vec<_> = moved.iter().filter(|m| m.2).map(|m| m.0.as_str()).collect();
    let pads: Vec<_> = expected.iter().map(|f| format!("{f}-finger-pad")).collect();
    assert_eq!(staying, pads);
    // None at all cannot be stapled, and is then told.
    let verdict = judge(&document, &task, &Answer::Stay(pads)).unwrap();
    assert!(verdict.near(), "{verdict}");
}

/// The line of lesson 6 against its definition: no line turned or moved a little from it in the
/// plane has a smaller sum of squares.
#[test]
fn the_line_through_the_knuckles_is_the_best() {
    let (document, task) = step(&lesson(6), 0);
    let Truth::Path(line) = truth(&document, &task).unwrap() else {
        panic!()
    };
    let points = knuckles(&document);
    let sum = |turn: f64, off: f64| -> f64 {
        let along = (line[1] - line[0]).normalize();
        let along = Vec3::new(
            along.x * cos(turn) - along.z * sin(turn),
            0.0,
            along.x * sin(turn) + along.z * cos(turn),
        );
        let across = Vec3::new(along.z, 0.0, -along.x);
        let middle = (line[0] + line[1]) * 0.5 + across * off;
        let far = points.iter().map(|p| (p - middle).dot(&across));
        far.map(|d| d * d).sum()
    };
    let best = sum(0.0, 0.0);
    for (turn, off) in [(0.5, 0.0), (-0.5, 0.0), (0.0, 0.3), (0.0, -0.3), (0.3, 0.3)] {
        assert!(sum(turn, off) > best, "{turn} {off}");
    }
    // 'The little finger's knuckle lies nearer to the wrist.'
    assert!(points[1..].windows(2).all(|p| p[1].x < p[0].x));
}

#[test]
fn on_the_axis_the_little_finger_lets_go_first() {
    stays(6, 1, &["index", "middle", "ring"]);
    let (document, _) = step(&lesson(6), 1);
    let slips = slips(&document, &[("lift", 30.0)]);
    close(slips[3], 0.95, 0.005);
    assert!(slips[..3].iter().all(|&slip| slip < 1e-9));
    // 4.5 mm under the axis, which lies at the knuckles' mean height; swung back by 4.5·sin 30°.
    let heights = knuckles(&document).map(|k| k.y);
    let under = heights.iter().sum::<f64>() / 4.0 - heights[3];
    close(under, 4.5, 0.05);
    close(under * sin(30.0), 2.25, 0.005);
}

#[test]
fn the_pivot_is_lowered_until_the_hand_lifts() {
    let (document, task) = step(&lesson(6), 2);
    let as_given = check(&document, &task, &Attempt::default()).unwrap();
    assert!(!as_given.passed);
    says(&as_given, "The little finger is drawn straight");
    says(&as_given, "Set the pivot lower.");
    // From 4 mm over the axis and 9 mm towards the wrist.
    for (down, passes) in [(7.0, true), (8.0, true), (5.0, false), (14.0, false)] {
        let mark = moved(&document, &task, "knuckles", [9.0, -down, 0.0]);
        assert_eq!(mark.passed, passes, "{down}: {mark:#?}");
    }
    let low = moved(&document, &task, "knuckles", [9.0, -14.0, 0.0]);
    says(&low, "bent back as far as it goes");
    // 'Height counts for more than the place along the hand.'
    assert!(moved(&document, &task, "knuckles", [15.0, -7.0, 0.0]).passed);
}

#[test]
fn the_roll_is_two_arcs() {
    let (document, task) = step(&lesson(7), 0);
    let Truth::Path(path) = truth(&document, &task).unwrap() else {
        panic!()
    };
    let rest = posed(&document, &[]);
    let knuckles = point(&rest, "knuckles");
    let tips = point(&rest, "tips");
    // Up to 35° of knuckles: their circle. From w past that: the tips'.
    let radius = (path[0] - knuckles).norm();
    close(radius, 93.0, 0.5);
    for (i, at) in path.iter().enumerate() {
        let roll = 70.0 * i as f64 / (path.len() - 1) as f64;
        if roll < 36.9 {
            close((at - knuckles).norm(), radius, 1e-9);
        } else if roll > 41.5 {
            close(
                (at - tips).norm(),
                (path.last().unwrap() - tips).norm(),
                1e-9,
            );
        }
    }
    close((path.last().unwrap() - tips).norm(), 158.0, 0.5);
}

#[test]
fn rocking_back_only_the_little_finger_stays() {
    stays(7, 1, &["pinky"]);
    let (document, _) = step(&lesson(7), 1);
    let after = posed(&document, &[("roll", -5.0)]);
    let risen = knuckles(&document)
        .into_iter()
        .zip(FINGERS)
        .map(|(before, finger)| {
            point(&after, &format!("{finger}-finger-phalanx-proximal")).y - before.y
        });
    let risen: Vec<f64> = risen.collect();
    assert!(
        risen[..3].iter().all(|by| (3.5..5.0).contains(by)),
        "{risen:?}"
    );
    assert!(risen[..3].iter().all(|by| *by > risen[3]), "{risen:?}");
}

#[test]
fn the_tips_pivot_belongs_between_the_pads() {
    let (document, task) = step(&lesson(7), 2);
    let as_given = check(&document, &task, &Attempt::default()).unwrap();
    assert!(!as_given.passed);
    says(&as_given, "too high or too far out");
    let mended = moved(&document, &task, "tips", [-14.0, -12.0, 0.0]);
    assert!(mended.passed, "{mended:#?}");
    let low = moved(&document, &task, "tips", [-44.0, -12.0, 0.0]);
    assert!(!low.passed);
    says(&low, "too low or too near to the wrist");
}

#[test]
fn raw_angles_do_what_the_roll_does() {
    let (document, task) = step(&lesson(7), 3);
    let tilted = |values: &[(&str, f64)]| set(&document, &task, values);
    let by_hand = tilted(&[("lift", 37.0), ("raw tips", 9.0)]);
    assert!(by_hand.passed, "{by_hand:#?}");
    let too_soft = tilted(&[("lift", 25.0), ("raw tips", 21.0)]);
    assert!(!too_soft.passed);
    says(&too_soft, "leave more to the knuckles");
    let lifted = tilted(&[("lift", 46.0)]);
    assert!(!lifted.passed);
    says(&lifted, "leave more to the tips");
    let rolled = tilted(&[("roll", 48.0)]);
    assert!(!rolled.passed);
    says(&rolled, "leave it at 0");
    says(&tilted(&[("lift", 20.0)]), "turn up lift or raw tips");
    // 'The three always sum to the dial, but for half the softness.'
    for (roll, sum) in [(50.0, 48.0), (20.0, 18.0), (-20.0, -18.0)] {
        let rolled = posed(&document, &[("roll", roll)]);
        let turns = ["heel", "knuckles", "tips"].map(|pivot| {
            let node = document.node_named(pivot).unwrap().id;
            -rolled.channel(node, Channel::TurnZ).to_degrees()
        });
        close(turns.iter().sum(), sum, 1e-9);
    }
}

#[test]
fn leaning_ends_with_the_little_finger_or_the_index() {
    stays(8, 0, &["index", "middle"]);
    let document = lesson(8).document.document().clone();
    let lean = |degrees: f64| slips(&document, &[("lean", degrees)]);
    close(lean(10.0)[3], 1.4, 0.05);
    close(lean(10.0)[2], 0.54, 0.005);
    assert!(lean(-7.0)[0] < 0.5 && lean(-7.6)[0] > 0.5);
}

#[test]
fn a_lift_makes_room_for_the_lean() {
    let (document, task) = step(&lesson(8), 1);
    let at = |lift: f64, lean: f64| set(&document, &task, &[("lift", lift), ("lean", lean)]);
    let flat = at(0.0, -9.5);
    assert!(!flat.passed);
    says(&flat, "Lift the wrist");
    assert!(at(25.0, -9.5).passed);
    assert!(!at(25.0, -8.0).passed);
    let high = at(45.0, -9.5);
    assert!(!high.passed);
    says(&high, "Past 41° of lift");
}

#[test]
fn the_index_finger_is_let_go() {
    let (document, task) = step(&lesson(8), 2);
    let with = |values: &[(&str, f64)]| set(&document, &task, values);
    let mark = with(&[("twist", 5.0), ("release index-finger", 100.0)]);
    assert!(mark.passed, "{mark:#?}");
    says(&with(&[("twist", 5.0)]), "let it go wholly");
    let all = with(&[
        ("twist", 5.0),
        ("release index-finger", 100.0),
        ("release ring-finger", 50.0),
    ]);
    says(&all, "it could have stayed");
    // 'With half a row of 30 mm and 4° that is 2.1 mm.'
    close(30.0 * sin(4.0), 2.1, 0.05);
}
