//! Where a digit touches, and how far it slips, from outside: the outline is sampled and its
//! lowest point looked for.
use proptest::prelude::*;
use rig::{Document, Posed, RADIANS, Vec3, read};
use serde_json::json;

const RADIUS: f64 = 7.2;
const PAD: f64 = 45.0;
const CHANGEOVER: f64 = 5.0;

/// A finger over a tilted bench, let go, its last bone's turns given, degrees.
fn finger(tilt: f64, turns: [f64; 2], active: bool) -> Document {
    let joint = |name: &str, parent: Option<&str>, down: f64| {
        let aside = if parent.is_none() { [-60, 60] } else { [0, 0] };
        json!({"name": name, "kind": "joint", "parent": parent, "translation": [0, -down, 0], "width": 15,
            "order": "XZY", "limits": {"turn_x": aside, "turn_y": [0, 0], "turn_z": [-90, 120]}})
    };
    let dial = |name: &str, node: &str, channel: &str, value: f64| {
        json!({"name": name, "unit": "deg", "neutral": 0, "min": -180, "max": 180, "value": value,
            "drives": [{"node": node, "channel": channel, "gain": 1}]})
    };
    let mut knuckle = joint("knuckle", None, 0.0);
    knuckle["translation"] = json!([0, 60, 0]);
    let file = json!({
        "format": rig::file::FORMAT, "name": "finger",
        "nodes": [
            {"name": "bench", "kind": "mount", "surface": "plane", "translation": [0, 0, 0]},
            {"name": "target", "kind": "mount", "parent": "bench", "translation": [20, RADIUS, 5]},
            knuckle,
            joint("middle", Some("knuckle"), 40.0), joint("last", Some("middle"), 25.0),
            {"name": "tip", "kind": "mount", "parent": "last", "translation": [0.17, -15, 0]}
        ],
        "dials": [
            dial("tilt", "bench", "turn_x", tilt),
            dial("bend", "knuckle", "turn_z", turns[0]),
            dial("aside", "knuckle", "turn_x", turns[1])
        ],
        "anchors": [{"name": "finger", "base": "knuckle", "end": "tip", "target": "target", "active": active,
            "solver": {"finger": {"contact": {"radius": RADIUS, "pad": PAD, "changeover": CHANGEOVER,
                "joints": [7, 7], "pitch": 30, "tilt": 0, "heading": 0}}}}],
        "plants": [{"node": "tip", "surface": "bench", "at": [20, RADIUS, 5]}]
    });
    read(&file.to_string()).unwrap()
}

proptest! {
    /// No sphere of the swept outline comes lower than the foot, and one comes as low (the
    /// outline as CONTACT's 'Flesh of the distal segment' gives it, sampled).
    #[test]
    fn the_foot_is_the_lowest_point(tilt in -20.0..20.0, bend in -89.0..60.0, aside in -30.0..30.0) {
        let posed = Posed::new(&finger(tilt, [bend, aside], false)).unwrap();
        let (rig, at) = (posed.rig(), |name: &str| posed.rig().node_named(name).unwrap().id);
        let foot = posed.foot(rig.anchors[0].id).unwrap();
        let up = posed.world(at("target")).rotation * Vec3::y();
        let last = posed.world(at("last")).rotation;
        let outward = |pitch: f64| {
            let (s, c) = libm::sincos(pitch);
            last * Vec3::new(c, -s, 0.0)
        };
        let (seam, tip) = (CHANGEOVER * RADIANS, posed.point(at("tip")));
        let low = |pitch: f64| {
            let arc = if pitch < seam { outward(pitch) - outward(seam) } else { Vec3::zeros() };
            up.dot(&(tip + arc * (PAD - RADIUS))) - RADIUS
        };
        // The pad's arc ends at the last joint, some 15 mm from its changeover.
        let sampled = (-300..=1800).map(|i| low(f64::from(i) * 0.1 * RADIANS));
        let least = sampled.fold(f64::INFINITY, f64::min);
        // A tenth of a degree of an arc of 38 mm is 0.07 mm wide: less than 1e-4 mm high.
        prop_assert!((up.dot(&foot) - least).abs() < 1e-4, "{} {least}", up.dot(&foot));
        // It is on a sphere of the outline, straight under its centre.
        let core = foot + up * RADIUS;
        prop_assert!((core - tip).norm() < 2.0 * PAD);
        prop_assert!((core - tip).dot(&(last * Vec3::z())).abs() < 1e-9);
    }
}

#[test]
fn a_digits_slip_is_what_does_not_roll() {
    let posed = Posed::new(&finger(0.0, [10.0, 0.0], true)).unwrap();
    let (rig, tip) = (posed.rig(), posed.rig().node_named("tip").unwrap().id);
    let anchor = rig.anchors[0].id;
    assert_eq!(posed.slip(tip), Some(posed.outcome(anchor).residual));
    let planted = posed.planted_foot(anchor).unwrap();
    assert!((planted - Vec3::new(20.0, 0.0, 5.0)).norm() < 1e-12);
    // Without a contact it is measured as ever.
    let mut point = finger(0.0, [10.0, 0.0], false);
    let mut held = (*point.rig.anchors[0]).clone();
    let rig::Solver::Finger { contact, .. } = &mut held.solver else {
        panic!()
    };
    *contact = None;
    point.anchors[0] = held.into();
    let posed = Posed::new(&point).unwrap();
    let apart = (posed.point(tip) - Vec3::new(20.0, RADIUS, 5.0)).norm();
    assert!((posed.slip(tip).unwrap() - apart).abs() < 1e-12);
    assert_eq!(posed.foot(anchor), None);
}
