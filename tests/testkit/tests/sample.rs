//! The random documents cover what they are for, and no spoiled file gets past the door.
use proptest::prelude::*;
use rig::{Order, Posed, Ramp, Solver, Target, read, report::pose_json, write};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use testkit::random_document;

#[test]
fn two_hundred_samples_cover_everything() {
    let mut seen = BTreeSet::new();
    for seed in 0..200 {
        let document = random_document(seed);
        let posed = rig::validate::document(&document).expect("samples are valid");
        for node in &document.nodes {
            seen.insert(format!("{:?}", node.order));
        }
        let anchors = document.anchors.iter().zip(&document.setting.active);
        for (anchor, _) in anchors.filter(|(_, active)| **active) {
            let solver = match anchor.solver {
                Solver::Aim => "aim",
                Solver::TwoBone { .. } => "two-bone",
                Solver::DampedLeastSquares => "damped",
                Solver::Fabrik => "fabrik",
                Solver::Finger { contact: None, .. } => "finger",
                Solver::Finger { .. } => "rolling finger",
                Solver::Thumb { contact: None, .. } => "thumb",
                Solver::Thumb { .. } => "rolling thumb",
                Solver::SetDown { .. } => "set down",
                _ => "of a whole hand",
            };
            if anchor.solver.contact().is_some() {
                let hold = posed.hold(anchor.id);
                let how = if hold >= 1.0 {
                    "held"
                } else if hold > 0.0 {
                    "easing"
                } else {
                    "let go"
                };
                seen.insert(format!("{solver} {how}"));
            }
            let reached = posed.outcome(anchor.id).residual < 1e-3;
            seen.insert(format!("{solver} {reached}"));
        }
        for drive in document.dials.iter().flat_map(|d| &d.drives) {
            if let Target::Channel(_, channel) = drive.target {
                seen.insert(format!("{channel:?} {:?}", drive.ramp));
            }
        }
        for plant in &document.plants {
            let rolls = plant.turned.is_some()
                && plant
                    .surface
                    .and_then(|surface| document.node(surface))
                    .is_some_and(|surface| surface.surface == Some(rig::Form::Plane));
            seen.insert(if rolls { "ball" } else { "plant" }.to_owned());
        }
        let mut contacts = document.anchors.iter().zip(&document.setting.active);
        if contacts.any(|(anchor, active)| anchor.solver.contact().is_some() && !active) {
            seen.insert("contact off".to_owned());
        }
        if document.nodes.iter().any(|node| node.loaded != [None; 3]) {
            seen.insert("loaded".to_owned());
        }
        for (at, link) in document.links.iter().enumerate() {
            let past = matches!(link.share, rig::Share::Past { .. });
            let passes = posed.linked(at).0 != 0.0;
            seen.insert(format!("link {past} {passes}"));
        }
    }
    let mut wanted: Vec<_> = Order::ALL.iter().map(|o| format!("{o:?}")).collect();
    for solver in ["aim", "two-bone", "damped", "fabrik", "finger", "thumb"] {
        wanted.push(format!("{solver} false"));
        // A bone of a given length reaches a point at random with no chance at all.
        if solver != "aim" {
            wanted.push(format!("{solver} true"));
        }
    }
    for solver in ["rolling finger", "rolling thumb"] {
        for how in ["held", "easing", "let go"] {
            wanted.push(format!("{solver} {how}"));
        }
    }
    for what in ["set down true", "ball", "contact off", "loaded"] {
        wanted.push(what.to_owned());
    }
    for past in [false, true] {
        wanted.push(format!("link {past} true"));
    }
    for channel in rig::Channel::ALL {
        for ramp in [
            Ramp::Whole,
            Ramp::Rising,
            Ramp::Falling,
            Ramp::RisingPast(15.0),
        ] {
            wanted.push(format!("{channel:?} {ramp:?}"));
        }
    }
    wanted.push("plant".to_owned());
    let missing: Vec<_> = wanted.iter().filter(|w| !seen.contains(*w)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

/// Every place in a JSON value that holds something.
fn places(value: &Value, at: String, all: &mut Vec<String>) {
    match value {
        Value::Object(map) => map
            .iter()
            .for_each(|(k, v)| places(v, format!("{at}/{k}"), all)),
        Value::Array(list) => {
            list.iter()
                .enumerate()
                .for_each(|(k, v)| places(v, format!("{at}/{k}"), all));
        }
        _ => {}
    }
    all.push(at);
}

fn spoiled() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(json!(null)),
        Just(json!([])),
        Just(json!({})),
        Just(json!("node 0")),
        Just(json!("node 3")),
        Just(json!(["dial 9"])),
        Just(json!(true)),
        Just(json!(0.0)),
        Just(json!(-0.0)),
        Just(json!(1e9)),
        Just(json!(-1e9)),
        Just(json!(1e-300)),
        Just(json!(1e12)),
        Just(json!(1e150)),
        Just(json!(1e300)),
        (-200.0..200.0).prop_map(|x| json!(x)),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 1000, ..ProptestConfig::default() })]

    #[test]
    fn a_spoiled_file_is_refused_or_evaluates(
        seed in 0..200u64,
        spoils in prop::collection::vec((any::<prop::sample::Index>(), spoiled()), 1..4),
    ) {
        let mut value: Value = serde_json::from_str(&write(&random_document(seed))).unwrap();
        for (at, with) in spoils {
            let mut all = Vec::new();
            places(&value, String::new(), &mut all);
            *value.pointer_mut(&all[at.index(all.len())]).unwrap() = with;
        }
        if let Ok(document) = read(&value.to_string()) {
            let mut posed = Posed::new(&document).unwrap();
            for neutral in [false, true] {
                if neutral {
                    posed.set_neutral();
                    posed.evaluate();
                }
                // Whatever is not finite is printed as null, and only a root's parent may be that.
                let shown: Value = serde_json::from_str(&pose_json(&posed)).unwrap();
                for node in shown["nodes"].as_array().unwrap() {
                    for part in ["position", "rotation"] {
                        prop_assert!(node[part].as_array().unwrap().iter().all(Value::is_f64), "{node}");
                    }
                }
                for anchor in shown["anchors"].as_array().unwrap() {
                    prop_assert!(anchor["residual_mm"].is_f64(), "{anchor}");
                    prop_assert!(anchor["reach_margin_mm"].is_f64(), "{anchor}");
                }
            }
            prop_assert_eq!(write(&read(&write(&document)).unwrap()), write(&document));
        }
    }

    #[test]
    fn spoiled_text_never_panics(seed in 0..200u64, at in any::<prop::sample::Index>(), with in any::<char>()) {
        let mut text: Vec<char> = write(&random_document(seed)).chars().collect();
        let at = at.index(text.len());
        text[at] = with;
        let _ = read(&text.into_iter().collect::<String>());
    }
}
