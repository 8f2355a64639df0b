//! Files of the first version of the format, which told parts by names, and what renaming does.
mod common;
use common::apply;
use hand::advice::{greatest_axis, pivot_axis, sensitivities};
use hand::gauge::contacts;
use hand::{Rest, read};
use rig::*;

const KEPT: [(&str, &str, &str); 6] = [
    (
        "bench-press-chain",
        include_str!("kept/bench-press-chain.v1.json"),
        include_str!("../../../examples/bench-press-chain.hand.json"),
    ),
    (
        "bench-press",
        include_str!("kept/bench-press.v1.json"),
        include_str!("../../../examples/bench-press.hand.json"),
    ),
    (
        "dough-roll",
        include_str!("kept/dough-roll.v1.json"),
        include_str!("../../../examples/dough-roll.hand.json"),
    ),
    (
        "fingertip-press",
        include_str!("kept/fingertip-press.v1.json"),
        include_str!("../../../examples/fingertip-press.hand.json"),
    ),
    (
        "fist-knead",
        include_str!("kept/fist-knead.v1.json"),
        include_str!("../../../examples/fist-knead.hand.json"),
    ),
    (
        "rail-lean",
        include_str!("kept/rail-lean.v1.json"),
        include_str!("../../../examples/rail-lean.hand.json"),
    ),
];

/// Kept as the first version wrote them, which pinned a point of each pad and had nothing that
/// rolls: read, they are still that, with the parts and roles that today's have. Built anew they are
/// what builds today.
#[test]
fn a_file_of_the_first_version_has_todays_parts_and_roles() {
    for (name, kept, today) in KEPT {
        assert!(kept.contains("\"handstand/1\"") && !kept.contains("\"part\""));
        let mut kept = read(kept).unwrap_or_else(|fault| panic!("{name}: {fault}"));
        let today = read(today).unwrap();
        for node in &kept.nodes {
            let same = today.node_named(&node.name);
            assert_eq!(node.part, same.unwrap().part, "{name}: {}", node.name);
        }
        for dial in &kept.dials {
            let same = today.dial_named(&dial.name);
            assert_eq!(dial.role, same.unwrap().role, "{name}: {}", dial.name);
        }
        assert!(write(&kept).contains("\"handstand/2\""));
        let mut posed = Posed::new(&kept).unwrap();
        posed.set_dial(kept.dial_named("lift").unwrap().id, 6.0);
        posed.evaluate();
        for anchor in &kept.anchors {
            assert!(
                posed.outcome(anchor.id).residual < 1e-6,
                "{name}: {}",
                anchor.name
            );
        }
        // A chain was built from no recipe.
        let Some(recipe) = kept.hand.clone() else {
            continue;
        };
        apply(&mut kept, &hand::Edit::Remake { recipe }).unwrap();
        let bits = |document: &Document| {
            let posed = Posed::new(document).unwrap();
            let nodes = today
                .nodes
                .iter()
                .map(|node| document.node_named(&node.name).unwrap().id);
            nodes.map(|node| posed.point(node)).collect::<Vec<_>>()
        };
        for (at, (a, b)) in bits(&kept).iter().zip(bits(&today)).enumerate() {
            assert!((a - b).norm() < 1e-9, "{name}: {}", today.nodes[at].name);
        }
    }
}

#[test]
fn each_version_has_its_own_words() {
    let part = r#"{"format": "handstand/1", "nodes": [
        {"name": "wrist", "kind": "joint", "translation": [0, 0, 0], "part": "wrist"}]}"#;
    let fault = read(part).unwrap_err();
    assert_eq!(fault.place, "nodes[0].part");
    assert!(fault.mend().contains("handstand/2"), "{fault}");
    assert!(read(&part.replace("handstand/1", "handstand/2")).is_ok());

    let role = r#"{"format": "handstand/1", "nodes": [],
        "dials": [{"name": "up", "unit": "deg", "min": 0, "max": 1, "role": "lift"}]}"#;
    assert_eq!(read(role).unwrap_err().place, "dials[0].role");
    assert!(read(&role.replace("handstand/1", "handstand/2")).is_ok());

    let solver = r#"{"format": "handstand/1", "nodes": [
        {"name": "a", "kind": "joint", "translation": [0, 0, 0]},
        {"name": "t", "kind": "mount", "translation": [9, 0, 0]}],
        "anchors": [{"name": "hold", "base": "a", "end": "a", "target": "t", "solver": "orient"}]}"#;
    assert!(read(solver).is_ok());
    let fault = read(&solver.replace("handstand/1", "handstand/2")).unwrap_err();
    assert!(fault.to_string().contains("turn-with"), "{fault}");
}

