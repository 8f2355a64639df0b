//! Gauges: live measurements. Nodes, anchors and dials are given by name, since lesson files hold gauges.
mod contact;
mod support;

pub use contact::{Contact, Roll, contact, contacts};
pub use support::{Support, support};

use crate::survey::{self, Room};
use rig::file::bounds::MOST_LISTED;
use rig::measure::{bend, rate, tilt};
use rig::{AnchorId, Dial, Node, Posed, Rig, Unit, Vec3};
use rig::{DEGREES, OwnAxis, Reading, WorldAxis};
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
    /// The worst slip of all plants, mm (0 when nothing is planted).
    WorstSlip {},
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
    /// Depth of a node's flesh (half its width) in its surface, mm (0 when it is outside).
    FleshDepth {
        /// A node.
        node: String,
    },
    /// Least distance of these nodes' flesh (half their widths) from the nearest surface, mm
    /// (negative: into it).
    Clearance {
        /// Nodes.
        #[schemars(length(max = MOST_LISTED))]
        nodes: Vec<String>,
    },
    /// A joint's turn about one of its axes, degrees: what its dials or its anchor make of it.
    Turn {
        /// A joint.
        node: String,
        /// About which of its own.
        axis: OwnAxis,
    },
    /// Degrees left to the nearest limit of the joints an anchor turns (negative: past it).
    LimitMargin {
        /// An anchor.
        anchor: String,
    },
    /// Degrees left to the nearest limit of a joint's own turns (negative: past it).
    JointMargin {
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
    /// mm by which the place under a node is inside the polygon that everything planted spans,
    /// seen from above (negative: outside, so the load tips over its edge).
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
    /// Measures an evaluated pose; what needs another pose is measured on a copy.
    ///
    /// # Errors
    /// A sentence when a name is unknown or there is nothing to measure.
    ///
    /// ```
    /// use hand::{Gauge, Planting, Recipe};
    ///
    /// let recipe = Recipe { planting: Some(Planting::default()), ..Recipe::default() };
    /// let mut posed = rig::Posed::new(&hand::document(&recipe)?)?;
    /// let slip = Gauge::WorstSlip {};
    /// assert_eq!(slip.read(&posed).map(|mm| mm.to_string()), Ok("0.00 mm".to_owned()));
    /// posed.set_dial(hand::press_dials(posed.rig())[0], 80.0); // lifted by degrees
    /// posed.evaluate();
    /// assert!(slip.read(&posed).is_ok_and(|mm| mm.value > 1.0));
    /// # Ok::<(), rig::Fault>(())
    /// ```
    pub fn read(&self, posed: &Posed) -> Result<Reading, String> {
        let rig = posed.rig();
        let point = |name: &str| node(rig, name).map(|n| posed.point(n.id));
        match self {
            Self::Slip { node: name } => {
                let slip = posed.slip(node(rig, name)?.id);
                slip.map(mm)
                    .ok_or_else(|| format!("'{name}' is not planted"))
            }
            Self::WorstSlip {} => {
                let slips = rig.plants.iter().filter_map(|p| posed.slip(p.node));
                Ok(mm(slips.fold(0.0, larger)))
            }
            Self::Residual { anchor: name } => Ok(mm(posed.outcome(anchor(rig, name)?).residual)),
            Self::ReachMargin { anchor: name } => {
                Ok(mm(posed.outcome(anchor(rig, name)?).reach_margin))
            }
            Self::BendGain { anchor: name } => {
                Ok(reading(posed.bend_gain(anchor(rig, name)?), "°/mm", 1))
            }
            Self::LeastSingularValue { anchor: name } => Ok(reading(
                posed.least_singular_value(anchor(rig, name)?),
                "mm/rad",
                2,
            )),
            Self::Bend { node: name } => bend(posed, node(rig, name)?).map(degrees),
            Self::Travel { node: name } => {
                let id = node(rig, name)?.id;
                Ok(mm((posed.point(id) - neutral(posed).point(id)).norm()))
            }
            Self::Height { node: name } => Ok(mm(point(name)?.y - bench(rig)?)),
            Self::Penetration { nodes } => {
                let top = bench(rig)?;
                let depths = nodes.iter().map(|name| Ok(top - point(name)?.y));
                Ok(mm(depths
                    .collect::<Result<Vec<f64>, String>>()?
                    .into_iter()
                    .fold(0.0, larger)))
            }
            Self::Tilt { node: name, axis } => {
                let id = node(rig, name)?.id;
                Ok(degrees(tilt(&neutral(posed), posed, id, *axis)))
            }
            Self::Distance { from, to } => Ok(mm((point(to)? - point(from)?).norm())),
            Self::OffMark { node, at } => Ok(mm((point(node)? - Vec3::from(*at)).norm())),
            Self::PadRoll { node: name } => {
                let roll = rolled(posed, name)?;
                Ok(degrees(roll.across))
            }
            Self::PadSpin { node: name } => {
                let roll = rolled(posed, name)?;
                Ok(degrees(roll.about))
            }
            Self::PadDrift { node: name } => {
                let roll = rolled(posed, name)?;
                Ok(mm(roll.drift))
            }
            Self::FleshDepth { node: name } => {
                let clear = clearance(posed, node(rig, name)?)?;
                Ok(mm(larger(0.0, 0.0 - clear)))
            }
            Self::Clearance { nodes } => {
                let clear = nodes.iter().map(|name| clearance(posed, node(rig, name)?));
                let least = clear
                    .collect::<Result<Vec<_>, _>>()?
                    .into_iter()
                    .reduce(smaller);
                least
                    .map(mm)
                    .ok_or_else(|| "no node is named to measure from".to_owned())
            }
            Self::Turn { node: name, axis } => {
                let turns = posed.turns(node(rig, name)?.id);
                Ok(degrees(turns[*axis as usize]))
            }
            Self::LimitMargin { anchor: name } => {
                let room = survey::room(posed, anchor(rig, name)?);
                least(room).ok_or_else(|| format!("no joint of '{name}' has a limit"))
            }
            Self::JointMargin { node: name } => {
                let room = survey::joint_room(posed, node(rig, name)?.id);
                least(room).ok_or_else(|| format!("'{name}' has no limit"))
            }
            Self::Elevation { from, to } => {
                let up = point(to)? - point(from)?;
                let level = libm::hypot(up.x, up.z);
                Ok(degrees(libm::atan2(up.y, level) * DEGREES))
            }
            Self::SupportMargin { node: name } => {
                let load = posed.point(node(rig, name)?.id);
                let support = support(posed, &load);
                support
                    .map(|support| mm(support.margin))
                    .ok_or_else(|| "nothing is planted that could bear a load".to_owned())
            }
            Self::Dial { dial: name } => {
                let dial = dial(rig, name)?;
                Ok(match dial.unit {
                    Unit::Degrees => degrees(posed.dial(dial.id)),
                    Unit::Millimetres => mm(posed.dial(dial.id)),
                    Unit::Percent => reading(posed.dial(dial.id), "%", 0),
                })
            }
            Self::Rate {
                node: name,
                axis,
                dial: of,
            } => {
                let (id, dial) = (node(rig, name)?.id, dial(rig, of)?);
                let unit = match dial.unit {
                    Unit::Degrees => "°/°",
                    Unit::Millimetres => "°/mm",
                    Unit::Percent => "°/%",
                };
                Ok(reading(rate(posed, id, *axis, dial), unit, 2))
            }
        }
    }

    /// A short label for the desk: 'slip at the tip'.
    pub fn label(&self) -> String {
        match self {
            Self::Slip { node } => format!("slip at the {node}"),
            Self::WorstSlip {} => "worst slip".to_owned(),
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
            Self::PadRoll { node } => format!("roll of the {node}"),
            Self::PadSpin { node } => format!("spin of the {node}"),
            Self::PadDrift { node } => format!("drift of the {node}"),
            Self::FleshDepth { node } => format!("depth of the {node}"),
            Self::Clearance { nodes } => match &nodes[..] {
                [node] => format!("clearance of the {node}"),
                _ => "clearance".to_owned(),
            },
            Self::Turn { node, axis } => {
                format!("turn of the {node} about {}", axis.name())
            }
            Self::LimitMargin { anchor } => format!("limit margin of the {anchor}"),
            Self::JointMargin { node } => format!("limit margin of the {node}"),
            Self::Elevation { from, to } => format!("elevation from {from} to {to}"),
            Self::SupportMargin { node } => format!("support under the {node}"),
            Self::Dial { dial } => dial.clone(),
            Self::Rate { node, dial, .. } => format!("turn of the {node} by {dial}"),
        }
    }
}

