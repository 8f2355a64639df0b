//! Hands that are nobody's.
use super::*;

fn finger(name: &str) -> Digit {
    Digit {
        name: name.to_owned(),
        ..Hand::table().digits[2].clone()
    }
}

/// Three fingers and no thumb, one finger alone, a paw of short broad digits: all can press.
#[test]
fn characters_are_not_average_people() {
    let spread = |digits: &[&str], length: f64| {
        let count = digits.len() as f64;
        let digits = digits.iter().enumerate().map(|(k, name)| {
            let aside = 18.0 * (0.5 * (count - 1.0) - k as f64);
            let mut digit = finger(name);
            for bone in &mut digit.bones[1..] {
                *bone *= length;
            }
            digit.base[1] = 0.5 * aside;
            digit.head = [aside, 0.0];
            digit
        });
        Hand {
            digits: digits.collect(),
            ..Hand::table()
        }
    };
    for hand in [
        spread(&["one", "two", "three"], 1.0),
        spread(&["alone"], 1.0),
        spread(&["a", "b", "c", "d"], 0.6),
        spread(&["a", "b", "c", "d", "e", "f"], 1.6),
    ] {
        for stance in [Stance::Flat, Stance::Fingertips, Stance::Fist, Stance::Edge] {
            let recipe = Recipe {
                planting: Some(Planting {
                    stance,
                    digits: hand.digits.iter().map(|digit| digit.name.clone()).collect(),
                    ..Planting::default()
                }),
                hand: hand.clone(),
            };
            let Ok(document) = document(&recipe) else {
                // Short fingers are not long enough for high stances, and are told so.
                let fault = document(&recipe).unwrap_err();
                assert!(
                    fault.what().contains("does not come to the surface"),
                    "{fault}"
                );
                assert!(
                    stance == Stance::Fingertips && hand.digits.len() == 4,
                    "{fault}"
                );
                continue;
            };
            let mut posed = validate::document(&document).unwrap();
            assert!(worst_slip(&document, &posed) < 1e-9);
            put(&document, &mut posed, &[("lift", 5.0), ("lean", 3.0)]);
            for node in &document.nodes {
                assert!(posed.point(node.id).iter().all(|x| x.is_finite()));
            }
            if stance == Stance::Flat {
                assert!(worst_slip(&document, &posed) < 0.5);
            }
        }
    }
}

/// Nothing planted: the hand hovers, and all its dials still turn it.
#[test]
fn a_hand_with_nothing_planted_is_usable() {
    for stance in [Stance::Flat, Stance::Fingertips, Stance::Fist, Stance::Edge] {
        let mut recipe = recipe(stance, GroundForm::Plane);
        recipe.planting.as_mut().unwrap().digits.clear();
        let (document, mut posed) = built(&recipe);
        assert!(document.plants.is_empty());
        let rest = at(&document, &posed, "wrist");
        put(
            &document,
            &mut posed,
            &[("lift", 20.0), ("lean", 5.0), ("twist", 5.0)],
        );
        assert!((at(&document, &posed, "wrist") - rest).norm() > 5.0);
    }
}

/// At the very bounds a hand is still one: a doll's, a giant's, and hands of the shortest and
/// longest bones that are taken.
#[test]
fn hands_out_of_the_ordinary_are_built() {
    for (length, ratio) in [(20.0, 0.44), (2000.0, 0.44), (191.8, 0.2), (191.8, 0.6)] {
        let mut recipe = recipe(Stance::Flat, GroundForm::Plane);
        recipe.hand.length = Size::Mm(length);
        recipe.hand.breadth = Size::Mm(length * ratio);
        let (document, posed) = built(&recipe);
        assert!(worst_slip(&document, &posed) < 1e-9 * length);
    }
    for style in [0.25, 0.5, 2.0, 4.0] {
        let mut hand = Hand::table();
        // Phalanges alone: a metacarpal has to span the palm.
        for digit in &mut hand.digits {
            digit.bones[1..].iter_mut().for_each(|bone| *bone *= style);
        }
        let planting = None;
        document(&Recipe { hand, planting }).unwrap_or_else(|fault| panic!("{style}: {fault}"));
    }
}

/// A file that gives the recipe alone, in words.
#[test]
fn a_stance_can_be_written_by_hand() {
    let text = r#"{
        "format": "handstand/1",
        "hand": {
            "hand": {"side": "left", "length": {"percentile": {"percent": 84, "sex": "female", "survey": "ansur"}}, "arm": {}},
            "planting": {"stance": "fingertips", "digits": ["index-finger", "middle-finger"], "surface": {"form": "rail", "radius": 60, "tilt": 5}}
        },
        "set": {"lift": 4}
    }"#;
    let document = read(text).unwrap_or_else(|fault| panic!("{fault}"));
    assert_eq!(document.plants.len(), 2);
    assert_eq!(write(&read(&write(&document)).unwrap()), write(&document));
}
