//! Where everything stands that can be set without changing a rig's structure.
use crate::{AnchorId, DialId, Rig};
use serde::{Deserialize, Serialize};

/// A value for every dial of a rig and a switch for every anchor, in the rig's order.
///
/// What a drag finds, a ghost, a kept pose, a sweep, a prediction and a step of undo all are:
/// with the rig it is a document, and a pose follows from it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Setting {
    /// By dial, in its unit.
    pub dials: Vec<f64>,
    /// By anchor: whether it is on.
    pub active: Vec<bool>,
}

impl Setting {
    /// Whether it has a value for each dial and a switch for each anchor.
    pub fn fits(&self, rig: &Rig) -> bool {
        self.dials.len() == rig.dials.len() && self.active.len() == rig.anchors.len()
    }

    /// The same of another rig: what both have stays as it is, by id; everything else is
    /// neutral and on.
    pub fn carried(&self, from: &Rig, to: &Rig) -> Self {
        let dials = to
            .dials
            .iter()
            .map(|dial| self.dial(from, dial.id).unwrap_or(dial.neutral));
        let active = to.anchors.iter();
        let active = active.map(|anchor| self.anchor(from, anchor.id).unwrap_or(true));
        Self {
            dials: dials.collect(),
            active: active.collect(),
        }
    }

    /// A dial's value; none: the rig has no such dial.
    pub fn dial(&self, rig: &Rig, id: DialId) -> Option<f64> {
        let at = rig.dials.iter().position(|dial| dial.id == id)?;
        self.dials.get(at).copied()
    }

    /// Whether an anchor is on; none: the rig has no such anchor.
    pub fn anchor(&self, rig: &Rig, id: AnchorId) -> Option<bool> {
        let at = rig.anchors.iter().position(|anchor| anchor.id == id)?;
        self.active.get(at).copied()
    }

    /// Puts a dial somewhere, within its limits. A dial that the rig does not have is left out.
    pub fn set_dial(&mut self, rig: &Rig, id: DialId, value: f64) {
        if let Some(at) = rig.dials.iter().position(|dial| dial.id == id) {
            self.dials[at] = rig.dials[at].clamped(value);
        }
    }

    /// Turns an anchor on or off. An anchor that the rig does not have is left out.
    pub fn set_anchor(&mut self, rig: &Rig, id: AnchorId, active: bool) {
        if let Some(at) = rig.anchors.iter().position(|anchor| anchor.id == id) {
            self.active[at] = active;
        }
    }
}
