//! Pictures of every kind of figure, in every look and view.
use crate::api::*;
use crate::common::{everything, hand, posed_at};
use crate::{kept, lines};
use serde_json::json;
use std::path::Path;

const ABOVE: Sight = Sight::Oblique {
    yaw: -0.6,
    pitch: 0.4,
};
const BEHIND: Sight = Sight::Oblique {
    yaw: 2.4,
    pitch: 0.5,
};
const BELOW: Sight = Sight::Oblique {
    yaw: 0.3,
    pitch: -1.2,
};

/// One test for each picture. Chains are kept whole, hands by their shapes' digest.
macro_rules! pictures {
    ($($name:ident: $lines:path, $svg:expr;)*) => {
        $(#[test] fn $name() {
            let svg: String = $svg;
            let name = stringify!($name);
            leave(name, &svg);
            kept(name, &$lines(&svg));
        })*
        const NAMES: &[&str] = &[$(stringify!($name)),*];
    };
}

pictures! {
    // Chains, at rest and turned.
    carry: lines::elements, lesson("01-carry", 0, &[("wrist turn", 30.0)], Sight::Side, Look::Paper);
    carry_drawn: lines::elements, with_pencil();
    anchor: lines::elements, lesson("02-anchor", 1, &[("wrist up", 12.0)], Sight::Side, Look::Slate);
    anchor_together: lines::elements,
        lesson("03-anchor-together", 0, &[("carrier turn", 25.0)], ABOVE, Look::Paper);
    pivot_above: lines::elements, lesson("04-pivot-above", 0, &[("lift", 34.0)], Sight::Side, Look::Paper);
    side_lean: lines::elements, lesson("05-side-lean", 1, &[("lean", -20.0)], Sight::Front, Look::Slate);
    chain_at_rest: lines::elements,
        plain(&example("bench-press-chain"), &[], Sight::Side, Look::Paper);
    chain_oblique: lines::elements,
        plain(&example("bench-press-chain"), &[("lift", 60.0)], BEHIND, Look::Slate);
    everything_on_paper: lines::elements, all_parts(Sight::Side, Look::Paper, 1.0);
    everything_projected: lines::elements, all_parts(ABOVE, Look::Slate, 1.6);
    nothing: lines::elements,
        plain(r#"{"format": "handstand/1", "name": "empty bench", "nodes": []}"#, &[], Sight::Side, Look::Paper);
    // Hands.
    bench_press: lines::digest, plain(&scenario("bench-press"), &[], Sight::Side, Look::Paper);
    bench_press_top: lines::digest, plain(&scenario("bench-press"), &[], Sight::Top, Look::Slate);
    bench_press_lifted: lines::digest, lifted();
    bench_press_below: lines::digest,
        plain(&scenario("bench-press"), &[("roll", 20.0), ("collapse", 60.0)], BELOW, Look::Paper);
    dough_roll: lines::digest, plain(&example("dough-roll"), &[], Sight::Side, Look::Paper);
    dough_rolled: lines::digest,
        plain(&example("dough-roll"), &[("roll", 45.0), ("twist", 10.0)], ABOVE, Look::Slate);
    fingertips: lines::digest,
        plain(&example("fingertip-press"), &[("lean", 6.0)], Sight::Front, Look::Paper);
    fist: lines::digest, plain(&example("fist-knead"), &[("lift", 12.0)], BEHIND, Look::Paper);
    rail: lines::digest,
        plain(&example("rail-lean"), &[("lean", -8.0), ("surface tilt", 10.0)], ABOVE, Look::Slate);
    edge: lines::digest,
        plain(&recipe(json!({}), Some(json!({"stance": "edge"}))), &[("lean", 10.0)], Sight::Front, Look::Paper);
    left: lines::digest,
        plain(&recipe(json!({"side": "left"}), Some(json!({"heel": true}))), &[("lift", 15.0)], ABOVE, Look::Paper);
    left_on_an_edge: lines::digest, plain(&cornered(), &[("lift", 5.0)], BEHIND, Look::Slate);
    free_hand: lines::digest,
        plain(&recipe(json!({}), None), &[("rest flexion", 20.0), ("curl", 30.0)], Sight::Top, Look::Paper);
    measured_hand: lines::digest, measured();
    lesson_hand: lines::digest, lesson("08-whole-hand", 0, &[("lift", 10.0)], Sight::Top, Look::Paper);
    // Contact maps.
    map: lines::digest, contact_map(&posed(&scenario("bench-press"), &[]), false, Look::Paper);
    map_sheet: lines::digest, contact_map(&posed(&scenario("fingertip-press"), &[]), true, Look::Slate);
}

fn plain(text: &str, dials: &[(&str, f64)], sight: Sight, look: Look) -> String {
    figure(&posed(text, dials), sight, &Scene::default(), look)
}

fn example(name: &str) -> String {
    file(&format!("examples/{name}.hand.json"))
}

/// A lesson's figure (0 its opening one, then those of its steps), one dial being turned.
fn lesson(name: &str, at: usize, dials: &[(&str, f64)], sight: Sight, look: Look) -> String {
    let (_, text) = figures(&format!("{name}.lesson.json")).swap_remove(at);
    let (rest, now) = (posed(&text, &[]), posed(&text, dials));
    let mut scene = turning(&now, dials[0].0);
    scene.ghost = Some(&rest);
    figure(&now, sight, &scene, look)
}

/// A prediction drawn on the opening figure, a mark to hit and the paths to come and taken.
fn with_pencil() -> String {
    let (_, text) = figures("01-carry.lesson.json").swap_remove(0);
    let now = posed(&text, &[("wrist turn", 20.0)]);
    let path = |scale: f64| -> Vec<Vec3> {
        (0..=8)
            .map(|i| {
                Vec3::new(
                    60.0 - scale * f64::from(i * i),
                    20.0 + 8.0 * f64::from(i),
                    0.0,
                )
            })
            .collect()
    };
    let scene = Scene {
        reachable: vec![path(0.4)],
        trail: path(0.5)[..4].to_vec(),
        marks: vec![("the dough's rim".to_owned(), Vec3::new(40.0, 70.0, 0.0))],
        pencil_strokes: vec![path(0.7)],
        pencil_pins: vec![Vec3::new(30.0, 60.0, 0.0)],
        pencil_paint: vec![
            (Vec3::new(10.0, 50.0, 0.0), 9.0),
            (Vec3::new(18.0, 52.0, 0.0), 9.0),
        ],
        truth_strokes: vec![path(0.6)],
        truth_pins: vec![Vec3::new(34.0, 66.0, 0.0)],
        ..turning(&now, "wrist turn")
    };
    figure(&now, Sight::Side, &scene, Look::Paper)
}

fn all_parts(sight: Sight, look: Look, weight: f64) -> String {
    let (document, lift) = hand();
    let (rest, now) = (
        posed_at(&document, lift, 0.0),
        posed_at(&document, lift, 34.0),
    );
    let mut scene = everything(&document, lift, &now, &rest);
    scene.weight = weight;
    figure(&now, sight, &scene, look)
}

/// A hand in mid-drag: ghost, roles, handles, slip bubbles, lever.
fn lifted() -> String {
    let text = scenario("bench-press");
    let (rest, now) = (posed(&text, &[]), posed(&text, &[("lift", 30.0)]));
    let (wrist, tip) = (at(&now, "wrist"), at(&now, "index-finger-tip"));
    let mut scene = Scene {
        ghost: Some(&rest),
        lever: Some((tip, wrist + Vec3::new(0.0, 30.0, 0.0))),
        trail: vec![at(&rest, "wrist"), wrist],
        bubbles: vec![
            Bubble {
                at: tip,
                name: "tip".to_owned(),
                text: "0.31 mm".to_owned(),
                good: true,
            },
            Bubble {
                at: at(&now, "pinky-finger-tip"),
                name: "little".to_owned(),
                text: "2.40 mm".to_owned(),
                good: false,
            },
        ],
        ..turning(&now, "lift")
    };
    labelled(&mut scene, &now, "wrist", "wrist (drag me)");
    figure(&now, Sight::Side, &scene, Look::Slate)
}

/// A hand with axes, a length and an angle measured on it.
fn measured() -> String {
    let now = posed(&scenario("bench-press"), &[]);
    let knuckle = |digit: &str| at(&now, &format!("{digit}-phalanx-proximal"));
    let (index, little) = (knuckle("index-finger"), knuckle("pinky-finger"));
    let axis = |kind, label: &str, drop: f64| AxisLine {
        from: index - Vec3::new(0.0, drop, 0.0),
        to: little - Vec3::new(0.0, drop, 0.0),
        label: label.to_owned(),
        kind,
        off: vec![(knuckle("middle-finger"), "1.9 mm".to_owned())],
    };
    let scene = Scene {
        axes: vec![
            axis(AxisKind::Fitted, "fitted axis", 0.0),
            axis(AxisKind::Safest, "safest axis", 4.0),
        ],
        dimensions: vec![(at(&now, "wrist"), index, "95 mm".to_owned())],
        arcs: vec![(at(&now, "wrist"), index, little, "36°".to_owned())],
        ..Scene::default()
    };
    figure(&now, ABOVE, &scene, Look::Paper)
}

/// A left hand with an arm, three digits over the rounded edge of a tilted, lowered bench.
fn cornered() -> String {
    recipe(
        json!({"side": "left", "arm": {}}),
        Some(json!({
            "digits": ["index-finger", "middle-finger", "ring-finger"],
            "surface": {"form": "edge", "radius": 20, "height": -5, "tilt": 4},
        })),
    )
}

/// Leaves the picture itself where a person can open it.
fn leave(name: &str, svg: &str) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("golden");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(format!("{name}.svg")), svg).unwrap();
}

/// A picture that no test makes any more would be kept, and believed, for ever.
#[test]
fn nothing_is_kept_without_a_test() {
    for kept in files("crates/figure/tests/golden/snapshots", "") {
        let name = kept.trim_end_matches(".snap");
        let made = name == "numbers" || NAMES.contains(&name);
        assert!(
            made,
            "delete tests/golden/snapshots/{kept}: no test makes it"
        );
    }
}
