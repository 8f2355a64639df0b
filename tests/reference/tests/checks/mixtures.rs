//! Any mixture of finger dials, wrist dials and joints' own: against Pinocchio; and of the other
//! hand, against NumPy's reflection.
use hand::{Hand, Recipe, Side};
use reference::{between, numbers, oracle};
use rig::{Document, Posed, Vec3, write};
use serde_json::{Value, json};

const MIXTURES: usize = 1000;

fn free(side: Side) -> Document {
    let hand = Hand {
        side,
        ..Hand::table()
    };
    let recipe = Recipe {
        hand,
        planting: None,
    };
    hand::document(&recipe).expect("a sound hand")
}

#[test]
fn random_mixtures_agree_with_pinocchio_and_mirror_as_numpy_does() {
    let mut random = fastrand::Rng::with_seed(20);
    let documents = [Side::Right, Side::Left].map(free);
    let (mut cases, mut ours, mut places, mut others) = (vec![], vec![], vec![], vec![]);
    for mixture in 0..MIXTURES {
        let [mut right, mut left] = documents.each_ref().map(|d| Posed::new(d).expect("sound"));
        for (dial, other) in documents[0].dials.iter().zip(&documents[1].dials) {
            let part = match random.u8(0..4) {
                0 => continue,
                1 => f64::from(random.u8(0..2)),
                _ => between(&mut random, 0.0, 1.0),
            };
            let value = dial.min + part * (dial.max - dial.min);
            right.set_dial(dial.id, value);
            left.set_dial(other.id, value);
        }
        right.evaluate();
        left.evaluate();
        let side = mixture % 2;
        let posed = if side == 0 { &right } else { &left };
        let dials = documents[side].dials.iter();
        let dials = dials.map(|dial| (dial.name.clone(), json!(posed.dial(dial.id))));
        let dials: serde_json::Map<_, _> = dials.collect();
        cases.push(json!({"document": side, "dials": dials}));
        for (a, b) in documents[0].nodes.iter().zip(&documents[1].nodes) {
            places.push(json!(<[f64; 3]>::from(right.point(a.id))));
            others.push(left.point(b.id));
        }
        ours.push(posed.clone());
    }
    let files = documents
        .each_ref()
        .map(|document| serde_json::from_str::<Value>(&write(document)).expect("JSON"));
    let asked = json!({"documents": files, "cases": cases, "places": places});
    let answers = oracle("mixtures", &asked);
    let (mut place, mut turn) = (0.0f64, 0.0f64);
    for (posed, theirs) in ours.iter().zip(answers["poses"].as_array().expect("poses")) {
        for node in &posed.rig().nodes {
            let theirs = &theirs[&node.name];
            let at = Vec3::from_column_slice(&numbers(&theirs["at"]));
            let far = posed.point(node.id).norm().max(1.0);
            place = place.max((posed.point(node.id) - at).norm() / far);
            let matrix = posed.world(node.id).rotation.to_rotation_matrix();
            let rows = theirs["matrix"].as_array().expect("rows");
            for (row, theirs) in rows.iter().enumerate() {
                for (column, theirs) in numbers(theirs).into_iter().enumerate() {
                    turn = turn.max((matrix[(row, column)] - theirs).abs());
                }
            }
        }
    }
    println!(
        "mixtures: {MIXTURES}, worst relative position error {place:.1e}, rotation {turn:.1e}"
    );
    assert!(place <= 1e-13 && turn <= 1e-13, "{place:e} {turn:e}");
    let mirrored = answers["mirrored"].as_array().expect("places");
    assert_eq!(mirrored.len(), others.len());
    for (theirs, ours) in mirrored.iter().zip(&others) {
        // A zero has no sign here: −0 is the same place.
        let theirs = numbers(theirs).into_iter().map(|x| (x + 0.0).to_bits());
        let ours = ours.iter().map(|x| (x + 0.0).to_bits());
        assert!(theirs.eq(ours));
    }
}
