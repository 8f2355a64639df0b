//! Lesson 11: gestures and layers.
use crate::common::*;
use course::{Answer, Attempt, Mark, Truth};
use rig::{Channel, Document, Vec3};

const FINGERS: [&str; 4] = ["index", "middle", "ring", "pinky"];

fn set(document: &Document, task: &course::Task, values: &[(&str, f64)]) -> Mark {
    let mut document = document.clone();
    document.setting = pose(&document, values);
    check(&document, task, &Attempt::default()).unwrap()
}

/// 'Its middle joint was bent by 35° at rest; the curl adds 29.4° and the claw 24°': and the tip is
/// where four bones of the table, bent by such sums, have it, in whatever order the dials are turned.
#[test]
fn two_dials_add_up() {
    let (document, task) = step(&lesson(11), 0);
    let Truth::Pin(tip) = truth(&document, &task).unwrap() else {
        panic!()
    };
    let node = |name: &str| document.node_named(name).unwrap().id;
    let turned = posed(&document, &[("curl", 30.0), ("claw", 40.0)]);
    let middle = node("middle-finger-phalanx-intermediate");
    let made = turned.makeup(middle, Channel::TurnZ);
    let adds: Vec<_> = made.dials.iter().map(|(_, adds)| *adds).collect();
    for (adds, wanted) in adds.iter().zip([35.0, 29.4, 24.0]) {
        close(*adds, wanted, 1e-9);
    }
    close(made.stands(), 88.4, 1e-9);
    // By hand: knuckle 30 + 24 − 8, middle 88.4, last 15 + 18.6 + 16, each added to those before it.
    let finger = point(&turned, "middle-finger-phalanx-proximal");
    let axis = turned
        .world(node("middle-finger-phalanx-proximal"))
        .rotation;
    let [back, along] = [axis * Vec3::x(), axis * -Vec3::y()];
    // The frame has turned with the knuckle: against it the knuckle's own bend is nothing.
    let (mut at, mut bend) = (finger, 0.0);
    for (length, turn) in [(44.6, 0.0), (26.3, 88.4), (17.4 + 4.0, 49.6)] {
        bend += turn;
        at += (along * cos(bend) + back * sin(bend)) * length;
    }
    assert!((at - tip).norm() < 1e-9, "{at} {tip}");
    let other = posed(&document, &[("claw", 40.0), ("curl", 30.0)]);
    assert_eq!(point(&other, "middle-finger-tip"), tip);
}

#[test]
fn one_finger_takes_it_back() {
    let (document, task) = step(&lesson(11), 1);
    let with = |values: &[(&str, f64)]| set(&document, &task, values);
    assert!(with(&[("curl", 80.0), ("curl index-finger", -100.0)]).passed);
    says(&with(&[("curl", 80.0)]), "from that finger alone");
    says(
        &with(&[("curl", 40.0), ("curl index-finger", -60.0)]),
        "Curl all fingers more",
    );
    // The other finger's dial does not help.
    assert!(!with(&[("curl", 80.0), ("curl middle-finger", -90.0)]).passed);
}

#[test]
fn what_is_let_go_closes() {
    let (document, task) = step(&lesson(11), 2);
    let Truth::Stay(all) = truth(&document, &task).unwrap() else {
        panic!()
    };
    let stay: Vec<_> = all.iter().map(|what| what.stays).collect();
    assert_eq!(stay, [true, true, false, true]);
    let answer = ["index", "middle", "pinky"].map(|f| format!("{f}-finger-tip-contact"));
    let verdict = judge(&document, &task, &Answer::Stay(answer.to_vec())).unwrap();
    assert!(verdict.grade() == course::Grade::Right, "{verdict}");
    // 'Takes from them all that was added.'
    let curled = posed(&document, &[("curl", 50.0)]);
    for finger in FINGERS {
        let node = document.node_named(&format!("{finger}-finger-phalanx-intermediate"));
        let made = curled.makeup(node.unwrap().id, Channel::TurnZ);
        assert_eq!(made.contact < -20.0, finger != "ring", "{finger} {made:?}");
    }
}

#[test]
fn a_layer_comes_out_as_a_finger_leaves() {
    let (document, task) = step(&lesson(11), 3);
    let with = |values: &[(&str, f64)]| set(&document, &task, values);
    let done = [
        ("lift", 25.0),
        ("release pinky-finger", 100.0),
        ("curl", 60.0),
    ];
    let mark = with(&done);
    assert!(mark.passed, "{mark:#?}");
    says(&with(&[("lift", 25.0), ("curl", 60.0)]), "let it go wholly");
    says(&with(&done[1..]), "Lift the wrist");
}
