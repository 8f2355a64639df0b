//! Links: what the dials make of a channel, passed on to others.
use rig::*;

/// Two wheels turned by dials and a slide that is not: a link takes off the first wheel what is
/// past −55 and gives it to the second and to the slide; another lets the slide follow.
const LINKED: &str = r#"{"format": "handstand/2", "nodes": [
    {"name": "first", "kind": "mount", "translation": [0, 0, 0]},
    {"name": "second", "kind": "mount", "translation": [0, 0, 0]},
    {"name": "slide", "kind": "mount", "translation": [0, 0, 0]}],
  "dials": [
    {"name": "one", "unit": "deg", "min": -90, "max": 90, "drives": [{"node": "first", "channel": "turn_z", "gain": -1}]},
    {"name": "two", "unit": "deg", "min": -90, "max": 90, "drives": [{"node": "first", "channel": "turn_z", "gain": -1}]},
    {"name": "own", "unit": "deg", "min": -90, "max": 90, "drives": [{"node": "second", "channel": "turn_z"}]}],
  "links": [
    {"node": "first", "channel": "turn_z", "past": -55, "softness": 4, "to": [
      {"node": "second", "channel": "turn_z"}, {"node": "slide", "channel": "move_x", "gain": -0.5}]},
    {"node": "second", "channel": "turn_z", "from": 10, "to": [{"node": "slide", "channel": "move_y", "gain": 2}]}]}"#;

fn set(posed: &mut Posed, values: [f64; 3]) {
    for (name, value) in ["one", "two", "own"].into_iter().zip(values) {
        let dial = posed.rig().dial_named(name).unwrap().id;
        posed.set_dial(dial, value);
    }
    posed.evaluate();
}

/// Degrees of the first and the second wheel, mm of the slide.
fn read_off(posed: &Posed) -> [f64; 4] {
    let id = |name: &str| posed.rig().node_named(name).unwrap().id;
    let turn = |name: &str| posed.turns(id(name))[2];
    let slide = posed.point(id("slide"));
    [turn("first"), turn("second"), slide.x, slide.y]
}

fn near(found: [f64; 4], expected: [f64; 4]) {
    for (a, b) in found.iter().zip(expected) {
        assert!((a - b).abs() < 1e-9, "{found:?}, not {expected:?}");
    }
}

/// By hand: 30 + 20 is not past 55; 30 + 40 is by 15, less half the softness; one degree into
/// the changeover 1²/8. What the second wheel gets is not passed on, its own 25 is from 10 on.
#[test]
fn what_is_past_is_taken_off_and_given() {
    let mut posed = Posed::new(&read(LINKED).unwrap()).unwrap();
    near(read_off(&posed), [0.0, 0.0, 0.0, -20.0]);
    set(&mut posed, [30.0, 20.0, 25.0]);
    near(read_off(&posed), [-50.0, 25.0, 0.0, 30.0]);
    set(&mut posed, [30.0, 40.0, 25.0]);
    near(read_off(&posed), [-57.0, 12.0, 6.5, 30.0]);
    set(&mut posed, [26.0, 30.0, 0.0]);
    near(read_off(&posed), [-55.875, -0.125, 0.0625, -20.0]);
    // The way there makes no difference, to the bit.
    let mut straight = Posed::new(&read(LINKED).unwrap()).unwrap();
    set(&mut straight, [26.0, 30.0, 0.0]);
    assert_eq!(read_off(&straight), read_off(&posed));
    assert_eq!(posed.linked(0), (-0.125, -55.875));
}

#[test]
fn a_file_keeps_them() {
    let document = read(LINKED).unwrap();
    assert_eq!(document.links.len(), 2);
    let again = read(&write(&document)).unwrap();
    assert_eq!(again, document);
    assert_eq!(write(&again), write(&document));
}

#[test]
fn what_is_none_is_refused() {
    for (from, to, told) in [
        ("\"past\": -55", "\"past\": 0", "has no side"),
        (
            "\"past\": -55",
            "\"from\": 3, \"past\": -55",
            "give it one of",
        ),
        ("\"past\": -55, ", "", "give it one of"),
        ("\"softness\": 4", "\"softness\": -4", "softness"),
        ("\"gain\": 2", "\"gain\": 1e300", "gain"),
        (
            "\"slide\", \"channel\": \"move_y\"",
            "\"sledge\", \"channel\": \"move_y\"",
            "'sledge'",
        ),
    ] {
        assert!(LINKED.contains(from));
        let fault = read(&LINKED.replace(from, to)).unwrap_err();
        assert!(fault.place.starts_with("links["), "{fault}");
        assert!(fault.to_string().contains(told), "{fault}");
    }
}

/// A link goes with whose channel it passes on, and with the last that gets anything.
#[test]
fn deleting_a_node_takes_its_links() {
    let left = |name: &str| {
        let mut document = read(LINKED).unwrap();
        let node = document.node_named(name).unwrap().id;
        edit::apply(&mut document, &Edit::Delete { node }).unwrap();
        validate::document(&document).unwrap();
        let links = document.links.iter();
        links.map(|link| link.to.len()).collect::<Vec<_>>()
    };
    assert_eq!(left("first"), [1]);
    assert_eq!(left("second"), [1]);
    assert_eq!(left("slide"), [1]);
}