fn reading(value: f64, unit: &'static str, decimals: u8) -> Reading {
    Reading {
        value,
        unit,
        decimals,
    }
}

fn mm(value: f64) -> Reading {
    reading(value, "mm", 2)
}

fn degrees(value: f64) -> Reading {
    reading(value, "°", 1)
}

fn larger(a: f64, b: f64) -> f64 {
    if b > a { b } else { a }
}

fn smaller(a: f64, b: f64) -> f64 {
    if b < a { b } else { a }
}

fn least(room: Vec<Room>) -> Option<Reading> {
    let margins = room.iter().map(|room| room.margin);
    margins.reduce(smaller).map(degrees)
}

fn rolled(posed: &Posed, name: &str) -> Result<Roll, String> {
    let rig = posed.rig();
    let found = contact(posed, node(rig, name)?.id);
    found
        .map(|contact| contact.roll)
        .ok_or_else(|| format!("'{name}' is not planted"))
}

fn clearance(posed: &Posed, node: &Node) -> Result<f64, String> {
    contact::clearance(posed, node)
        .ok_or_else(|| "this document has no surface to measure from".to_owned())
}

fn node<'a>(rig: &'a Rig, name: &str) -> Result<&'a Node, String> {
    rig.node_named(name)
        .ok_or_else(|| format!("there is no node named '{name}'"))
}

fn anchor(rig: &Rig, name: &str) -> Result<AnchorId, String> {
    let anchor = rig.anchor_named(name);
    anchor
        .map(|a| a.id)
        .ok_or_else(|| format!("there is no anchor named '{name}'"))
}

fn dial<'a>(rig: &'a Rig, name: &str) -> Result<&'a Dial, String> {
    rig.dial_named(name)
        .ok_or_else(|| format!("there is no dial named '{name}'"))
}

fn bench(rig: &Rig) -> Result<f64, String> {
    rig.bench
        .ok_or_else(|| "this document has no bench to measure from".to_owned())
}

fn neutral(posed: &Posed) -> Posed {
    let mut neutral = posed.clone();
    neutral.set_neutral();
    neutral.evaluate();
    neutral
}
