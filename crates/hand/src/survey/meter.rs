//! One pose, measured: slip, depth, and the limit that is hit.
use super::cell::{Cell, Down, Sunk};
use super::limit::{Limit, LimitKind, ROUNDING};
use super::room::{Hinge, hinges, places};
use crate::flesh::{Clearance, Flesh};
use crate::press::planted;
use rig::{AnchorId, DOWN, NodeId, Posed, Rig};

/// What to read in each pose, looked up once.
#[derive(Clone, Debug)]
pub(crate) struct Meter {
    plants: Vec<NodeId>,
    anchors: Vec<(AnchorId, Vec<Hinge>)>,
    flesh: Flesh,
}

/// Measures one evaluated pose; a survey measures many quicker.
pub fn measure(posed: &Posed) -> Cell {
    let meter = Meter::new(posed.rig());
    meter.read(posed, &mut meter.slips())
}

impl Meter {
    pub fn new(rig: &Rig) -> Self {
        let plants = rig.plants.iter().map(|plant| plant.node);
        let nodes = places(rig);
        let anchors = rig.anchors.iter();
        Self {
            plants: plants.collect(),
            anchors: anchors
                .map(|anchor| (anchor.id, hinges(rig, &nodes, anchor)))
                .collect(),
            flesh: Flesh::of(rig),
        }
    }

    pub fn plants(&self) -> impl ExactSizeIterator<Item = NodeId> {
        self.plants.iter().copied()
    }

    /// Room for each plant's slip.
    pub fn slips(&self) -> Vec<Option<f64>> {
        vec![None; self.plants.len()]
    }

    /// Whether anything is planted and held: down in this pose, or as it was planted, for a digit
    /// that lets go by itself comes down again.
    pub fn holds_any(&self, posed: &Posed) -> bool {
        let is_down = |posed: &Posed| (0..self.plants.len()).any(|at| posed.footing(at).is_down());
        is_down(posed) || is_down(&planted(posed))
    }

    /// Measures an evaluated pose; `slips` takes each plant's. Allocates nothing.
    pub fn read(&self, posed: &Posed, slips: &mut [Option<f64>]) -> Cell {
        let mut cell = self.slips_of(posed, slips);
        let clear = self.flesh.clearances(posed);
        cell.pad = sunk(clear.pad);
        cell.palm = sunk(clear.palm);
        cell.limit = self.limit(posed);
        cell
    }

    /// What of it slips and is held, without its depths and limits.
    pub fn slips_of(&self, posed: &Posed, slips: &mut [Option<f64>]) -> Cell {
        let mut cell = Cell::default();
        let mut down = Down::default();
        for (at, (&node, slot)) in self.plants.iter().zip(slips).enumerate() {
            let footing = posed.footing(at);
            *slot = footing.is_down().then_some(footing.slip);
            let Some(slip) = *slot else { continue };
            down.put(at);
            if slip > cell.slip {
                cell.slip = slip;
                cell.slipping = (slip > ROUNDING).then_some(node);
            }
        }
        cell.down = down;
        cell
    }

    /// Of the limits that are hit the worst: one that is passed before one that is only reached,
    /// then that whose anchor misses by most. A finger held at its limit hides no wrist past its own.
    fn limit(&self, posed: &Posed) -> Option<Limit> {
        let mut worst: Option<((bool, f64), Limit)> = None;
        for (anchor, hinges) in &self.anchors {
            let outcome = posed.outcome(*anchor);
            // One that eases off is let go before it is at its end.
            let hit =
                (outcome.limited || outcome.reach_margin < 0.0) && posed.hold(*anchor) >= DOWN;
            let limit = hit.then(|| self::limit(posed, *anchor, hinges)).flatten();
            let Some(limit) = limit else { continue };
            let rank = (limit.by > 0.0, outcome.residual);
            if worst.is_none_or(|(most, _)| rank > most) {
                worst = Some((rank, limit));
            }
        }
        worst.map(|(_, limit)| limit)
    }
}

/// What stops a chain that is stopped: its reach, else its joint nearest to an end or past it.
fn limit(posed: &Posed, anchor: AnchorId, hinges: &[Hinge]) -> Option<Limit> {
    let margin = posed.outcome(anchor).reach_margin;
    if margin < 0.0 {
        return Some(Limit {
            anchor,
            kind: LimitKind::Reach,
            by: -margin,
        });
    }
    let collapse = posed.collapse(anchor);
    let rooms = hinges.iter().map(|hinge| hinge.room(posed, collapse));
    let least = rooms.reduce(|a, b| if b.margin < a.margin { b } else { a })?;
    Some(Limit {
        anchor,
        kind: LimitKind::Joint {
            node: least.node,
            channel: least.channel,
            upper: least.upper,
        },
        by: if least.margin < -ROUNDING {
            -least.margin
        } else {
            0.0
        },
    })
}

fn sunk(clearance: Option<Clearance>) -> Sunk {
    match clearance {
        Some(Clearance { mm, node }) if mm < -ROUNDING => Sunk {
            by: -mm,
            node: Some(node),
        },
        _ => Sunk::default(),
    }
}
