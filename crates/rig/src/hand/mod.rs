//! A whole hand, built from published bone lengths.
//!
//! Nodes are the 25 joints of WebXR Hand Input by name, and a pad on each digit. Their axes are
//! those of Wu et al. (2005), ISB recommendation, Part II: y along the bone to the wrist, x out
//! of the palm, z to the thumb's side on a right hand (its mirror on a left one, see
//! [`mirror`]). Flexion is a positive turn about z, abduction a turn about x.
//!
//! The rest pose is the *flat* pose: straight, palm down, fingers along world x. All
//! angles are anatomical: zero is straight. The dial `rest flexion` bends the fingers to the
//! *relaxed* pose; what is planted is in [`press`]. Each of the three is one command away: see
//! [`Rest`].
mod arm;
mod axis;
pub mod bones;
mod dials;
mod mirror;
mod part;
pub mod press;
mod recipe;
mod rest;
mod rigid;
mod scenario;
mod size;
mod skeleton;
mod sound;
mod touch;

pub use mirror::mirror;
pub use recipe::{Arm, Digit, Ground, GroundForm, Hand, Pivot, Planting, Recipe, Side, Stance};
pub use rest::Rest;
pub use scenario::{SCENARIOS, scenario};
pub use size::{Measure, Sex, Size, Survey, surveyed};

use crate::document::Document;
use crate::{Fault, check};

pub(crate) fn impossible(what: String, mend: &str) -> Fault {
    Fault {
        place: "hand".to_owned(),
        what,
        mend: mend.to_owned(),
    }
}

/// Builds what the recipe says, and keeps the recipe with it.
///
/// # Errors
/// When no hand can be so, in one sentence with a mend.
pub fn document(recipe: &Recipe) -> Result<Document, Fault> {
    // An arm that no press carries is kept for later, so it must be one all the same.
    recipe.hand.arm.as_ref().map_or(Ok(()), sound::arm)?;
    let mut document = match &recipe.planting {
        Some(planting) => press::press(&recipe.hand, planting)?,
        None => build(&recipe.hand)?,
    };
    document.hand = Some(Box::new(recipe.clone()));
    check::document(&document)?;
    Ok(document)
}

/// Builds the hand in its flat pose: the skeleton, with the wrist at the origin and no arm, for
/// that follows a press.
///
/// # Errors
/// When no hand has these sizes, in one sentence with a mend.
pub fn build(hand: &Hand) -> Result<Document, Fault> {
    let (mut document, _) = skeleton::right(hand)?;
    skeleton::add_dials(&mut document, hand, |_| None);
    if hand.side == Side::Left {
        mirror(&mut document);
    }
    Ok(document)
}
