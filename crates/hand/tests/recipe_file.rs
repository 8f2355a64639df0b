//! Files that give a hand's recipe in place of its nodes.
use hand::read;
use rig::{Grip, Posed, Vec3, write};

fn built(more: &str) -> rig::Document {
    let text =
        format!(r#"{{"format": "handstand/1", "name": "x", "hand": {{"planting": {{}}}}{more}}}"#);
    read(&text).unwrap_or_else(|fault| panic!("{fault}"))
}

#[test]
fn a_recipe_alone_is_a_hand_and_is_written_whole() {
    let document = built("");
    assert_eq!(document.name, "x");
    assert!(document.node_named("pinky-finger-pad").is_some());
    let again = read(&write(&document)).unwrap();
    assert_eq!(again.hand, document.hand);
    assert_eq!(again.nodes.len(), document.nodes.len());
    // Written, it needs no building, and reads back to the same bytes.
    assert_eq!(write(&again), write(&document));
}

#[test]
fn dials_pivots_and_grips_are_set_on_it() {
    let plain = built("");
    let document = built(
        r#", "set": {"lift": 20}, "shift": {"knuckles": [-6, 2, 0]}, "grips": {"knuckles": "place"}"#,
    );
    assert_eq!(
        document
            .value(document.dial_named("lift").unwrap().id)
            .unwrap(),
        20.0
    );
    let rest = |document: &rig::Document, name: &str| {
        let mut posed = Posed::new(document).unwrap();
        posed.set_neutral();
        posed.evaluate();
        posed.point(document.node_named(name).unwrap().id)
    };
    let moved = rest(&document, "knuckles") - rest(&plain, "knuckles");
    assert!((moved - Vec3::new(-6.0, 2.0, 0.0)).norm() < 1e-9, "{moved}");
    // What the pivot carries is where the recipe has it.
    for name in ["wrist", "index-finger-tip"] {
        assert!((rest(&document, name) - rest(&plain, name)).norm() < 1e-9);
    }
    for node in &document.nodes {
        let expected = if node.name == "knuckles" {
            Grip::Place([0.0; 3])
        } else {
            Grip::None
        };
        assert_eq!(node.grip, expected, "{}", node.name);
    }
}

#[test]
fn what_does_not_fit_is_told() {
    let said = |more: &str| {
        let text = format!(r#"{{"format": "handstand/1"{more}}}"#);
        read(&text).expect_err("refused").to_string()
    };
    let hand = r#", "hand": {"planting": {}}"#;
    for (more, words) in [
        (String::new(), "it has no nodes"),
        (
            format!(r#"{hand}, "set": {{"hop": 1}}"#),
            "no dial named 'hop'",
        ),
        (
            format!(r#"{hand}, "set": {{"lift": 4000}}"#),
            "outside its limits",
        ),
        (
            format!(r#"{hand}, "shift": {{"hop": [0, 0, 0]}}"#),
            "no node named 'hop'",
        ),
        (
            format!(r#"{hand}, "grips": {{"wrist": ["hop"]}}"#),
            "no dial named 'hop'",
        ),
        (
            format!(r#"{hand}, "plants": [{{"node": "wrist", "at": [0, 0, 0]}}]"#),
            "list the nodes too",
        ),
        (
            r#", "hand": {"hand": {"length": {"mm": -3}}}"#.to_owned(),
            "its length is -3 mm",
        ),
        (
            r#", "hand": {"hand": {"length": {"mm": 80}, "breadth": {"mm": 90}}}"#.to_owned(),
            "greater than its length",
        ),
    ] {
        let text = said(&more);
        assert!(text.contains(words), "'{words}' is not in '{text}'");
    }
}
