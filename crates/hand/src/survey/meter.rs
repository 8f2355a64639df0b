//! One pose, measured: worst slip, and the limit that is hit.
use rig::index::Index;
use rig::{AnchorId, Channel, Kind, Node, NodeId, Posed, Rig, Solver, Vec3};

/// What slips or passes a limit by less, mm or degrees, does so by rounding.
const ROUNDING: f64 = 1e-9;

/// A pose of the grid, every plant measured.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cell {
    /// The worst slip, mm.
    pub slip: f64,
    /// Whose; none when nothing slips.
    pub slipping: Option<NodeId>,
    /// The limit that is hit: where several are, that of the anchor whose end misses by most,
    /// among equals the first in the document.
    pub limit: Option<Limit>,
}

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
                format!("the {name} is at its {end} turn about {turn}")
            }
        }
    }
}

/// How far one turn of a joint is from its limits, degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// The joint.
    pub node: NodeId,
    /// Which of its turns.
    pub channel: Channel,
    /// The turn now.
    pub turn: f64,
    /// To the nearer limit; negative past it.
    pub margin: f64,
    /// Whether that is the upper one.
    pub upper: bool,
}

/// A turn with limits in an anchor's chain.
#[derive(Clone, Copy, Debug)]
struct Hinge {
    node: NodeId,
    channel: Channel,
    limits: (f64, f64),
    /// How far load pushes the lower limit back, degrees.
    give: f64,
}

#[derive(Clone, Debug)]
struct Watched {
    node: NodeId,
    at: Vec3,
    surface: Option<NodeId>,
    anchor: Option<AnchorId>,
}

/// What to read in each pose, looked up once.
#[derive(Clone, Debug)]
pub(crate) struct Meter {
    plants: Vec<Watched>,
    anchors: Vec<(AnchorId, Vec<Hinge>)>,
}

impl Meter {
    pub fn new(rig: &Rig) -> Self {
        let plants = rig.plants.iter().map(|plant| Watched {
            node: plant.node,
            at: plant.at.into(),
            surface: plant.surface,
            anchor: rig
                .anchors
                .iter()
                .find(|anchor| anchor.end == plant.node)
                .map(|anchor| anchor.id),
        });
        let nodes = places(rig);
        let anchors = rig.anchors.iter();
        Self {
            plants: plants.collect(),
            anchors: anchors
                .map(|anchor| (anchor.id, hinges(rig, &nodes, anchor)))
                .collect(),
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
        let mut cell = Cell::default();
        for (plant, slot) in self.plants.iter().zip(slips) {
            *slot = plant.is_held(posed).then(|| plant.slip(posed));
            if let Some(slip) = *slot
                && slip > cell.slip
            {
                cell.slip = slip;
                cell.slipping = (slip > ROUNDING).then_some(plant.node);
            }
        }
        cell.limit = self.limit(posed);
        cell
    }

    fn limit(&self, posed: &Posed) -> Option<Limit> {
        let mut worst: Option<(f64, usize)> = None;
        for (at, &(anchor, _)) in self.anchors.iter().enumerate() {
            let outcome = posed.outcome(anchor);
            let hit = (outcome.limited || outcome.reach_margin < 0.0) && posed.hold(anchor) > 0.0;
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

impl Hinge {
    fn room(&self, posed: &Posed, collapse: f64) -> Room {
        let turn = posed.turns(self.node)[self.channel.index()];
        let give = if collapse > 0.0 { self.give } else { 0.0 };
        let (below, above) = (turn - (self.limits.0 - give), self.limits.1 - turn);
        Room {
            node: self.node,
            channel: self.channel,
            turn,
            margin: if above < below { above } else { below },
            upper: above < below,
        }
    }
}

/// The room left in every turn with limits of the joints an anchor turns, base first.
pub fn room(posed: &Posed, anchor: AnchorId) -> Vec<Room> {
    let rig = posed.rig();
    let Some(found) = rig.anchor(anchor) else {
        return Vec::new();
    };
    let collapse = posed.collapse(anchor);
    let hinges = hinges(rig, &places(rig), found).into_iter();
    hinges.map(|hinge| hinge.room(posed, collapse)).collect()
}

/// The room left in every turn of one joint that has limits.
pub fn joint_room(posed: &Posed, joint: NodeId) -> Vec<Room> {
    let rig = posed.rig();
    let nodes = places(rig);
    let turning = rig.anchors.iter().find(|anchor| {
        let mut hinges = hinges(rig, &nodes, anchor).into_iter();
        hinges.any(|hinge| hinge.node == joint)
    });
    match turning {
        // Load may have pushed its limit back.
        Some(anchor) => {
            let room = room(posed, anchor.id).into_iter();
            room.filter(|room| room.node == joint).collect()
        }
        None => {
            let hinges = rig.node(joint).into_iter().flat_map(own_hinges);
            hinges.map(|hinge| hinge.room(posed, 0.0)).collect()
        }
    }
}

fn places(rig: &Rig) -> Index {
    Index::new(rig.nodes.iter().map(|node| node.id.0))
}

/// The turns with limits of the joints an anchor turns, base first. Locked ones have no room to
/// speak of.
fn hinges(rig: &Rig, places: &Index, anchor: &rig::Anchor) -> Vec<Hinge> {
    let node = |id: NodeId| places.get(id.0).map(|at| &*rig.nodes[at]);
    let mut joints = Vec::new();
    let mut at = anchor.end;
    // An anchor that only turns its base has it as its end.
    if anchor.end == anchor.base {
        joints.push(at);
    }
    while at != anchor.base {
        let Some(above) = node(at).and_then(|node| node.parent) else {
            break;
        };
        joints.push(above);
        at = above;
    }
    joints.reverse();
    let nodes = joints.into_iter().filter_map(node);
    let joints = nodes.filter(|node| node.kind == Kind::Joint);
    let mut hinges: Vec<_> = joints.flat_map(own_hinges).collect();
    if let (Solver::Finger { give, .. }, Some(last)) = (anchor.solver, hinges.last_mut()) {
        last.give = give;
    }
    hinges
}

fn own_hinges(node: &Node) -> impl Iterator<Item = Hinge> {
    let turns = Channel::ALL.into_iter().filter(|channel| channel.is_turn());
    turns.filter_map(|channel| {
        let limits = node.limits[channel.index()]?;
        (limits.0 < limits.1).then_some(Hinge {
            node: node.id,
            channel,
            limits,
            give: 0.0,
        })
    })
}
