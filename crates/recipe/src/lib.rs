//! What a hand is built from, and what the parts of one are, as plain data: below both the rig,
//! which keeps them with its nodes and in its files, and the hand, which knows what they mean.
#![warn(missing_docs)]

pub mod bones;
mod impossible;
mod part;
mod recipe;
mod size;

pub use impossible::Impossible;
pub use part::{ArmPart, Bend, DialRole, DigitPart, Handle, Part, Press, spoken};
pub use recipe::{
    Arm, Digit, Ground, GroundForm, Hand, MOST_DIGIT_NAME, MOST_DIGITS, Pivot, Planting, Recipe,
    Side, Sideways, Stance,
};
pub use size::{Measure, Sex, Size, Survey, surveyed};
