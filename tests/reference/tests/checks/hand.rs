//! The whole hand, arm and controls, against Pinocchio built from the file as it is written.
use hand::{Arm, Ground, GroundForm, Hand, Planting, Recipe, Side, Stance, document};
use reference::{between, numbers, oracle};
use rig::{Kind, Posed, Vec3, write};
use serde_json::{Value, json};

fn recipes() -> Vec<Recipe> {
    let mut all = Vec::new();
    for (step, (stance, form)) in [
        (Stance::Flat, GroundForm::Plane),
        (Stance::Flat, GroundForm::Rail),
        (Stance::Flat, GroundForm::Edge),
        (Stance::Fingertips, GroundForm::Plane),
        (Stance::Fist, GroundForm::Plane),
        (Stance::Edge, GroundForm::Plane),
    ]
    .into_iter()
    .enumerate()
    {
        for arm in [None, Some(Arm::default())] {
            all.push(Recipe {
                hand: Hand {
                    side: if step % 2 == 0 {
                        Side::Right
                    } else {
                        Side::Left
                    },
                    arm,
                    ..Hand::table()
                },
                planting: Some(Planting {
                    stance,
                    surface: Ground {
                        form,
                        height: 20.0,
                        tilt: 7.0,
                        ..Ground::default()
                    },
                    ..Planting::default()
                }),
            });
        }
    }
    all
}

/// How far it is along the lineage to a node: what a relative error is relative to.
fn way(posed: &Posed, name: &str) -> f64 {
    let document = posed.document();
    let mut at = document.node_named(name);
    let mut way = 0.0;
    while let Some(node) = at {
        let above = node
            .parent
            .map_or(Vec3::zeros(), |parent| posed.point(parent));
        way += (posed.point(node.id) - above).norm();
        at = node.parent.and_then(|parent| document.node(parent));
    }
    way
}

#[test]
fn random_presses_agree_with_pinocchio() {
    let mut random = fastrand::Rng::with_seed(5);
    let (mut cases, mut ours) = (Vec::new(), Vec::new());
    for recipe in recipes() {
        let document = document(&recipe).expect("a sound hand");
        let file: Value = serde_json::from_str(&write(&document)).expect("JSON");
        for _ in 0..4 {
            let mut posed = Posed::new(&document).expect("a sound hand");
            for dial in &document.dials {
                let part = between(&mut random, 0.2, 0.8);
                posed.set_dial(dial.id, dial.min + part * (dial.max - dial.min));
            }
            posed.evaluate();
            let dials = document.dials.iter();
            let dials = dials.map(|dial| (dial.name.clone(), json!(posed.dial(dial.id))));
            let joints = document
                .nodes
                .iter()
                .filter(|node| node.kind == Kind::Joint);
            let turns = joints.map(|node| (node.name.clone(), json!(posed.turns(node.id))));
            cases.push(json!({
                "document": file,
                "dials": dials.collect::<serde_json::Map<_, _>>(),
                "turns": turns.collect::<serde_json::Map<_, _>>(),
            }));
            ours.push((document.clone(), posed));
        }
    }
    let answers = oracle("hand", &json!(cases));
    let (mut place, mut turn, mut count) = (0.0f64, 0.0f64, 0);
    for ((document, posed), theirs) in ours.iter().zip(answers.as_array().expect("poses")) {
        for node in &document.nodes {
            let theirs = &theirs[&node.name];
            let at = Vec3::from_column_slice(&numbers(&theirs["at"]));
            let way = way(posed, &node.name);
            place = place.max((posed.point(node.id) - at).norm() / way.max(1.0));
            let matrix = posed.world(node.id).rotation.to_rotation_matrix();
            for (row, theirs) in theirs["matrix"]
                .as_array()
                .expect("rows")
                .iter()
                .enumerate()
            {
                for (column, theirs) in numbers(theirs).into_iter().enumerate() {
                    turn = turn.max((matrix[(row, column)] - theirs).abs());
                }
            }
            count += 1;
        }
    }
    println!("hand: {count} nodes, worst relative position error {place:.1e}, rotation {turn:.1e}");
    assert!(count > 2000);
    assert!(place <= 1e-13 && turn <= 1e-13, "{place:e} {turn:e}");
}
