//! How much room joints have left.
use super::limit::ROUNDING;
use rig::index::Index;
use rig::{AnchorId, Channel, Kind, Node, NodeId, Posed, Rig, Solver};

/// How far one turn of a joint is from the limits it is held within, degrees: those under load
/// where it has such, else its own.
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
    /// How far it is past its own limits, where only load brings it; 0: within them.
    pub beyond: f64,
}

/// A turn with limits in an anchor's chain.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hinge {
    node: NodeId,
    channel: Channel,
    /// What an anchor keeps it within, and what it is moved within without load.
    limits: (f64, f64),
    active: (f64, f64),
    /// How far load pushes the lower limit back, degrees.
    give: f64,
}

impl Hinge {
    pub(super) fn room(&self, posed: &Posed, collapse: f64) -> Room {
        let turn = posed.turns(self.node)[self.channel.index()];
        let give = if collapse > 0.0 { self.give } else { 0.0 };
        let (below, above) = (turn - (self.limits.0 - give), self.limits.1 - turn);
        let past = if turn > self.active.1 {
            turn - self.active.1
        } else {
            self.active.0 - turn
        };
        Room {
            node: self.node,
            channel: self.channel,
            turn,
            margin: if above < below { above } else { below },
            upper: above < below,
            beyond: if past > ROUNDING { past } else { 0.0 },
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

pub(super) fn places(rig: &Rig) -> Index {
    Index::new(rig.nodes.iter().map(|node| node.id.0))
}

/// The turns with limits of the joints an anchor turns, base first. Locked ones have no room to
/// speak of.
pub(super) fn hinges(rig: &Rig, places: &Index, anchor: &rig::Anchor) -> Vec<Hinge> {
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
        let limits = node.held_limit(channel)?;
        (limits.0 < limits.1).then_some(Hinge {
            node: node.id,
            channel,
            limits,
            active: node.limits[channel.index()].unwrap_or(limits),
            give: 0.0,
        })
    })
}
