//! Gauges of what is planted, against closed forms worked out by hand.
// std's own functions here: a check should not share the code it checks.
#![allow(clippy::disallowed_methods)]
use hand::gauge::{contact, contacts};
use hand::{Arm, Hand, Planting, Recipe, document as build};
use hand::{Gauge, read};
use rig::{Document, Posed, Reading, validate};

/// A foot that a dial each turns about x, y and z, planted on a bench that a dial tilts; three
/// more feet that stay, 40 mm apart.
fn stool(form: &str) -> Document {
    let text = format!(
        r#"{{"format": "handstand/1", "name": "stool", "nodes": [
            {{"name": "top", "kind": "mount", "translation": [0, 0, 0], "surface": {form}}},
            {{"name": "foot", "kind": "joint", "parent": "top", "translation": [0, 5, 0],
              "width": 10, "order": "XZY"}},
            {{"name": "second", "kind": "joint", "parent": "top", "translation": [40, 5, 0], "width": 10}},
            {{"name": "third", "kind": "joint", "parent": "top", "translation": [0, 5, 40], "width": 12}},
            {{"name": "fourth", "kind": "joint", "parent": "top", "translation": [40, 4, 40], "width": 10}},
            {{"name": "load", "kind": "joint", "translation": [10, 90, 20], "width": 20}}],
          "dials": [
            {{"name": "swing", "unit": "deg", "neutral": 0, "min": -180, "max": 180, "value": 0,
              "drives": [{{"node": "foot", "channel": "turn_x", "gain": 1}}]}},
            {{"name": "spin", "unit": "deg", "neutral": 0, "min": -180, "max": 180, "value": 0,
              "drives": [{{"node": "foot", "channel": "turn_y", "gain": 1}}]}},
            {{"name": "tilt", "unit": "deg", "neutral": 0, "min": -90, "max": 90, "value": 0,
              "drives": [{{"node": "top", "channel": "turn_z", "gain": 1}}]}},
            {{"name": "over", "unit": "mm", "neutral": 0, "min": -90, "max": 90, "value": 0,
              "drives": [{{"node": "load", "channel": "move_x", "gain": 1}}]}}],
          "plants": [
            {{"node": "foot", "at": [0, 5, 0], "surface": "top"}},
            {{"node": "second", "at": [40, 5, 0], "surface": "top"}},
            {{"node": "third", "at": [0, 5, 40], "surface": "top"}},
            {{"node": "fourth", "at": [40, 5, 40], "surface": "top"}}]}}"#
    );
    read(&text).unwrap()
}

fn set(posed: &mut Posed, dials: &[(&str, f64)]) {
    let document = posed.document().clone();
    for (name, value) in dials {
        posed.set_dial(document.dial_named(name).unwrap().id, *value);
    }
    posed.evaluate();
}

fn told(posed: &Posed, gauge: &str) -> Reading {
    let gauge: Gauge = serde_json::from_str(gauge).unwrap();
    assert!(!gauge.label().is_empty());
    gauge.read(posed).unwrap()
}

fn close(posed: &Posed, gauge: &str, value: f64) {
    let reading = told(posed, gauge);
    assert!(
        (reading.value - value).abs() < 1e-9,
        "{gauge}: {reading:?}, not {value}"
    );
}

const FOOT: [&str; 3] = [
    r#"{"gauge": "pad-roll", "node": "foot"}"#,
    r#"{"gauge": "pad-spin", "node": "foot"}"#,
    r#"{"gauge": "pad-drift", "node": "foot"}"#,
];

