//! A whole hand, built from published bone lengths.
//!
//! Nodes are the 25 joints of WebXR Hand Input by name, and a pad on each digit. Their axes are
//! those of Wu et al. (2005), ISB recommendation, Part II: y along the bone to the wrist, x out
//! of the palm, z to the thumb's side on a right hand (its mirror on a left one, see
//! [`mirror`]). Flexion is a positive turn about z, abduction a turn about x.
//!
//! The rest pose is the *flat* pose: straight, palm down, fingers along world x. All
//! angles are anatomical: zero is straight. The dial `rest flexion` bends the fingers to the
//! *relaxed* pose; what is planted is built by [`planted`]. Each of the three is one command away: see
//! [`Rest`].
#![warn(missing_docs)]

pub mod advice;
mod build;
pub mod edit;
pub mod flesh;
pub mod gauge;
pub mod gesture;
mod parts;
mod press;
mod read;
mod rest;
mod scenario;
pub mod survey;

pub use build::{Axis, document, free, mirror, mm, planted};
pub use edit::{Edit, Refusal};
pub use gauge::Gauge;
pub use gesture::Gesture;
pub use press::{PRESS, in_words, press_dials};
pub use read::{HANDS, read, read_value};
pub use recipe::{
    Arm, Bend, Digit, DigitPart, Ground, GroundForm, Hand, Impossible, Measure, Pivot, Planting,
    Recipe, Sex, Side, Sideways, Size, Stance, Survey, bones, spoken, surveyed,
};
pub use rest::Rest;
pub use scenario::{SCENARIOS, scenario};
