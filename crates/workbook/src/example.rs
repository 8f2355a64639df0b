//! The scenario's hands, by their place in its list.
use hand::{Recipe, SCENARIOS, scenario};
use rig::{Document, Fault};

/// A hand to begin with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Example(usize);

impl Example {
    /// Every one, in the order of the page.
    pub fn all() -> impl Iterator<Item = Self> {
        (0..SCENARIOS.len()).map(Self)
    }

    /// As links and files have it.
    pub fn name(self) -> &'static str {
        SCENARIOS[self.0]
    }

    /// The one with this name, else the first.
    pub fn named(name: &str) -> Self {
        Self::all().find(|e| e.name() == name).unwrap_or_default()
    }

    /// The hand as it begins.
    ///
    /// # Errors
    /// When its recipe cannot be built.
    pub fn document(self) -> Result<Document, Fault> {
        let mut document = hand::document(&self.recipe())?;
        self.name().clone_into(&mut document.name);
        Ok(document)
    }

    /// What it is built from.
    pub fn recipe(self) -> Recipe {
        scenario(self.name()).unwrap_or_default()
    }
}

/// What an empty sketch starts from.
pub fn blank() -> Document {
    let mut blank = Document::default();
    "flour-flick sketch".clone_into(&mut blank.name);
    blank.bench = Some(-12.0);
    blank
}
