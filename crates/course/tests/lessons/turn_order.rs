//! Turn order: one turn lost at the lock, and the order that keeps a joint from it.
use crate::common::*;
use course::{Answer, Attempt, Grade, Mark, Rung, Truth};
use hand::Gauge;
use hand::advice::channel_orders;
use rig::{Document, Edit, Order, Vec3};

#[test]
fn at_the_lock_two_turns_undo_each_other() {
    let (document, task) = step(&named("turn-order"), 0);
    let Truth::Pin(lands) = truth(&document, &task).unwrap() else {
        panic!()
    };
    let mark = point(&posed(&document, &[]), "thumb mark");
    close((lands - mark).norm(), 0.0, 1e-12);
    // 40 mm off the forearm's line: 2·40·sin 15°.
    let one = travel_from(&document, "thumb mark", &[("twist", 30.0)]);
    close(one, 80.0 * sin(15.0), 1e-12);
    close(one, 20.7, 0.05);
    // Away from the lock they do not: straight, the mark swings along the bone as well.
    let free = [("flexion", 0.0), ("twist", 30.0), ("deviation", 30.0)];
    let moved = (point(&posed(&document, &free), "thumb mark") - mark).norm();
    assert!(moved > 20.0, "{moved}");
    let pin = Answer::Pin(mark + Vec3::new(0.0, 20.0, 0.0));
    let verdict = judge(&document, &task, &pin).unwrap();
    assert!(
        verdict.grade() == Grade::NotSo && verdict.to_string().contains("It moves 0.0 mm"),
        "{verdict}"
    );
    // There the leap has no end.
    let leap = Gauge::Leap {
        node: "wrist".into(),
    };
    let at = |flexion: f64| {
        leap.read(&posed(&document, &[("flexion", flexion)]))
            .unwrap()
    };
    assert_eq!(at(90.0).to_string(), "∞ °/°");
    for (flexion, told) in [
        (0.0, "1.00"),
        (30.0, "1.15"),
        (60.0, "2.00"),
        (80.0, "5.76"),
        (-80.0, "5.76"),
    ] {
        close(at(flexion).value, 1.0 / cos(flexion), 1e-12);
        assert!(at(flexion).to_string().starts_with(told), "{}", at(flexion));
    }
}

fn travel_from(document: &Document, node: &str, values: &[(&str, f64)]) -> f64 {
    (point(&posed(document, values), node) - point(&posed(document, &[]), node)).norm()
}

/// The exercise of a step with the joint's turns in each order: the order, how far from the lock it
/// is told to come, and the mark.
fn tried(index: usize, joint: &str) -> [(Order, String, Mark); 6] {
    let (document, task) = step(&named("turn-order"), index);
    Order::ALL.map(|order| {
        let mut document = document.clone();
        let node = document.node_named(joint).unwrap().id;
        rig::edit::apply(&mut document, &Edit::SetOrder { node, order }).unwrap();
        let mark = check(&document, &task, &Attempt::default()).unwrap();
        let told = mark.findings[0].to_string();
        (order, told, mark)
    })
}

/// Ours are SciPy's too (reference/lessons.rs), where a grid of poses is read back in each order.
fn only(tried: [(Order, String, Mark); 6], expected: [(Order, &str); 6], safe: Order) {
    for ((order, told, mark), (of, degrees)) in tried.into_iter().zip(expected) {
        assert_eq!(order, of);
        assert_eq!(mark.passed, order == safe, "{order:?}: {told}");
        assert!(told.contains(degrees), "{order:?}: {told} has no {degrees}");
        if !mark.passed {
            let way = mark.findings[0].told(Rung::Way);
            assert!(way.contains("If it is there, swap the outer two."), "{way}");
        }
    }
}

#[test]
fn a_wrist_keeps_from_the_lock_in_one_order() {
    use Order::*;
    let expected = [
        (Xyz, "within 10.0°"),
        (Xzy, "within 8.6°"),
        (Yxz, "within 8.6°"),
        (Yzx, "within 10.0°"),
        (Zxy, "within 10.0°"),
        (Zyx, "60.0°"),
    ];
    only(tried(1, "wrist"), expected, Zyx);
}

#[test]
fn a_knuckle_keeps_from_the_lock_in_one_order() {
    use Order::*;
    let expected = [
        (Xyz, "within 70.0°"),
        (Xzy, "within 0.0°"),
        (Yxz, "85.0°"),
        (Yzx, "within 0.0°"),
        (Zxy, "within 69.4°"),
        (Zyx, "within 69.4°"),
    ];
    only(tried(2, "knuckle"), expected, Yxz);
}

/// The gauge tells what advice on a hand tells of the order that the limits were measured in.
#[test]
fn the_gauge_is_the_advice() {
    for (index, joint, measured) in [(1, "wrist", Order::Zyx), (2, "knuckle", Order::Yxz)] {
        let (mut document, _) = step(&named("turn-order"), index);
        let node = document.node_named(joint).unwrap().id;
        let gauge = Gauge::Lock {
            node: joint.into(),
            measured,
        };
        let set = |document: &mut Document, order| {
            rig::edit::apply(document, &Edit::SetOrder { node, order }).unwrap();
        };
        set(&mut document, measured);
        let advised = channel_orders(&document, node).unwrap();
        assert_eq!(advised.best, measured);
        for (order, margin) in advised.margins {
            set(&mut document, order);
            let read = gauge.read(&posed(&document, &[])).unwrap().value;
            close(read, margin, 1e-9);
            // However the joint stands.
            let dial = document.dials[0].name.clone();
            let turned = posed(&document, &[(dial.as_str(), 5.0)]);
            close(gauge.read(&turned).unwrap().value, margin, 1e-9);
        }
    }
}
