//! What a step asks for, as its file has it.
use crate::act::Act;
use crate::said::Said;
use hand::Gauge;
use rig::file::bounds::MOST_LISTED;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What is asked. Names are those of the step's document; angles degrees, lengths mm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "task", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Task {
    /// Pin where a node will be.
    PredictPin {
        /// Which.
        node: String,
        /// At these dial values, the others as they stand.
        dials: BTreeMap<String, f64>,
    },
    /// Draw the path of a node while a dial runs over a range.
    PredictPath {
        /// Which.
        node: String,
        /// The dial that runs.
        dial: String,
        /// From, to.
        range: (f64, f64),
    },
    /// Draw the line that the fitted axis of these nodes takes, seen from above.
    PredictAxis {
        /// A row of knuckles.
        #[schemars(length(max = MOST_LISTED))]
        knuckles: Vec<String>,
    },
    /// Paint where a node may stand with a gauge at or under a limit.
    PredictRegion {
        /// Which; moved by the two dials over their whole ranges.
        node: String,
        /// The two dials.
        dials: (String, String),
        /// What must stay small.
        gauge: Gauge,
        /// How small.
        most: f64,
        /// Radius of the brush, mm.
        brush: f64,
    },
    /// Turn a ray by the angle a gauge will change by when the dials go to these values.
    PredictAngle {
        /// The ray's origin.
        apex: String,
        /// The ray starts along the bone from `apex` to this node.
        along: String,
        /// An angle, degrees.
        gauge: Gauge,
        /// Where the dials go.
        dials: BTreeMap<String, f64>,
    },
    /// Staple the nodes that will stay when the dials go to these values.
    PredictStay {
        /// The nodes asked about.
        #[schemars(length(max = MOST_LISTED))]
        among: Vec<String>,
        /// Where the dials go.
        dials: BTreeMap<String, f64>,
        /// A node that moves no farther than this stays, mm; the end of a digit that is planted and
        /// rolls, if the digit is down fully and slips no farther.
        within: f64,
    },
    /// Drag a node round another with a gauge at or under a limit all the way.
    Trace {
        /// The node that goes round.
        node: String,
        /// The node it goes round.
        centre: String,
        /// How far round, degrees.
        angle: f64,
        /// What must stay small.
        gauge: Gauge,
        /// How small.
        most: f64,
    },
    /// Bring every gauge into its band at once.
    Hold {
        /// Dials that are set to these values for the marking, the others as they stand.
        #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
        at: BTreeMap<String, f64>,
        /// The bands.
        #[schemars(length(max = MOST_LISTED))]
        bands: Vec<Band>,
    },
    /// Store two poses; the dials then run straight from one to the other.
    Between {
        /// What the first must meet.
        #[schemars(length(max = MOST_LISTED))]
        first: Vec<Band>,
        /// What the second must meet.
        #[schemars(length(max = MOST_LISTED))]
        second: Vec<Band>,
        /// What must hold all the way. A band without limits is only told.
        #[schemars(length(max = MOST_LISTED))]
        along: Vec<Band>,
        /// Steps of the run.
        samples: u32,
    },
    /// Run a dial over a range and hold the bands all the way.
    Sweep {
        /// The dial that runs.
        dial: String,
        /// From, to.
        range: (f64, f64),
        /// Steps of each run.
        samples: u32,
        /// The runs.
        #[schemars(length(max = MOST_LISTED))]
        runs: Vec<Run>,
        /// What may be out of place, told by name; each must be where it belongs.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = MOST_LISTED))]
        faults: Vec<Misplaced>,
    },
    /// Build something, act by act: each is done in its turn and measured on the rig as it is.
    Build {
        /// The acts, in order.
        #[schemars(length(max = MOST_LISTED))]
        acts: Vec<Act>,
    },
}

impl Task {
    /// The acts of what is built; none of another task.
    pub fn acts(&self) -> &[Act] {
        match self {
            Self::Build { acts } => acts,
            _ => &[],
        }
    }

    /// Whether this is a prediction, which is drawn and never failed.
    pub fn is_prediction(&self) -> bool {
        use Task::*;
        matches!(
            self,
            PredictPin { .. }
                | PredictPath { .. }
                | PredictAxis { .. }
                | PredictRegion { .. }
                | PredictAngle { .. }
                | PredictStay { .. }
        )
    }
}

/// One pass of a sweep.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// With every anchor let go; else every anchor holds, however the reader left them.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub let_go: bool,
    /// What must hold.
    #[schemars(length(max = MOST_LISTED))]
    pub bands: Vec<Band>,
}

/// A gauge with the least and greatest value allowed, and what to say when it is outside:
/// `{value}` and `{limit}` are filled in with their unit, `{at}` with where it was worst.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Band {
    /// What is measured.
    pub gauge: Gauge,
    /// Its name when the band holds; the gauge's own when empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub called: String,
    /// Least allowed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least: Option<f64>,
    /// Greatest allowed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most: Option<f64>,
    /// Said when under `least`.
    #[serde(default, skip_serializing_if = "Said::is_empty")]
    pub low: Said,
    /// Said when over `most`; with neither limit, said of the greatest value.
    #[serde(default, skip_serializing_if = "Said::is_empty")]
    pub high: Said,
    /// In a sweep: only where the dial is at least this far from its neutral.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beyond: Option<f64>,
}

/// Tells where a node is against where it belongs: 'the pivot is 6.0 mm towards the wrist'.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Misplaced {
    /// Which.
    pub node: String,
    /// Where it belongs with every dial neutral, world mm.
    pub belongs: [f64; 3],
    /// As spoken: 'the pivot'.
    pub called: String,
    /// A direction's name, and a unit vector.
    pub towards: Vec<(String, [f64; 3])>,
    /// Near enough, mm.
    pub within: f64,
}
