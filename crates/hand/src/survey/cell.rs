//! A pose of the grid, and whether it is safe.
use super::Tolerance;
use super::limit::{Limit, LimitKind, ROUNDING};
use crate::flesh::Kind;
use rig::NodeId;

/// A pose of the grid, everything planted measured.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cell {
    /// The worst slip of what is held fully, mm.
    pub slip: f64,
    /// Whose; none when nothing slips.
    pub slipping: Option<NodeId>,
    /// The deepest flesh of a digit.
    pub pad: Sunk,
    /// The deepest flesh of palm, heel and thumb's base.
    pub palm: Sunk,
    /// The limit that is hit: where several are, one that is passed before one only reached, then
    /// that of the fully held anchor whose end misses by most, among equals the first in the document.
    pub limit: Option<Limit>,
    /// Which plants are down.
    pub down: Down,
}

/// How deep flesh is in what it presses on.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sunk {
    /// mm; 0: nowhere.
    pub by: f64,
    /// The joint that carries it; none when nothing is in.
    pub node: Option<NodeId>,
}

/// Which plants are down, by their places in the document; only the first 32 are told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Down(pub u32);

impl Down {
    /// Notes a plant that is.
    pub(super) fn put(&mut self, plant: usize) {
        if plant < 32 {
            self.0 |= 1 << plant;
        }
    }

    /// Whether a plant is.
    pub fn has(self, plant: usize) -> bool {
        plant < 32 && self.0 & (1 << plant) != 0
    }

    /// How many are.
    pub fn count(self) -> usize {
        self.0.count_ones() as usize
    }

    /// Whether all of these are.
    pub fn holds(self, others: Self) -> bool {
        others.0 & !self.0 == 0
    }
}

/// What makes a pose unsafe, and whose it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ends {
    /// This planted node slips.
    Slips(NodeId),
    /// This joint's flesh is too deep, a digit's or the palm's.
    Sinks(NodeId, Kind),
    /// A limit is passed.
    Limit(Limit),
}

impl Cell {
    /// The worst of slip, depths and limit, each over what is allowed of it: safe up to 1. A
    /// chain out of reach misses by a slip and is allowed as much; a joint past its range is
    /// allowed nothing. It is continuous but for that last jump, so that the safe region's
    /// boundary can be drawn where it is 1.
    pub fn strain(&self, tolerance: &Tolerance) -> f64 {
        let parts = self.parts(tolerance);
        parts
            .iter()
            .fold(0.0, |worst, &part| if part > worst { part } else { worst })
    }

    /// Whether nothing slips or sinks further than allowed and no limit is passed.
    pub fn is_safe(&self, tolerance: &Tolerance) -> bool {
        self.strain(tolerance) <= 1.0
    }

    /// What makes it unsafe most; none where it is safe.
    pub fn ends(&self, tolerance: &Tolerance) -> Option<Ends> {
        let [slip, pad, palm, limit] = self.parts(tolerance);
        let all = [
            (slip, self.slipping.map(Ends::Slips)),
            (pad, self.pad.node.map(|node| Ends::Sinks(node, Kind::Pad))),
            (
                palm,
                self.palm.node.map(|node| Ends::Sinks(node, Kind::Palm)),
            ),
            (limit, self.limit.map(Ends::Limit)),
        ];
        let mut worst = (1.0, None);
        for (part, ends) in all {
            // A reach is missed by the slip it makes: that is told then.
            let beats = match ends {
                Some(Ends::Limit(_)) if worst.1.is_some() => worst.0 * (1.0 + ROUNDING),
                _ => worst.0,
            };
            if part > beats {
                worst = (part, ends);
            }
        }
        worst.1
    }

    /// The deepest flesh of a kind.
    pub fn sunk(&self, kind: Kind) -> Sunk {
        match kind {
            Kind::Pad => self.pad,
            Kind::Palm => self.palm,
        }
    }

    fn parts(&self, tolerance: &Tolerance) -> [f64; 4] {
        let limit = self.limit.map_or(0.0, |limit| match limit.kind {
            LimitKind::Reach => over(limit.by, tolerance.slip),
            LimitKind::Joint { .. } if limit.by > ROUNDING => 1.0 + limit.by,
            LimitKind::Joint { .. } => 0.0,
        });
        [
            over(self.slip, tolerance.slip),
            over(self.pad.by, tolerance.pad),
            over(self.palm.by, tolerance.palm),
            limit,
        ]
    }
}

/// A value over what is allowed of it; where nothing is, none of it or too much.
fn over(value: f64, allowed: f64) -> f64 {
    if allowed > 0.0 {
        value / allowed
    } else if value <= allowed {
        0.0
    } else {
        f64::INFINITY
    }
}
