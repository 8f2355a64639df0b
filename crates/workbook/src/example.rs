//! The scenario's hands, by their place in its list.
use hand::{Recipe, SCENARIOS, scenario};

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

    /// What it is built from.
    pub fn recipe(self) -> Recipe {
        scenario(self.name()).unwrap_or_default()
    }
}
