//! What the hand page tells the plate and the dials, which are not its own, as plain data.
use crate::keep::{set_setting_of_tab, setting_of_tab};
use hand::survey::Cell;
use leptos::prelude::*;
use rig::{DialId, NodeId};
use workbook::desk::Safe;
use workbook::face::Face;
use workbook::knobs::Knob;

/// Where a tab's face is kept.
const FACE: &str = "face";

/// The hand page as signals.
#[derive(Clone, Copy)]
pub struct OnHand {
    pub face: RwSignal<Face>,
    /// Nodes whose handles the page keeps off the plate; empty elsewhere.
    pub put_away: RwSignal<Vec<NodeId>>,
    /// The digit whose joints are turned, by its name in the recipe; none: all of them.
    pub whom: RwSignal<Option<String>>,
    /// Joints and tips that the page offers on the plate, which the document gives no grip; empty
    /// elsewhere.
    pub knobs: RwSignal<Vec<Knob>>,
    /// The one under the pointer.
    pub near: RwSignal<Option<NodeId>>,
    /// The dials whose safe spans its desk shows.
    pub asked: RwSignal<Vec<DialId>>,
    /// How far they go safely; empty where nobody finds out.
    spans: RwSignal<Vec<(DialId, Safe)>>,
    /// Whether the pose has changed since.
    pub spans_old: RwSignal<bool>,
    /// The pose on the plate measured, once for all that tell of it.
    pub measured: RwSignal<Option<Cell>>,
}

impl OnHand {
    pub(super) fn new() -> Self {
        let kept = setting_of_tab(FACE);
        let face = kept.and_then(|key| Face::named(&key)).unwrap_or_default();
        Self {
            face: RwSignal::new(face),
            put_away: RwSignal::default(),
            whom: RwSignal::new(None),
            knobs: RwSignal::default(),
            near: RwSignal::new(None),
            asked: RwSignal::default(),
            spans: RwSignal::default(),
            spans_old: RwSignal::new(false),
            measured: RwSignal::new(None),
        }
    }

    /// Turns the page to a face, in this tab and over a reload.
    pub fn turn_to(&self, face: Face) {
        if self.face.with_untracked(|now| *now != face) {
            self.face.set(face);
            set_setting_of_tab(FACE, face.key());
        }
    }

    /// The joint or tip that the page offers at this node.
    pub fn knob(&self, node: NodeId) -> Option<Knob> {
        let find = |all: &Vec<Knob>| all.iter().find(|knob| knob.node == node).cloned();
        self.knobs.with_untracked(find)
    }

    /// Nothing is told anew that is as before.
    pub fn tell_spans(&self, spans: Vec<(DialId, Safe)>) {
        if self.spans.with_untracked(|known| *known != spans) {
            self.spans.set(spans);
        }
        self.spans_old.set(false);
    }

    /// How far a dial goes safely. None: nobody finds out here.
    pub fn span(&self, dial: DialId) -> Option<Safe> {
        if !self.asked.with(|asked| asked.contains(&dial)) {
            return None;
        }
        let known = |all: &Vec<(DialId, Safe)>| {
            let (_, safe) = all.iter().find(|(of, _)| *of == dial)?;
            Some(safe.clone())
        };
        Some(self.spans.with(known).unwrap_or(Safe::Coming))
    }

    /// The page has gone: what it told is no longer so.
    pub fn leave(&self) {
        self.put_away.set(Vec::new());
        self.knobs.set(Vec::new());
        self.near.set(None);
        self.asked.set(Vec::new());
        self.spans.set(Vec::new());
        self.measured.set(None);
    }
}
