//! One pose, measured: slip, depth, and the limit that is hit.
use super::cell::{Cell, Down, Sunk};
use super::limit::{Limit, LimitKind, ROUNDING};
use super::room::{Hinge, hinges, places};
use crate::flesh::{Clearance, Flesh};
use rig::{AnchorId, NodeId, Posed, Rig, Solver, Vec3};

#[derive(Clone, Debug)]
struct Watched {
    node: NodeId,
    at: Vec3,
    surface: Option<NodeId>,
    anchor: Option<AnchorId>,
    /// Whether its contact rolls: the place it is kept at then moves along.
    rolls: bool,
}

/// What to read in each pose, looked up once.
#[derive(Clone, Debug)]
pub(crate) struct Meter {
    plants: Vec<Watched>,
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
        let plants = rig.plants.iter().map(|plant| {
            let mut anchors = rig.anchors.iter();
            let anchor = anchors.find(|anchor| anchor.end == plant.node);
            let rolls = |solver| match solver {
                Solver::Finger { contact, .. } | Solver::Thumb { contact, .. } => contact.is_some(),
                _ => false,
            };
            Watched {
                node: plant.node,
                at: plant.at.into(),
                surface: plant.surface,
                anchor: anchor.map(|anchor| anchor.id),
                rolls: anchor.is_some_and(|anchor| rolls(anchor.solver)),
            }
        });
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
        self.plants.iter().map(|plant| plant.node)
    }

    /// Room for each plant's slip.
    pub fn slips(&self) -> Vec<Option<f64>> {
        vec![None; self.plants.len()]
    }

    /// Whether anything is planted and held.
    pub fn holds_any(&self, posed: &Posed) -> bool {
        self.plants.iter().any(|plant| plant.is_held(posed))
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
        for (at, (plant, slot)) in self.plants.iter().zip(slips).enumerate() {
            *slot = plant.is_held(posed).then(|| plant.slip(posed));
            let Some(slip) = *slot else { continue };
            down.put(at);
            if slip > cell.slip {
                cell.slip = slip;
                cell.slipping = (slip > ROUNDING).then_some(plant.node);
            }
        }
        cell.down = down;
        cell
    }

    fn limit(&self, posed: &Posed) -> Option<Limit> {
        let mut worst: Option<(f64, usize)> = None;
        for (at, &(anchor, _)) in self.anchors.iter().enumerate() {
            let outcome = posed.outcome(anchor);
            // One that eases off is let go before it is at its end.
            let hit = (outcome.limited || outcome.reach_margin < 0.0) && posed.hold(anchor) >= 1.0;
            if hit && worst.is_none_or(|(most, _)| outcome.residual > most) {
                worst = Some((outcome.residual, at));
            }
        }
        let (anchor, hinges) = &self.anchors[worst?.1];
        let margin = posed.outcome(*anchor).reach_margin;
        if margin < 0.0 {
            return Some(Limit {
                anchor: *anchor,
                kind: LimitKind::Reach,
                by: -margin,
            });
        }
        let collapse = posed.collapse(*anchor);
        let rooms = hinges.iter().map(|hinge| hinge.room(posed, collapse));
        let least = rooms.reduce(|a, b| if b.margin < a.margin { b } else { a })?;
        Some(Limit {
            anchor: *anchor,
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
}

impl Watched {
    fn is_held(&self, posed: &Posed) -> bool {
        self.anchor.is_none_or(|anchor| posed.hold(anchor) >= 1.0)
    }

    fn slip(&self, posed: &Posed) -> f64 {
        if let Some(anchor) = self.anchor.filter(|_| self.rolls) {
            return posed.outcome(anchor).residual;
        }
        let point = posed.point(self.node);
        let here = match self.surface {
            Some(surface) => {
                let frame = posed.world(surface);
                frame.inverse_transform_point(&point.into()).coords
            }
            None => point,
        };
        (here - self.at).norm()
    }
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
