//! The scenario's hands: a night baker's, each made from its recipe.
use rig::hand::{Arm, Ground, GroundForm, Hand, Planting, Recipe, Stance};

/// A hand to begin with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Example {
    #[default]
    BenchPress,
    DoughRoll,
    FingertipPress,
    FistKnead,
    RailLean,
}

impl Example {
    /// In the order of the page.
    pub const ALL: [Self; 5] = [
        Self::BenchPress,
        Self::DoughRoll,
        Self::FingertipPress,
        Self::FistKnead,
        Self::RailLean,
    ];

    /// As links and files have it.
    pub fn name(self) -> &'static str {
        match self {
            Self::BenchPress => "bench-press",
            Self::DoughRoll => "dough-roll",
            Self::FingertipPress => "fingertip-press",
            Self::FistKnead => "fist-knead",
            Self::RailLean => "rail-lean",
        }
    }

    /// The one with this name, else the first.
    pub fn named(name: &str) -> Self {
        let mut all = Self::ALL.into_iter();
        all.find(|e| e.name() == name).unwrap_or_default()
    }

    /// What it is built from.
    pub fn recipe(self) -> Recipe {
        let mut hand = Hand::table();
        let mut planting = Planting::default();
        match self {
            Self::BenchPress => {}
            Self::DoughRoll => hand.arm = Some(Arm::default()),
            Self::FingertipPress => planting.stance = Stance::Fingertips,
            Self::FistKnead => planting.stance = Stance::Fist,
            Self::RailLean => {
                planting.surface = Ground {
                    form: GroundForm::Rail,
                    ..Ground::default()
                }
            }
        }
        Recipe {
            hand,
            planting: Some(planting),
        }
    }
}
