//! A hand from its recipe: bones, arm, contacts, press controls and dials.
mod arm;
mod axis;
mod dials;
pub(crate) mod fingers;
mod make;
mod mirror;
mod on_digits;
mod press;
mod rigid;
mod rollers;
pub(crate) mod rolls;
pub(crate) mod sideways;
mod size;
mod skeleton;

mod standing;
mod touch;
mod validate;
mod wraps;

pub use axis::Axis;
pub use mirror::mirror;
pub use size::mm;

use crate::parts;
use recipe::{Hand, Planting, Recipe, Side};
use rig::{Document, Fault};

/// Builds what the recipe says, and keeps the recipe with it.
///
/// # Errors
/// When no hand can be so, in one sentence with a mend.
///
/// ```
/// let document = hand::document(&hand::Recipe::default())?;
/// let posed = rig::Posed::new(&document)?;
/// let tip = document.node_named("middle-finger-tip").expect("a finger has a tip");
/// assert_eq!(posed.point(tip.id).x.round(), 153.0); // mm from the wrist: it hangs relaxed
/// # Ok::<(), rig::Fault>(())
/// ```
pub fn document(recipe: &Recipe) -> Result<Document, Fault> {
    // An arm that no press carries is kept for later, so it must be one all the same.
    recipe.hand.arm.as_ref().map_or(Ok(()), validate::arm)?;
    let mut document = match &recipe.planting {
        Some(planting) => planted(&recipe.hand, planting)?,
        None => free(&recipe.hand)?,
    };
    document.hand = Some(Box::new(recipe.clone()));
    rig::validate::document(&document)?;
    Ok(document)
}

/// Builds the hand in its flat pose: the skeleton, with the wrist at the origin and no arm, for
/// that follows a press.
///
/// # Errors
/// When no hand has these sizes, in one sentence with a mend.
pub fn free(hand: &Hand) -> Result<Document, Fault> {
    let (mut document, _) = skeleton::right(hand)?;
    fingers::add_shapes(&mut document, hand, |_| None);
    fingers::add_joints(&mut document, hand);
    finish(&mut document, hand);
    Ok(document)
}

/// Builds a hand that stands on its surface as the planting says, its press dials at zero.
///
/// # Errors
/// When no hand has these sizes, the planting is none, or a digit cannot come to the surface:
/// in one sentence with a mend.
pub fn planted(hand: &Hand, planting: &Planting) -> Result<Document, Fault> {
    let mut document = press::press(hand, planting)?;
    rolls::turned(&mut document)?;
    finish(&mut document, hand);
    Ok(document)
}

/// A right hand, done, as the side asked for, its parts and dials known.
fn finish(document: &mut Document, hand: &Hand) {
    if hand.side == Side::Left {
        mirror(document);
    }
    parts::by_name(document, &hand.digits);
    if sideways::is_same_way(hand) {
        sideways::same_way(document);
    }
}
