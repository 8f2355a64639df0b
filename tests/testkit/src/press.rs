//! Random presses, as files that give a hand's recipe and dial values.
use crate::random::Random;
use hand::{Arm, Ground, GroundForm, Hand, Pivot, Planting, Recipe, Side, Size, Stance};
use rig::file::FORMAT;
use serde_json::{Map, Value, json};

/// A hand's recipe and dial values, as a file: either hand, of many proportions, with one to five
/// digits planted in any stance on any surface, some with an arm, its dials turned. A few of the
/// recipes are refused, as some of a reader's would be.
pub fn random_press(seed: u64) -> String {
    let mut random = Random(seed);
    let recipe = recipe(&mut random);
    let mut set = Map::new();
    if let Ok(document) = hand::document(&recipe) {
        for dial in &document.dials {
            if random.chance(4) {
                // Presses are small next to what their dials allow.
                let part = if random.chance(7) { 0.2 } else { 1.0 };
                let at = |end: f64| dial.neutral + part * (end - dial.neutral);
                let value = random.between(at(dial.min), at(dial.max));
                set.insert(dial.name.clone(), json!(value));
            }
        }
    }
    let file = json!({"format": FORMAT, "hand": recipe, "set": Value::Object(set)});
    file.to_string()
}

fn recipe(random: &mut Random) -> Recipe {
    let mut hand = Hand::table();
    if random.chance(5) {
        hand.side = Side::Left;
    }
    if random.chance(6) {
        let length = random.between(120.0, 260.0);
        hand.length = Size::Mm(length);
        hand.breadth = Size::Mm(length * random.between(0.38, 0.5));
    }
    while hand.digits.len() > 2 && random.chance(1) {
        hand.digits.remove(random.below(hand.digits.len()));
    }
    for digit in &mut hand.digits {
        if random.chance(1) {
            for bone in &mut digit.bones {
                *bone *= random.between(0.8, 1.25);
            }
        }
    }
    if random.chance(4) {
        hand.arm = Some(Arm::default());
    }
    let stances = [
        Stance::Flat,
        Stance::Flat,
        Stance::Fingertips,
        Stance::Fist,
        Stance::Edge,
    ];
    let stance = stances[random.below(stances.len())];
    let mut digits: Vec<_> = hand.digits.iter().map(|digit| digit.name.clone()).collect();
    digits.retain(|name| random.chance(if name == "thumb" { 3 } else { 9 }));
    // A fist and a hand's edge hardly fit a round surface.
    let form = match stance {
        Stance::Flat | Stance::Fingertips => {
            [GroundForm::Plane, GroundForm::Edge, GroundForm::Rail][random.below(3)]
        }
        Stance::Fist | Stance::Edge => GroundForm::Plane,
    };
    let planting = Planting {
        stance,
        digits,
        heel: stance == Stance::Flat && form == GroundForm::Plane && random.chance(2),
        flexion: random.between(3.0, 40.0),
        surface: Ground {
            form,
            radius: random.between(15.0, 80.0),
            height: random.between(-100.0, 900.0),
            tilt: random.between(-30.0, 30.0),
        },
        pivot: Pivot {
            offset: random.between(-8.0, 8.0),
            drop: random.between(-4.0, 8.0),
            yaw: random.between(-10.0, 10.0),
        },
    };
    Recipe {
        hand,
        planting: Some(planting),
    }
}
