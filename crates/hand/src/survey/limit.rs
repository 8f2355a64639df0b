//! The limit that a chain is at.
use rig::{AnchorId, Channel, NodeId, Rig};

/// What slips or passes a limit by less, mm or degrees, does so by rounding.
pub(super) const ROUNDING: f64 = 1e-9;

/// A limit that is hit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// Whose chain.
    pub anchor: AnchorId,
    /// What stops it.
    pub kind: LimitKind,
    /// How far past: mm for a reach, degrees for a joint (0: at it, held there).
    pub by: f64,
}

/// What stops a chain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LimitKind {
    /// The target is farther than the chain is long.
    Reach,
    /// A joint is at the end of its range.
    Joint {
        /// The joint.
        node: NodeId,
        /// Which of its turns.
        channel: Channel,
        /// At its greatest value, not its least.
        upper: bool,
    },
}

impl Limit {
    /// Whether only load brings a joint to this end: its own range ends before.
    pub fn only_load(&self, rig: &Rig) -> bool {
        let LimitKind::Joint {
            node,
            channel,
            upper,
        } = self.kind
        else {
            return false;
        };
        let Some(node) = rig.node(node) else {
            return false;
        };
        let own = node.limits[channel.index()];
        let held = node.held_limit(channel).zip(own);
        held.is_some_and(|(held, own)| {
            if upper {
                held.1 > own.1
            } else {
                held.0 < own.0
            }
        })
    }

    /// In words: 'the little-finger is out of reach'.
    pub fn told(&self, rig: &Rig) -> String {
        let anchor = rig.anchor(self.anchor);
        let anchor = anchor.map_or("?", |anchor| anchor.name.as_str());
        match self.kind {
            LimitKind::Reach => format!("the {anchor} is out of reach"),
            LimitKind::Joint {
                node,
                channel,
                upper,
            } => {
                let name = rig.node(node).map_or("?", |node| &node.name);
                let end = if upper { "greatest" } else { "least" };
                let turn = ["x", "y", "z"][channel.index() % 3];
                let load = if self.only_load(rig) {
                    ", where only load brings it"
                } else {
                    ""
                };
                format!("the {name} is at its {end} turn about {turn}{load}")
            }
        }
    }
}
