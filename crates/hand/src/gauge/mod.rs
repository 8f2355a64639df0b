//! Gauges: live measurements. Nodes, anchors and dials are given by name, since lesson files hold gauges.
mod contact;
mod hold;
mod read;
mod support;

pub use contact::{Contact, Roll, contact, contacts};
pub use hold::Hold;
pub use support::{Support, support};

use rig::file::TurnOrder;
use rig::file::bounds::MOST_LISTED;
use rig::{Order, OwnAxis, WorldAxis};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What to measure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "gauge", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Gauge {
    /// Distance of a planted node from its plant, mm.
    Slip {
        /// A planted node.
        node: String,
    },
    /// The worst slip of all plants, mm (0 when nothing is planted). One that rolls counts while it
    /// is held fully: what lets go has nothing to keep.
    WorstSlip {},
    /// How fully a chain is held, percent: 100 down, less while it lets go, 0 up.
    Hold {
        /// An anchor.
        anchor: String,
    },
    /// Distance of an anchor's end from its target, mm.
    Residual {
        /// An anchor.
        anchor: String,
    },
    /// mm left before an anchored chain is straight.
    ReachMargin {
        /// An anchor.
        anchor: String,
    },
    /// Degrees the middle joint turns per mm of approach; infinite when the chain is straight.
    BendGain {
        /// An anchor with two bones.
        anchor: String,
    },
    /// mm per radian.
    LeastSingularValue {
        /// An anchor.
        anchor: String,
    },
    /// Angle between the bone into a node and the bone out of it, degrees (0: straight).
    Bend {
        /// A joint between two bones.
        node: String,
    },
    /// Distance of a node from where it is with every dial neutral, mm.
    Travel {
        /// A node.
        node: String,
    },
    /// Height of a node over the bench, mm (negative: into it).
    Height {
        /// A node.
        node: String,
    },
    /// Depth of the deepest of these nodes under the bench's top, mm (0 when none is below).
    Penetration {
        /// Nodes.
        #[schemars(length(max = MOST_LISTED))]
        nodes: Vec<String>,
    },
    /// Turn of a node's frame from its pose with every dial neutral, degrees, signed about a world axis.
    Tilt {
        /// A node.
        node: String,
        /// About which.
        axis: WorldAxis,
    },
    /// Distance between two nodes, mm.
    Distance {
        /// A node.
        from: String,
        /// Another.
        to: String,
    },
    /// Distance of a node from a fixed world point, mm.
    OffMark {
        /// A node.
        node: String,
        /// World mm.
        at: [f64; 3],
    },
    /// Distance of a node from where another would be seen in a mirror, mm.
    OffMirror {
        /// A node.
        node: String,
        /// The other, whose image it is.
        of: String,
        /// The mirror's normal: the mirror is a plane square to it.
        axis: WorldAxis,
        /// How far along the normal the mirror stands from the world's origin, mm.
        at: f64,
    },
    /// Degrees left to gimbal lock at the worst: 90 less the most that the middle one of a joint's
    /// turns reaches in its order, over every pose that its limits allow when they are taken in
    /// the order in which they were measured. A turn without limits may be anything.
    Lock {
        /// A node.
        node: String,
        /// In which order its limits were measured.
        #[serde(with = "TurnOrder")]
        measured: Order,
    },
    /// How many times as fast as the joint its outer or inner turn may have to go, as it stands: one
    /// over the cosine of the middle turn; infinite at gimbal lock.
    Leap {
        /// A node.
        node: String,
    },
    /// Turn of a planted node's frame across its surface's normal since it was planted, degrees:
    /// how far a pad has rolled.
    PadRoll {
        /// A planted node.
        node: String,
    },
    /// Turn of a planted node's frame about its surface's normal since it was planted, degrees,
    /// anticlockwise seen from outside.
    PadSpin {
        /// A planted node.
        node: String,
    },
    /// How far a planted node's contact has wandered by rolling, mm: its radius (half its width)
    /// times the roll.
    PadDrift {
        /// A planted node.
        node: String,
    },
    /// Depth of a node's flesh in a surface, mm (0 when it is outside): of a hand's part the flesh
    /// that is drawn about it, of any other node a sphere of half its width.
    FleshDepth {
        /// A node.
        node: String,
    },
    /// Least distance of these nodes' flesh, as in `flesh-depth`, from the nearest surface, mm
    /// (negative: into it).
    Clearance {
        /// Nodes.
        #[schemars(length(max = MOST_LISTED))]
        nodes: Vec<String>,
    },
    /// Depth of the deepest flesh of a hand's digits in a surface, mm (0 when none is in).
    DigitDepth {},
    /// Least distance of the flesh of a hand's palm, heel and thumb's base from a surface, mm
    /// (negative: into it).
    PalmClearance {},
    /// How deep a digit's flesh is in another digit's, in its own or in the palm's, mm (0 when it
    /// is in none). What shares a joint or is joined by the web does not count.
    FleshOverlap {},
    /// A joint's turn about one of its axes, degrees: what its dials or its anchor make of it.
    Turn {
        /// A joint.
        node: String,
        /// About which of its own.
        axis: OwnAxis,
    },
    /// Degrees left to the nearest limit of the joints an anchor turns, under load (negative: past
    /// it).
    LimitMargin {
        /// An anchor.
        anchor: String,
    },
    /// Degrees left to the nearest limit of a joint's own turns, under load (negative: past it).
    JointMargin {
        /// A joint with limits.
        node: String,
    },
    /// Degrees by which a joint is past its own range, where only load brings it (0 within it).
    PastRange {
        /// A joint with limits.
        node: String,
    },
    /// How steeply the line from one node up to another stands over the horizon, degrees.
    Elevation {
        /// A node.
        from: String,
        /// Another.
        to: String,
    },
    /// mm by which the place under a node is inside the polygon that everything that bears spans,
    /// seen from above (negative: outside, so that something else must bear a part: the arm).
    SupportMargin {
        /// Where the load comes down: a wrist, an elbow.
        node: String,
    },
    /// A dial's value.
    Dial {
        /// A dial.
        dial: String,
    },
    /// Degrees of `node`'s tilt about `axis` per unit of `dial`, by central difference.
    Rate {
        /// A node.
        node: String,
        /// About which.
        axis: WorldAxis,
        /// A dial.
        dial: String,
    },
}

