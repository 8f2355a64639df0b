//! The numbers of the lessons Zero and Turn order, through mechanisms, against SciPy's `Rotation`.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use kinematics::{Channel, Order, Vec3, lock_margin};
use reference::{FREE, build, node, numbers, oracle};
use serde_json::json;
use std::f64::consts::PI;

const BONE: f64 = 40.0;
/// By spread, twist and curl, as the oracle has them.
const SIGNS: [[f64; 3]; 8] = [
    [1.0, 1.0, 1.0],
    [-1.0, 1.0, 1.0],
    [1.0, -1.0, 1.0],
    [-1.0, -1.0, 1.0],
    [-1.0, -1.0, -1.0],
    [1.0, 1.0, -1.0],
    [-1.0, 1.0, -1.0],
    [1.0, -1.0, -1.0],
];

/// The tip of a finger whose knuckle turns by axis, and its middle joint about z, degrees.
fn finger(order: Order, knuckle: [f64; 3], middle: f64) -> Vec3 {
    let nodes = vec![
        node(None, Vec3::zeros(), order, [FREE; 3]),
        node(Some(0), Vec3::x() * BONE, Order::Xyz, [FREE; 3]),
        node(Some(1), Vec3::x() * BONE, Order::Xyz, [FREE; 3]),
    ];
    let (mechanism, mut pose) = build(nodes, vec![]);
    let turns = [Channel::TurnX, Channel::TurnY, Channel::TurnZ];
    for (channel, degrees) in turns.into_iter().zip(knuckle) {
        pose.set_channel(0, channel, degrees.to_radians());
    }
    pose.set_channel(1, Channel::TurnZ, middle.to_radians());
    mechanism.evaluate(&mut pose);
    pose.world(2).translation.vector
}

fn bent(knuckle: f64, middle: f64) -> Vec3 {
    finger(Order::Xyz, [0.0, 0.0, -knuckle], -middle)
}

fn dialled(spread: f64, twist: f64, curl: f64) -> Vec3 {
    finger(Order::Yxz, [-twist, -spread, -curl], -curl)
}

fn image(place: Vec3) -> Vec3 {
    Vec3::new(place.x, place.y, -place.z)
}

/// Degrees of distance to the lock, in the order of [`Order::ALL`].
fn locks(measured: Order, ranges: [(f64, f64); 3]) -> [f64; 6] {
    let ranges = ranges.map(|(low, high)| (low.to_radians(), high.to_radians()));
    Order::ALL.map(|order| lock_margin(measured, ranges, order).to_degrees())
}

#[test]
fn turned_numbers_agree_with_scipy_and_with_the_page() {
    let theirs = oracle("turns", &json!(null));
    let rested = bent(25.0, 30.0);
    let off = |place: Vec3| (place - rested).norm();
    // The thumb mark, with flexion at 90°, in the order twist, flexion, deviation.
    let held = |twist: f64, deviation: f64| {
        let angles = [twist, -deviation, -90.0].map(f64::to_radians);
        Order::Xzy.compose(angles) * Vec3::new(0.0, 0.0, -40.0)
    };
    let spread = dialled(15.0, 0.0, 0.0);
    let alone = (held(30.0, 0.0) - held(0.0, 0.0)).norm();
    let both = (held(30.0, 30.0) - held(0.0, 0.0)).norm();
    let numbers_of = [
        ("nought", "53.85", off(bent(0.0, 0.0))),
        ("knuckle_only", "20.71", off(bent(25.0, 0.0))),
        ("middle_only", "33.45", off(bent(0.0, 30.0))),
        ("twice", "50.68", off(bent(50.0, 60.0))),
        ("copied_spread", "41.41", (spread - image(spread)).norm()),
        ("twist_alone", "20.71", alone),
        ("both", "0.00", both),
    ];
    for (name, page, ours) in numbers_of {
        let theirs = theirs[name].as_f64().expect("a number");
        println!("{name}: page {page}, ours {ours}, SciPy {theirs}");
        assert!((ours - theirs).abs() < 1e-12, "{name}: {ours}, {theirs}");
        assert_eq!(format!("{ours:.2}"), page);
    }
    let mirror = image(dialled(15.0, 10.0, 40.0));
    let pages = [
        "41.30", "22.61", "20.32", "0.00", "130.21", "129.83", "128.23", "134.72",
    ];
    let each = SIGNS.into_iter().zip(numbers(&theirs["mirrored"]));
    for (([spread, twist, curl], theirs), page) in each.zip(pages) {
        let place = dialled(15.0 * spread, 10.0 * twist, 40.0 * curl);
        let ours = (place - mirror).norm();
        println!("signs {spread} {twist} {curl}: page {page}, ours {ours}, SciPy {theirs}");
        assert!((ours - theirs).abs() < 1e-12);
        assert_eq!(format!("{ours:.2}"), page);
    }
    halved(mirror);
    for (name, measured, ranges) in [
        (
            "wrist",
            Order::Zyx,
            [(-80.0, 80.0), (-30.0, 20.0), (-80.0, 70.0)],
        ),
        (
            "knuckle",
            Order::Yxz,
            [(-5.0, 5.0), (-20.0, 20.0), (-90.0, 45.0)],
        ),
    ] {
        let ours = locks(measured, ranges);
        let theirs = numbers(&theirs[name]);
        println!("{name}: ours {ours:.3?}, SciPy's least {theirs:.3?}");
        for (ours, theirs) in ours.into_iter().zip(theirs) {
            assert!((ours - theirs).abs() < 1e-5, "{name}: {ours}, {theirs}");
        }
    }
    felt(&theirs["felt"]);
}

/// With a half turn H about the curl's axis on either side of the knuckle, no sign is changed:
/// S·R·S = H·R·H.
fn halved(mirror: Vec3) {
    let half = Order::Xyz.compose([0.0, 0.0, PI]);
    let turns = Order::Yxz.compose([-10.0f64, -15.0, -40.0].map(f64::to_radians));
    let middle = Order::Xyz.compose([0.0, 0.0, -40f64.to_radians()]);
    let bone = Vec3::x() * BONE;
    let tip = half * turns * half * (bone + middle * bone);
    assert!((tip - mirror).norm() < 1e-12);
}

/// Twist, flexion and deviation after a turn of 10° about the upright, to the little finger's side, in
/// two orders.
fn felt(theirs: &serde_json::Value) {
    let flexed = Order::Xyz.compose([0.0, 0.0, -80f64.to_radians()]);
    let turned = Order::Xyz.compose([0.0, -10f64.to_radians(), 0.0]) * flexed;
    let pages = [["44.6", "75.9", "45.4"], ["9.9", "80.1", "1.7"]];
    for (index, order) in [Order::Xzy, Order::Zyx].into_iter().enumerate() {
        let [x, y, z] = order.decompose(&turned).map(f64::to_degrees);
        let dials = [x, -z, -y];
        let theirs = numbers(&theirs[index]);
        println!(
            "{order:?}: ours {dials:.2?}, SciPy {theirs:.2?}, page {:?}",
            pages[index]
        );
        for ((ours, theirs), page) in dials.into_iter().zip(theirs).zip(pages[index]) {
            assert!((ours - theirs).abs() < 1e-9);
            assert_eq!(format!("{:.1}", ours), page);
        }
    }
}
