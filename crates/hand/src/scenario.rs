//! The hands of the demonstration: a night baker's, all invented.
use super::{Arm, Ground, GroundForm, Hand, Planting, Recipe, Stance};

/// Their names, which are those of the files in `examples/`.
pub const SCENARIOS: [&str; 5] = [
    "bench-press",
    "dough-roll",
    "fingertip-press",
    "fist-knead",
    "rail-lean",
];

/// What the hand of that name is built from.
pub fn scenario(name: &str) -> Option<Recipe> {
    let mut hand = Hand::table();
    let mut planting = Planting::default();
    match name {
        "bench-press" => {}
        "dough-roll" => hand.arm = Some(Arm::default()),
        "fingertip-press" => {
            planting.stance = Stance::Fingertips;
            planting.digits.insert(0, "thumb".to_owned());
        }
        "fist-knead" => {
            hand.arm = Some(Arm::default());
            planting.stance = Stance::Fist;
        }
        "rail-lean" => {
            planting.surface = Ground {
                form: GroundForm::Rail,
                ..Ground::default()
            };
        }
        _ => return None,
    }
    Some(Recipe {
        hand,
        planting: Some(planting),
    })
}