/// A turn made of a swing across the normal and a twist about it is told as both, wherever the
/// surface itself goes.
#[test]
fn rolling_is_told_apart_from_spinning() {
    for form in [r#""plane""#, r#"{"rail": {"radius": 30}}"#] {
        let document = stool(form);
        let mut posed = Posed::new(&document).unwrap();
        for (swing, spin, tilt) in [
            (0.0, 0.0, 0.0),
            (30.0, 0.0, 0.0),
            (0.0, -50.0, 0.0),
            (-20.0, 35.0, 0.0),
            (90.0, 170.0, 25.0),
            (12.5, -179.0, -80.0),
        ] {
            set(
                &mut posed,
                &[("swing", swing), ("spin", spin), ("tilt", tilt)],
            );
            let [across, about, drift] = FOOT;
            close(&posed, across, f64::abs(swing));
            close(&posed, about, spin);
            close(&posed, drift, 5.0 * f64::abs(swing).to_radians());
            close(&posed, r#"{"gauge": "slip", "node": "foot"}"#, 0.0);
        }
    }
}

#[test]
fn flesh_is_measured_from_its_surface() {
    let document = stool(r#""plane""#);
    let mut posed = Posed::new(&document).unwrap();
    for tilt in [0.0, 40.0] {
        set(&mut posed, &[("tilt", tilt)]);
        for (node, clear) in [("foot", 0.0), ("third", -1.0), ("fourth", -1.0)] {
            close(
                &posed,
                &format!(r#"{{"gauge": "clearance", "nodes": ["{node}"]}}"#),
                clear,
            );
            close(
                &posed,
                &format!(r#"{{"gauge": "flesh-depth", "node": "{node}"}}"#),
                -clear,
            );
        }
        close(
            &posed,
            r#"{"gauge": "clearance", "nodes": ["foot", "third"]}"#,
            -1.0,
        );
    }
    set(&mut posed, &[("tilt", 0.0)]);
    close(&posed, r#"{"gauge": "clearance", "nodes": ["load"]}"#, 80.0);
    close(&posed, r#"{"gauge": "flesh-depth", "node": "load"}"#, 0.0);
    // On a rail of radius 30 whose top is at 0: hypot(40, 35) − 30 − 5 from its side.
    let rail = stool(r#"{"rail": {"radius": 30}}"#);
    let posed = Posed::new(&rail).unwrap();
    let clear = 40f64.hypot(35.0) - 35.0;
    close(
        &posed,
        r#"{"gauge": "clearance", "nodes": ["second"]}"#,
        clear,
    );
}

/// The feet span a square of 40 mm; the load starts 10 mm inside its near side.
#[test]
fn a_load_outside_the_feet_tips() {
    let document = stool(r#""plane""#);
    let mut posed = Posed::new(&document).unwrap();
    let gauge = r#"{"gauge": "support-margin", "node": "load"}"#;
    for (over, margin) in [
        (0.0, 10.0),
        (10.0, 20.0),
        (-10.0, 0.0),
        (-25.0, -15.0),
        (35.0, -5.0),
    ] {
        set(&mut posed, &[("over", over)]);
        close(&posed, gauge, margin);
    }
    // Tilted by 60° the feet are half as far apart seen from above.
    set(&mut posed, &[("over", 0.0), ("tilt", 60.0)]);
    close(&posed, gauge, 10.0);
    let mut few = document.clone();
    few.plants.truncate(2);
    close(&Posed::new(&few).unwrap(), gauge, -20.0);
    few.plants.truncate(1);
    close(&Posed::new(&few).unwrap(), gauge, -(10f64.hypot(20.0)));
    few.plants.clear();
    let posed = Posed::new(&few).unwrap();
    let gauge: Gauge = serde_json::from_str(gauge).unwrap();
    assert!(
        gauge
            .read(&posed)
            .unwrap_err()
            .contains("nothing is planted")
    );
}

#[test]
fn elevation_and_turn_by_hand() {
    let document = stool(r#""plane""#);
    let mut posed = Posed::new(&document).unwrap();
    set(
        &mut posed,
        &[("tilt", 30.0), ("swing", -12.0), ("spin", 7.0)],
    );
    close(
        &posed,
        r#"{"gauge": "elevation", "from": "foot", "to": "second"}"#,
        30.0,
    );
    close(
        &posed,
        r#"{"gauge": "elevation", "from": "second", "to": "foot"}"#,
        -30.0,
    );
    for (axis, turn) in [("x", -12.0), ("y", 7.0), ("z", 0.0)] {
        close(
            &posed,
            &format!(r#"{{"gauge": "turn", "node": "foot", "axis": "{axis}"}}"#),
            turn,
        );
    }
}

fn bench(arm: bool) -> (Document, Posed) {
    let hand = Hand {
        arm: arm.then(Arm::default),
        ..Hand::table()
    };
    let planting = Some(Planting::default());
    let document = build(&Recipe { hand, planting }).unwrap();
    let posed = validate::document(&document).expect("sound");
    (document, posed)
}

/// Planted with a flexion of f the middle joint is f above its lower limit of 0, which load does
/// not push back, and the last one 2/3·f (the coupling) and what load bows it back by: 15° in a stiff
/// hand, 25° in a loose one (`recipe::bones::loaded`).
#[test]
fn limit_margins_of_a_planted_finger() {
    for suppleness in [0.0, Hand::table().suppleness, 1.0] {
        margins_of_planted_fingers(suppleness);
    }
}

fn margins_of_planted_fingers(suppleness: f64) {
    let hand = Hand {
        suppleness,
        ..Hand::table()
    };
    let planting = Some(Planting::default());
    let posed = Posed::new(&build(&Recipe { hand, planting }).unwrap()).unwrap();
    let flexion = Planting::default().flexion;
    let last = flexion * 2.0 / 3.0 + 15.0 + 10.0 * suppleness;
    for finger in [
        "index-finger",
        "middle-finger",
        "ring-finger",
        "pinky-finger",
    ] {
        let gauge =
            |joint: &str| format!(r#"{{"gauge": "joint-margin", "node": "{finger}-{joint}"}}"#);
        close_to(&posed, &gauge("phalanx-intermediate"), flexion);
        close_to(&posed, &gauge("phalanx-distal"), last);
        let past = format!(r#"{{"gauge": "past-range", "node": "{finger}-phalanx-distal"}}"#);
        close(&posed, &past, 0.0);
        let whole = format!(r#"{{"gauge": "limit-margin", "anchor": "{finger}"}}"#);
        let whole = told(&posed, &whole).value;
        assert!(whole > 0.0 && whole <= flexion.min(last) + 1e-6);
    }
}

fn close_to(posed: &Posed, gauge: &str, value: f64) {
    let reading = told(posed, gauge);
    assert!(
        (reading.value - value).abs() < 1e-6,
        "{gauge}: {reading:?}, not {value}"
    );
}

/// With an arm: the wrist takes up what the forearm's elevation and the hand's own differ by, and
/// may be told to bend past its range, and what load adds to that: then its margin is negative by
/// as much.
#[test]
fn the_wrist_extends_against_the_forearm() {
    let (document, mut posed) = bench(true);
    set(&mut posed, &[]);
    let extension =
        |posed: &Posed| -told(posed, r#"{"gauge": "turn", "node": "wrist", "axis": "z"}"#).value;
    let rest = extension(&posed);
    assert!(
        rest > 10.0,
        "a hand flat on a bench is bent back at the wrist: {rest}"
    );
    // Lifting brings the hand in line with the forearm.
    set(&mut posed, &[("lift", 25.0)]);
    assert!(extension(&posed) < rest - 10.0);
    // A stiffer wrist is told to go past its limit, and says by how much.
    let mut stiff = document.clone();
    let mut nodes = stiff.nodes.iter_mut();
    let wrist = nodes.find(|node| node.name == "wrist").unwrap();
    wrist.limits[2] = Some((-10.0, 60.0));
    wrist.loaded[2] = None;
    let posed = Posed::new(&stiff).unwrap();
    assert!(
        (extension(&posed) - rest).abs() < 1e-9,
        "it does what it is told"
    );
    let margin = told(&posed, r#"{"gauge": "joint-margin", "node": "wrist"}"#);
    assert!((margin.value - (10.0 - rest)).abs() < 1e-9, "{margin:?}");
    let whole = told(&posed, r#"{"gauge": "limit-margin", "anchor": "wrist"}"#);
    assert_eq!(whole, margin);
}

/// Past what muscles do there is room still under load, and both are told.
#[test]
fn load_bends_a_joint_past_its_own_range() {
    let (document, posed) = bench(true);
    let turn = told(&posed, r#"{"gauge": "turn", "node": "wrist", "axis": "z"}"#).value;
    assert!(turn < -10.0, "it is bent back: {turn}");
    let mut supple = document.clone();
    let mut nodes = supple.nodes.iter_mut();
    let wrist = nodes.find(|node| node.name == "wrist").unwrap();
    // The other turns have their say elsewhere.
    (wrist.limits, wrist.loaded) = ([None; 6], [None; 3]);
    wrist.limits[2] = Some((-10.0, 60.0));
    wrist.loaded[2] = Some((-90.0, 70.0));
    let posed = Posed::new(&supple).unwrap();
    close_to(
        &posed,
        r#"{"gauge": "turn", "node": "wrist", "axis": "z"}"#,
        turn,
    );
    let margin = r#"{"gauge": "joint-margin", "node": "wrist"}"#;
    close_to(&posed, margin, turn + 90.0);
    let past = r#"{"gauge": "past-range", "node": "wrist"}"#;
    close_to(&posed, past, -10.0 - turn);
    // Within its own range nothing is past it.
    let (_, mut plain) = bench(true);
    set(&mut plain, &[("lift", 3.0)]);
    close_to(&plain, past, 0.0);
}

#[test]
fn contacts_tell_what_single_gauges_tell() {
    let (document, mut posed) = bench(true);
    set(&mut posed, &[("lift", 30.0), ("lean", 4.0), ("twist", 2.0)]);
    let all = contacts(&posed);
    assert_eq!(all.len(), document.plants.len());
    for (told, plant) in all.iter().zip(&document.plants) {
        assert_eq!(contact(&posed, plant.node).as_ref(), Some(told));
        let name = &document.node(plant.node).unwrap().name;
        for (gauge, value) in [
            ("pad-roll", told.roll.across),
            ("pad-spin", told.roll.about),
            ("pad-drift", told.roll.drift),
            ("slip", told.slip),
        ] {
            let gauge = format!(r#"{{"gauge": "{gauge}", "node": "{name}"}}"#);
            close(&posed, &gauge, value);
        }
        assert_eq!(told.hold, 1.0);
        // Its flesh is that of the last bone; a pad that holds is not in the air.
        let clear = told.clearance.unwrap();
        assert!(clear < 0.5, "{told:?}");
        close(
            &posed,
            &format!(r#"{{"gauge": "clearance", "nodes": ["{name}"]}}"#),
            clear,
        );
        // A finger whose knuckle stays near while the palm lifts rolls little; none spins more
        // than the palm twists by much.
        assert!(
            told.roll.across < 30.0 && told.roll.about.abs() < 10.0,
            "{told:?}"
        );
        assert!(told.reach.unwrap() > 0.0 && told.room.unwrap().margin > 0.0);
    }
}

#[test]
fn what_cannot_be_measured_is_told() {
    let (_, posed) = bench(false);
    let chain = read(include_str!(
        "../../../examples/bench-press-chain.hand.json"
    ))
    .unwrap();
    let chained = Posed::new(&chain).unwrap();
    for (posed, gauge, part) in [
        (
            &posed,
            r#"{"gauge": "pad-roll", "node": "nib"}"#,
            "no node named 'nib'",
        ),
        (
            &posed,
            r#"{"gauge": "pad-spin", "node": "wrist"}"#,
            "not planted",
        ),
        (
            &posed,
            r#"{"gauge": "pad-drift", "node": "wrist"}"#,
            "not planted",
        ),
        (
            &posed,
            r#"{"gauge": "flesh-depth", "node": "nib"}"#,
            "'nib'",
        ),
        (
            &posed,
            r#"{"gauge": "clearance", "nodes": []}"#,
            "no node is named",
        ),
        (
            &posed,
            r#"{"gauge": "limit-margin", "anchor": "nib"}"#,
            "'nib'",
        ),
        (
            &posed,
            r#"{"gauge": "joint-margin", "node": "knuckles"}"#,
            "has no limit",
        ),
        (
            &posed,
            r#"{"gauge": "elevation", "from": "wrist", "to": "nib"}"#,
            "'nib'",
        ),
        (
            &posed,
            r#"{"gauge": "support-margin", "node": "nib"}"#,
            "'nib'",
        ),
        (
            &chained,
            r#"{"gauge": "limit-margin", "anchor": "palm"}"#,
            "has a limit",
        ),
    ] {
        let gauge: Gauge = serde_json::from_str(gauge).unwrap();
        let told = gauge.read(posed).unwrap_err();
        assert!(told.contains(part), "{told}");
    }
}