impl Gauge {
    /// A short label for the desk: 'slip at the tip'.
    pub fn label(&self) -> String {
        match self {
            Self::Slip { node } => format!("slip at the {node}"),
            Self::WorstSlip {} => "worst slip".to_owned(),
            Self::Hold { anchor } => format!("how fully the {anchor} is down"),
            Self::Residual { anchor } => format!("residual of the {anchor}"),
            Self::ReachMargin { anchor } => format!("reach margin of the {anchor}"),
            Self::BendGain { anchor } => format!("bend gain of the {anchor}"),
            Self::LeastSingularValue { anchor } => format!("least singular value of the {anchor}"),
            Self::Bend { node } => format!("bend at the {node}"),
            Self::Travel { node } => format!("travel of the {node}"),
            Self::Height { node } => format!("height of the {node}"),
            Self::Penetration { nodes } => match &nodes[..] {
                [node] => format!("depth of the {node} in the bench"),
                _ => "depth in the bench".to_owned(),
            },
            Self::Tilt { node, .. } => format!("tilt of the {node}"),
            Self::Distance { from, to } => format!("{from} to {to}"),
            Self::OffMark { node, .. } => format!("{node} off its mark"),
            Self::OffMirror { node, .. } => format!("{node} off its mirror place"),
            Self::Lock { node, .. } => format!("distance of the {node} to the lock"),
            Self::Leap { node } => format!("leap at the {node}"),
            Self::PadRoll { node } => format!("roll of the {node}"),
            Self::PadSpin { node } => format!("spin of the {node}"),
            Self::PadDrift { node } => format!("drift of the {node}"),
            Self::FleshDepth { node } => format!("depth of the {node}"),
            Self::Clearance { nodes } => match &nodes[..] {
                [node] => format!("clearance of the {node}"),
                _ => "clearance".to_owned(),
            },
            Self::DigitDepth {} => "depth of the digits".to_owned(),
            Self::PalmClearance {} => "clearance of the palm".to_owned(),
            Self::FleshOverlap {} => "flesh overlap".to_owned(),
            Self::Turn { node, axis } => {
                format!("turn of the {node} about {}", axis.name())
            }
            Self::LimitMargin { anchor } => format!("limit margin of the {anchor}"),
            Self::JointMargin { node } => format!("limit margin of the {node}"),
            Self::PastRange { node } => format!("turn of the {node} past its range"),
            Self::Elevation { from, to } => format!("elevation from {from} to {to}"),
            Self::SupportMargin { node } => format!("support under the {node}"),
            Self::Dial { dial } => dial.clone(),
            Self::Rate { node, dial, .. } => format!("turn of the {node} by {dial}"),
        }
    }
}
