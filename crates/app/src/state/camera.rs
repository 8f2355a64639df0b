//! Where the plate is seen from and what a press on it does: changes with the reader's view.
use figure::{Sight, Signs, View};
use leptos::prelude::*;
use rig::Vec3;
use workbook::hang::Hung;
use workbook::pencil::Tool;
use workbook::plate::Plate;
use workbook::scene::unframed;

/// The camera as signals.
#[derive(Clone, Copy)]
pub struct Camera {
    pub view: RwSignal<View>,
    /// Set while the reader has panned or zoomed, so that a resize leaves the view alone.
    pub framed: RwSignal<bool>,
    pub tool: RwSignal<Tool>,
    /// Where switches lie over the plate, px from its upper left corner: left, top, right, bottom.
    pub covered: RwSignal<Option<[f64; 4]>>,
    /// How large texts are set, of the usual.
    pub text: RwSignal<f64>,
    /// The mobile that hangs over the plate.
    pub hung: RwSignal<Hung>,
    /// What of the picture its key explains, and whether that lies open.
    pub signs: RwSignal<Signs>,
    pub keyed: RwSignal<bool>,
}

impl Camera {
    pub(super) fn new() -> Self {
        Self {
            view: RwSignal::new(unframed()),
            framed: RwSignal::new(false),
            tool: RwSignal::default(),
            covered: RwSignal::new(None),
            text: RwSignal::new(1.0),
            hung: RwSignal::default(),
            signs: RwSignal::default(),
            keyed: RwSignal::new(false),
        }
    }

    /// The plate at this size, px, as it is now.
    pub fn plate(&self, size: (f64, f64)) -> Plate {
        let tools = self.covered.get().map_or(0.0, |[_, top, ..]| size.1 - top);
        let text = self.text.get();
        Plate { size, text, tools }
    }

    /// Looks from another side, the whole figure in sight.
    pub fn turn_to(&self, sight: Sight) {
        self.framed.set(false);
        self.view.update(|v| v.sight = sight);
    }

    /// The world's right, up and towards the reader, as seen now.
    pub fn axes(&self) -> [Vec3; 3] {
        self.view.with_untracked(View::axes)
    }
}
