//! Dials and what they drive.
use crate::{AnchorId, DialId, NodeId};
use kinematics::Channel;
use recipe::DialRole;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A dial's unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[allow(missing_docs)]
pub enum Unit {
    #[serde(rename = "deg")]
    Degrees,
    #[serde(rename = "mm")]
    Millimetres,
    #[serde(rename = "%")]
    Percent,
}

/// Which side of neutral a drive answers to (docs/mathematics.md 6): both, above it only, below it
/// only, or above it from a second stage on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Ramp {
    /// Both sides, linear.
    #[default]
    Whole,
    /// `ramp(value − neutral)`.
    Rising,
    /// `ramp(neutral − value)`.
    Falling,
    /// `ramp(ramp(value − neutral) − this)`: what comes in a second stage, from here in the dial's
    /// unit.
    RisingPast(f64),
}

impl Ramp {
    pub(crate) fn is_whole(&self) -> bool {
        *self == Self::Whole
    }
}

/// What a drive acts on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Target {
    /// A channel of a node, degrees or mm.
    Channel(NodeId, Channel),
    /// How far load has collapsed a finger anchor's last joint.
    Collapse(AnchorId),
    /// How fully an anchor holds: 1 at neutral.
    Hold(AnchorId),
}

/// One thing a dial drives: target += gain · shaped(value − neutral).
#[derive(Clone, Debug, PartialEq)]
pub struct Drive {
    /// What.
    pub target: Target,
    /// In the target's unit per dial unit.
    pub gain: f64,
    /// Shape.
    pub ramp: Ramp,
}

impl Drive {
    /// By the whole of a dial.
    pub fn whole(target: Target, gain: f64) -> Self {
        Self {
            target,
            gain,
            ramp: Ramp::Whole,
        }
    }

    /// The node it moves by itself, if it moves one.
    pub fn node(&self) -> Option<NodeId> {
        match self.target {
            Target::Channel(node, _) => Some(node),
            Target::Collapse(_) | Target::Hold(_) => None,
        }
    }

    /// Whether it turns a node.
    pub fn turns(&self) -> bool {
        matches!(self.target, Target::Channel(_, channel) if channel.is_turn())
    }

    /// The anchor it acts on, if it acts on one.
    pub fn anchor(&self) -> Option<AnchorId> {
        match self.target {
            Target::Channel(..) => None,
            Target::Collapse(anchor) | Target::Hold(anchor) => Some(anchor),
        }
    }
}

/// One named channel with a unit, a neutral value and limits.
#[derive(Clone, Debug, PartialEq)]
pub struct Dial {
    /// Its id.
    pub id: DialId,
    /// Unique among dials.
    pub name: String,
    /// Unit of all its numbers.
    pub unit: Unit,
    /// Where it does nothing.
    pub neutral: f64,
    /// Least value.
    pub min: f64,
    /// Greatest value.
    pub max: f64,
    /// Changeover width w of its ramps, in its unit; 0: a kink. None: not editable on the desk (0).
    pub softness: Option<f64>,
    /// What it moves.
    pub drives: Vec<Drive>,
    /// What it does of a hand, whatever its name.
    pub role: Option<DialRole>,
}

impl Dial {
    /// A dial neutral at 0, for which no softness is set on the desk.
    pub fn new(
        id: DialId,
        name: &str,
        unit: Unit,
        (min, max): (f64, f64),
        drives: Vec<Drive>,
    ) -> Self {
        Self {
            id,
            name: name.to_owned(),
            unit,
            neutral: 0.0,
            min,
            max,
            softness: None,
            drives,
            role: None,
        }
    }

    /// A value within its limits.
    pub fn clamped(&self, value: f64) -> f64 {
        if value < self.min {
            self.min
        } else if value > self.max {
            self.max
        } else {
            value
        }
    }
}
