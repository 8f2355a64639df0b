//! Roles and drags: who moves with whom, and where a pull ends, worked out by hand.
mod common;
use common::{at_lift, chain, id};
use rig::*;

fn role_names(document: &Document, roles: &[(NodeId, Role)]) -> Vec<(String, Role)> {
    roles
        .iter()
        .map(|(n, r)| (document.node(*n).unwrap().name.clone(), *r))
        .collect()
}

#[test]
fn roles_while_the_pivot_turns() {
    use Role::*;
    let mut document = chain();
    let lift = document.dials[0].id;
    let expected = |roles: [Role; 8]| -> Vec<(String, Role)> {
        document
            .nodes
            .iter()
            .map(|n| n.name.clone())
            .zip(roles)
            .collect()
    };
    let anchored = expected([
        Still, Mover, Carried, Anchored, Anchored, Anchored, Still, Still,
    ]);
    let loose = expected([
        Still, Mover, Carried, Carried, Carried, Carried, Still, Still,
    ]);
    let idle = expected([
        Still, Still, Still, Anchored, Anchored, Anchored, Still, Still,
    ]);
    assert_eq!(role_names(&document, &roles(&document, &[lift])), anchored);
    assert_eq!(role_names(&document, &roles(&document, &[])), idle);
    document.setting.active.fill(false);
    assert_eq!(role_names(&document, &roles(&document, &[lift])), loose);
}

#[test]
fn roles_while_a_carrier_moves_its_targets() {
    use Role::*;
    // Drag the tip's staple: the finger's chain is led by it, the palm's stays.
    let document = chain();
    let placed = role::roles_placing(&document, id(&document, "tip staple"));
    let of = |name: &str| {
        placed
            .iter()
            .find(|(n, _)| *n == id(&document, name))
            .unwrap()
            .1
    };
    assert_eq!(of("tip staple"), Mover);
    assert_eq!([of("finger"), of("tip"), of("knuckle")], [Carried; 3]);
    assert_eq!([of("wrist"), of("bench"), of("knuckle staple")], [Still; 3]);
    // Moving a pivot's place leaves its children where they are.
    let placed = role::roles_placing(&document, id(&document, "knuckle pivot"));
    let of = |name: &str| {
        placed
            .iter()
            .find(|(n, _)| *n == id(&document, name))
            .unwrap()
            .1
    };
    assert_eq!([of("knuckle pivot"), of("wrist")], [Mover, Still]);
}

#[test]
fn a_pull_finds_the_nearest_point() {
    let mut document = chain();
    let lift = document.dials[0].id;
    let wrist = id(&document, "wrist");
    for degrees in [70.0, 40.0, 1.0, -10.0f64] {
        let mut posed = at_lift(&mut document, 0.0);
        // The wrist runs on a circle of 90 mm about the knuckle; the pointer may be far off it.
        let turn = -degrees * std::f64::consts::PI / 180.0;
        let outwards = -Vec3::new(libm::cos(turn), libm::sin(turn), 0.0);
        for (far, off) in [(90.0, 0.0), (300.0, 25.0), (40.0, -9.0)] {
            let to = Vec3::new(90.0, 0.0, off) + outwards * far;
            let values = pull::pull(&mut posed, wrist, &[lift], to, Vec3::z());
            assert!(
                (values[0].1 - degrees).abs() < 1e-6,
                "{values:?}, not {degrees}"
            );
            assert_eq!(posed.dial(lift), values[0].1);
        }
    }
    // Past the limit it stops there.
    let mut posed = at_lift(&mut document, 0.0);
    let values = pull::pull(
        &mut posed,
        wrist,
        &[lift],
        Vec3::new(90.0, 200.0, 0.0),
        Vec3::z(),
    );
    assert_eq!(values, [(lift, 75.0)]);
    // And comes back.
    let values = pull::pull(
        &mut posed,
        wrist,
        &[lift],
        Vec3::new(0.0, 0.0, 0.0),
        Vec3::z(),
    );
    assert!(values[0].1.abs() < 1e-6);
    // Where its dial does nothing to it, nothing happens.
    let pivot = id(&document, "knuckle pivot");
    let values = pull::pull(
        &mut posed,
        pivot,
        &[lift],
        Vec3::new(5.0, 5.0, 0.0),
        Vec3::z(),
    );
    assert!(values[0].1.abs() < 1e-6);
}

#[test]
fn two_dials_pull_a_point_anywhere() {
    // A planar two-link arm reaches any point of its ring (closed form: any robotics text).
    let text = r#"{"format": "handstand/1", "nodes": [
        {"name": "a", "kind": "joint", "translation": [0, 0, 0]},
        {"name": "b", "kind": "joint", "parent": "a", "translation": [60, 0, 0]},
        {"name": "c", "kind": "joint", "parent": "b", "translation": [40, 0, 0], "grip": ["p", "q"]}],
        "dials": [{"name": "p", "unit": "deg", "min": -180, "max": 180, "value": 20, "drives": [{"node": "a", "channel": "turn_z"}]},
        {"name": "q", "unit": "deg", "min": 5, "max": 150, "value": 30, "neutral": 5, "drives": [{"node": "b", "channel": "turn_z"}]}]}"#;
    let document = read(text).unwrap();
    let dials = [document.dials[0].id, document.dials[1].id];
    let c = id(&document, "c");
    let mut posed = Posed::new(&document).unwrap();
    for (x, y) in [(70.0, 30.0), (20.0, 60.0), (-30.0, 50.0), (-50.0, 20.0)] {
        let to = Vec3::new(x, y, 0.0);
        pull::pull(&mut posed, c, &dials, to, Vec3::z());
        assert!(
            (posed.point(c) - to).norm() < 1e-6,
            "{to:?}: {:?}",
            posed.point(c)
        );
    }
    // Out of reach it stretches as far as the second dial lets it, pointing there.
    let values = pull::pull(&mut posed, c, &dials, Vec3::new(0.0, 500.0, 0.0), Vec3::z());
    assert!(
        (values[1].1 - 5.0).abs() < 1e-6 && values[1].1 >= 5.0,
        "{values:?}"
    );
    assert!(
        posed.point(c).x.abs() < 1e-6,
        "{values:?} {:?}",
        posed.point(c)
    );
}
