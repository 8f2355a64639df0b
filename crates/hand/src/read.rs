//! Reading documents of which only a hand's recipe may be given.
use crate::{document, parts};
use rig::file::{self, Hands};
use rig::{Document, Fault};
use serde_json::Value;

/// How a file's hand is built and told.
pub const HANDS: Hands = Hands {
    build: document,
    parts_by_name: |document| {
        if let Some(recipe) = document.hand.clone() {
            parts::by_name(document, &recipe.hand.digits);
        }
    },
};

/// Reads a document, checking everything a later step relies on; a hand of which only the recipe
/// is given is built.
///
/// # Errors
/// The first thing found wrong, with its place in the file and the mend.
pub fn read(text: &str) -> Result<Document, Fault> {
    read_value(file::value(text)?)
}

/// Reads a document from JSON that [`rig::file::value`] has read.
///
/// # Errors
/// As [`read`].
pub fn read_value(value: Value) -> Result<Document, Fault> {
    file::read_value(value, Some(&HANDS))
}