/// Every node and dial under another name.
fn renamed(document: &Document) -> Document {
    let mut renamed = document.clone();
    for at in 0..renamed.nodes.len() {
        let node = renamed.nodes[at].id;
        let name = format!("n{at}");
        edit::apply(&mut renamed, &Edit::Rename { node, name }).unwrap();
    }
    for at in 0..renamed.dials.len() {
        let dial = renamed.dials[at].id;
        let name = format!("d{at}");
        edit::apply(&mut renamed, &Edit::RenameDial { dial, name }).unwrap();
    }
    renamed
}

#[test]
fn a_name_is_a_label() {
    for (name, _, today) in &KEPT[1..] {
        let document = read(today).unwrap();
        let other = renamed(&document);
        let (a, b) = (Posed::new(&document).unwrap(), Posed::new(&other).unwrap());
        assert_eq!(contacts(&a), contacts(&b), "{name}");
        assert_eq!(pivot_axis(&document).ok(), pivot_axis(&other).ok());
        let tolerance = hand::survey::Tolerance::default();
        // A search builds hundreds of hands: one document's tells whether it reads names.
        if *name == KEPT[1].0 {
            let axes = [&a, &b].map(|posed| greatest_axis(posed, &tolerance).ok());
            assert_eq!(axes[0], axes[1]);
        }
        assert_eq!(sensitivities(&a).ok(), sensitivities(&b).ok());
        for rest in [Rest::Flat, Rest::Relaxed, Rest::Planted] {
            assert_eq!(rest.setting(&document), rest.setting(&other), "{name}");
        }
        // Its file says so as well.
        assert_eq!(read(&write(&other)).unwrap().setting, other.setting);
    }
}

#[test]
fn a_renamed_hand_is_planted_and_built_anew_like_any_other() {
    let document = read(KEPT[1].2).unwrap();
    let other = renamed(&document);
    let pad = |of: &Document| {
        let part = Part::of("ring-finger", recipe::DigitPart::Pad);
        of.part(&part).unwrap().id
    };
    let surface = other.part(&Part::Surface).map(|node| node.id);
    let mut planted = other.clone();
    let node = pad(&other);
    apply(&mut planted, &hand::Edit::Release { node }).unwrap();
    let digits = |of: &Document| of.hand.clone().unwrap().planting.unwrap().digits;
    assert_eq!(digits(&planted).len(), 3);
    apply(&mut planted, &hand::Edit::Plant { node, surface }).unwrap();
    assert_eq!(digits(&planted).len(), 4);

    let mut recipe = document.hand.clone().unwrap();
    recipe.planting.as_mut().unwrap().flexion += 4.0;
    let remake = hand::Edit::Remake { recipe };
    let (mut plain, mut labelled) = (document.clone(), other.clone());
    apply(&mut plain, &remake).unwrap();
    apply(&mut labelled, &remake).unwrap();
    // The labels and ids stay, everything else is as it would be without them.
    for (plain, labelled) in plain.nodes.iter().zip(&labelled.nodes) {
        let kept = other.node(labelled.id).expect("an id that was there");
        assert_eq!(kept.name, labelled.name);
        assert_eq!(kept.part, labelled.part);
        assert_eq!(
            (plain.translation, plain.rotation, plain.limits),
            (labelled.translation, labelled.rotation, labelled.limits)
        );
    }
    for dial in &labelled.dials {
        // A hand of the first version had no thumb that opposes; built anew it has.
        match other.dial(dial.id) {
            Some(kept) => assert_eq!(kept.name, dial.name),
            None => assert_eq!(dial.role, Some(recipe::DialRole::Opposition)),
        }
    }
}
