//! All that the golden tests use of our crates, so that a change of theirs is mended here alone.
pub use figure::{AxisKind, AxisLine, Bubble, Look, Scene, Sight};
pub use rig::{Posed, Vec3};

use figure::map::{map, sheet};
use figure::{View, draw, extent, svg};
use hand::survey::{Survey, Sweep, Tolerance};
use serde_json::{Value, json};
use std::path::PathBuf;

/// Of a figure, px.
const SIZE: (f64, f64) = (900.0, 600.0);
/// Of a contact map, px.
const MAP: (f64, f64) = (420.0, 360.0);

/// The text of a file, by its path in the workspace.
pub fn file(path: &str) -> String {
    let root = PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."));
    std::fs::read_to_string(root.join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// The files of a folder of the workspace whose names end so, by name.
pub fn files(folder: &str, end: &str) -> Vec<String> {
    let path = format!("{}/../../{folder}", env!("CARGO_MANIFEST_DIR"));
    let mut names: Vec<String> = std::fs::read_dir(path)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(end))
        .collect();
    names.sort();
    names
}

/// The file of a hand that no example shows, from its recipe's `hand` and `planting`.
pub fn recipe(hand: Value, planting: Option<Value>) -> String {
    let mut recipe = json!({ "hand": hand });
    if let Some(planting) = planting {
        recipe["planting"] = planting;
    }
    json!({ "format": "handstand/1", "name": "oven-peel", "hand": recipe }).to_string()
}

/// The file of a scenario's hand as it is built today.
pub fn scenario(name: &str) -> String {
    let recipe = hand::scenario(name).expect("a scenario of that name");
    rig::write(&hand::document(&recipe).expect("a scenario is sound"))
}

/// Names of the scenarios.
pub fn scenarios() -> [&'static str; 5] {
    hand::SCENARIOS
}

/// Documents of a lesson: its opening figure, then those of its steps, each with its place.
pub fn figures(name: &str) -> Vec<(String, String)> {
    let lesson: Value = serde_json::from_str(&file(&format!("lessons/{name}"))).unwrap();
    let opening = ("opening".to_owned(), &lesson["document"]);
    let steps = lesson["steps"].as_array().unwrap().iter().enumerate();
    let own = steps.filter_map(|(at, step)| Some((format!("step {at}"), step.get("document")?)));
    let all = std::iter::once(opening).chain(own);
    all.map(|(place, document)| (place, document.to_string()))
        .collect()
}

/// A document posed with some dials turned, from the document's file.
pub fn posed(text: &str, dials: &[(&str, f64)]) -> Posed {
    let mut whole = whole(text);
    for &(name, value) in dials {
        let all = whole["dials"].as_array_mut().expect("a document's dials");
        let dial = all.iter_mut().find(|dial| dial["name"] == name);
        dial.unwrap_or_else(|| panic!("no dial {name}"))["value"] = json!(value);
    }
    let document = hand::read(&whole.to_string()).unwrap_or_else(|fault| panic!("{fault}"));
    Posed::new(&document).unwrap()
}

/// Name, neutral value and limits of a document's dials.
pub fn dials(text: &str) -> Vec<(String, [f64; 3])> {
    let whole = whole(text);
    let all = whole["dials"].as_array().into_iter().flatten();
    all.map(|dial| {
        let number = |field: &str| dial[field].as_f64().expect("a number");
        let numbers = [number("neutral"), number("min"), number("max")];
        (dial["name"].as_str().unwrap().to_owned(), numbers)
    })
    .collect()
}

/// The file with everything written out, also where it gave a hand's recipe only.
fn whole(text: &str) -> Value {
    let document = hand::read(text).unwrap_or_else(|fault| panic!("{fault}"));
    serde_json::from_str(&rig::write(&document)).unwrap()
}

/// Where every node stands and how every anchor holds, as `handstand pose` prints it.
pub fn numbers(posed: &Posed) -> String {
    rig::report::pose_json(posed)
}

/// Where a node stands, by name.
pub fn at(posed: &Posed, name: &str) -> Vec3 {
    let node = posed.rig().node_named(name);
    posed.point(node.expect("a node of that name").id)
}

/// What moves, is carried and stays when a dial is turned, for a scene.
pub fn turning<'a>(posed: &Posed, dial: &str) -> Scene<'a> {
    let dial = posed
        .rig()
        .dial_named(dial)
        .expect("a dial of that name")
        .id;
    Scene {
        roles: rig::roles(posed.document(), &[dial]),
        ..Scene::default()
    }
}

/// A label beside a node, and the node highlighted, for a scene.
pub fn labelled(scene: &mut Scene, posed: &Posed, node: &str, text: &str) {
    let id = posed
        .rig()
        .node_named(node)
        .expect("a node of that name")
        .id;
    scene.labels.push((id, text.to_owned()));
    scene.highlight = Some(id);
}

/// The figure as SVG, in the view that fits it.
pub fn figure(posed: &Posed, sight: Sight, scene: &Scene, look: Look) -> String {
    let view = View::fit(sight, SIZE, &extent(posed), 60.0);
    let shapes = draw(posed, &view, scene);
    svg(&shapes, SIZE, look, &posed.rig().name)
}

/// Lift by lean as a contact map; `sheeted`, as the printed sheet.
pub fn contact_map(posed: &Posed, sheeted: bool, look: Look) -> String {
    let sweep = |name, from, to| Sweep {
        dial: posed.rig().dial_named(name).unwrap().id,
        from,
        to,
        count: 25,
    };
    let (across, up) = (sweep("lift", -20.0, 60.0), sweep("lean", -12.0, 12.0));
    let survey = Survey::run(posed, across, up).unwrap();
    if sheeted {
        let layers = [("twist 0°".to_owned(), &survey)];
        let (shapes, size) = sheet(&layers, posed.document(), &Tolerance::default(), MAP);
        return svg(&shapes, size, look, "contact sheet");
    }
    let shapes = map(&survey, posed.document(), &Tolerance::default(), MAP, 1.0);
    svg(&shapes, MAP, look, "contact map")
}
