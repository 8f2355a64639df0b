//! Where work is kept and what of it is on its way: changes with places and writings.
use figure::View;
use leptos::prelude::*;
use rig::History;
use std::collections::BTreeMap;
use workbook::unkept::Why;

/// Keeping as signals.
#[derive(Clone, Copy)]
pub struct Keeping {
    /// Where the document on the plate is kept.
    pub place: RwSignal<Option<Place>>,
    /// Why nothing is kept at present.
    pub unkept: RwSignal<Option<Why>>,
    /// Raised when there may be another list of copies.
    pub copies_changed: RwSignal<u32>,
    /// Whether what is kept of this place could not be read.
    pub unread: StoredValue<bool>,
    /// Raised when it is worth reading it again.
    pub arrive_again: RwSignal<u32>,
    /// Whether another try to keep something is waiting.
    pub retrying: StoredValue<bool>,
    /// Figures that were left, by place, so that coming back does not lose what could be undone,
    /// nor, where the browser keeps nothing, the work itself.
    pub shelf: StoredValue<BTreeMap<String, Shelved>>,
    /// Counts the places gone to: a figure that comes late finds another one there.
    pub arrivals: StoredValue<u32>,
}

/// Where the document on the plate is kept. It belongs to the document, not to the route: the
/// route changes first, while the next figure is still on its way.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    pub slot: String,
    /// What is kept there or was asked to be; what a lesson gives need not be kept.
    pub body: Option<String>,
}

/// A figure that was left: with its past, and as it was looked at.
pub struct Shelved {
    pub history: History,
    pub view: View,
    pub framed: bool,
}

impl Keeping {
    pub(super) fn new() -> Self {
        Self {
            place: RwSignal::new(None),
            unkept: RwSignal::new(None),
            copies_changed: RwSignal::new(0),
            unread: StoredValue::new(false),
            arrive_again: RwSignal::new(0),
            retrying: StoredValue::new(false),
            shelf: StoredValue::default(),
            arrivals: StoredValue::new(0),
        }
    }

    /// The slot of what is on the plate.
    pub fn slot(&self) -> Option<String> {
        self.place
            .with_untracked(|p| p.as_ref().map(|p| p.slot.clone()))
    }

    /// There may be another list of copies.
    pub fn look_for_copies(&self) {
        self.copies_changed.update(|n| *n += 1);
    }
}
