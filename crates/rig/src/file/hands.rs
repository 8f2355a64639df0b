//! Who knows hands, which this crate does not.
use crate::{Document, Fault};
use recipe::Recipe;

/// What reading asks of them.
pub struct Hands {
    /// Builds what a recipe says.
    pub build: fn(&Recipe) -> Result<Document, Fault>,
    /// Gives nodes their parts and dials their roles by the names that they are built with: the
    /// first version of the format told them by names alone.
    pub parts_by_name: fn(&mut Document),
}
