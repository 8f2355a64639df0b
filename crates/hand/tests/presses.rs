//! Properties of random presses.
use hand::read;
use hand::{Side, mirror};
use rig::{Posed, report::pose_json, validate};
use std::collections::BTreeMap;
use testkit::random_press;

#[test]
fn they_are_many_and_never_give_a_nan() {
    let mut refused = BTreeMap::new();
    let (mut posed, mut plants) = (0, 0);
    for seed in 0..400 {
        match read(&random_press(seed)) {
            Ok(document) => {
                let pose = Posed::new(&document).unwrap();
                let json = pose_json(&pose);
                // serde_json writes what is not finite as null.
                assert!(
                    !json.replace("\"parent\":null", "").contains("null"),
                    "{seed}"
                );
                posed += 1;
                plants += document.plants.len();
            }
            Err(fault) => {
                assert!(!fault.mend().is_empty(), "{seed}");
                let what = fault.what();
                let kind = what.split_whitespace().take(6).collect::<Vec<_>>();
                *refused.entry(kind.join(" ")).or_insert(0) += 1;
            }
        }
    }
    println!("{posed} posed, {plants} plants; refused: {refused:#?}");
    assert!(posed > 280 && plants > 800, "{posed} {plants} {refused:#?}");
}

/// A left hand is the right one seen in a mirror, under every dial, to the last bit.
#[test]
fn left_and_right_mirror_exactly() {
    let mut checked = 0;
    for seed in 0..150 {
        let Ok(document) = read(&random_press(seed)) else {
            continue;
        };
        let mut recipe = document.hand.clone().unwrap();
        let side = &mut recipe.hand.side;
        *side = match *side {
            Side::Right => Side::Left,
            Side::Left => Side::Right,
        };
        let mut other = hand::document(&recipe).unwrap();
        other.setting = document.setting.clone();
        validate::document(&other).unwrap();
        let mut mirrored = document.clone();
        mirror(&mut mirrored);
        mirrored.hand = other.hand.clone();
        assert_eq!(mirrored, other, "{seed}");
        let (one, two) = (Posed::new(&document).unwrap(), Posed::new(&other).unwrap());
        for (node, image) in document.nodes.iter().zip(&other.nodes) {
            let (a, b) = (one.point(node.id), two.point(image.id));
            assert_eq!([a.x, a.y, -a.z], [b.x, b.y, b.z], "{seed} {}", node.name);
        }
        checked += 1;
    }
    assert!(checked > 100, "{checked}");
}
