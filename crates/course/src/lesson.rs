//! What a lesson holds, as authored and as its file has it.
use hand::Gauge;
use rig::Posed;
use rig::file::bounds::MOST_LISTED;
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// One lesson: one idea. `F` is what a figure is: as its file has it, or posed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(
    deny_unknown_fields,
    bound(serialize = "F: Serialize", deserialize = "F: Deserialize<'de>")
)]
#[schemars(
    title = "Handstand lesson",
    description = "One lesson of the course; lengths mm, angles degrees."
)]
pub struct Lesson<F = Posed> {
    /// Always "handstand-lesson/2".
    pub format: String,
    /// Its place in the course, from 1.
    pub number: u32,
    /// Two or three words.
    pub title: String,
    /// The idea in one sentence.
    pub idea: String,
    /// Opening paragraphs; `*word*` is emphasis.
    pub intro: Vec<String>,
    /// New words (at most three), each with the trade's general term.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub words: Vec<(String, String)>,
    /// From where the figure is seen.
    pub view: Viewpoint,
    /// The opening figure, for free play too.
    #[schemars(schema_with = "hand_schema")]
    pub document: F,
    /// Gauges on the desk outside the steps.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = MOST_LISTED))]
    pub gauges: Vec<Shown>,
    /// Names of the dials on the desk, in this order; left out: all there are.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = MOST_LISTED))]
    pub desk: Vec<String>,
    /// Predictions and exercises, in order.
    #[schemars(length(max = MOST_STEPS))]
    pub steps: Vec<Step<F>>,
    /// The 'why': paragraphs with `{name}` where a live number of `readings` goes.
    pub why: Vec<String>,
    /// Live numbers of the why (and of step texts), read on the opening figure.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    #[schemars(extend("maxProperties" = MOST_LISTED))]
    pub readings: BTreeMap<String, Gauge>,
    /// What to try in free play.
    pub play: String,
}

/// Most steps of a lesson: for each a figure is posed when it is read.
pub const MOST_STEPS: usize = 50;

/// From where a figure is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum Viewpoint {
    Side,
    Front,
    Top,
    Oblique,
}

/// An edit tool that a step can offer on the desk.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Tool {
    /// Anchors off and on.
    LetGo,
    /// Hanging nodes elsewhere.
    Rehang,
    /// Keeping two poses and running between them.
    Poses,
    /// The contact map of lift and lean.
    Map,
}

impl<F> Lesson<F> {
    /// The same with its figures in another form; `make` is told where in the file each is.
    ///
    /// # Errors
    /// The first that `make` gives.
    pub fn with_figures<G, E>(
        &self,
        mut make: impl FnMut(&F, &str) -> Result<G, E>,
    ) -> Result<Lesson<G>, E> {
        let document = make(&self.document, "document")?;
        let steps = self.steps.iter().enumerate().map(|(index, step)| {
            let place = format!("steps[{index}].document");
            let own = step.document.as_ref();
            let own = own.map(|own| make(own, &place)).transpose()?;
            Ok(step.with_figure(own))
        });
        Ok(Lesson {
            document,
            steps: steps.collect::<Result<_, E>>()?,
            format: self.format.clone(),
            number: self.number,
            title: self.title.clone(),
            idea: self.idea.clone(),
            intro: self.intro.clone(),
            words: self.words.clone(),
            view: self.view,
            gauges: self.gauges.clone(),
            desk: self.desk.clone(),
            why: self.why.clone(),
            readings: self.readings.clone(),
            play: self.play.clone(),
        })
    }

    /// A step's figure: its own, or the lesson's.
    pub fn figure<'a>(&'a self, step: &'a Step<F>) -> &'a F {
        step.document.as_ref().unwrap_or(&self.document)
    }
}

fn hand_schema(_: &mut SchemaGenerator) -> Schema {
    schemars::json_schema!({ "$ref": "hand.schema.json" })
}

/// A gauge on the desk.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Shown {
    /// Beside its rule.
    pub label: String,
    /// What it measures.
    pub gauge: Gauge,
    /// Full scale of the rule, in the gauge's unit.
    pub scale: f64,
    /// Good when in this band (least, greatest).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tolerance: Option<(f64, f64)>,
}

/// A named place on the figure, world mm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spot {
    /// Beside the cross.
    pub name: String,
    /// Where.
    pub at: [f64; 3],
}

/// A prediction or an exercise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(
    deny_unknown_fields,
    bound(serialize = "F: Serialize", deserialize = "F: Deserialize<'de>")
)]
pub struct Step<F = Posed> {
    /// Two or three words.
    pub title: String,
    /// What to do, for the page.
    pub ask: String,
    /// Own figure; left out: the lesson's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "hand_schema")]
    pub document: Option<F>,
    /// From where it is seen; left out: as the lesson's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub view: Option<Viewpoint>,
    /// On the desk.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = MOST_LISTED))]
    pub gauges: Vec<Shown>,
    /// Names of the dials on the desk, in this order; left out: the lesson's.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = MOST_LISTED))]
    pub desk: Vec<String>,
    /// Named places.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = MOST_LISTED))]
    pub marks: Vec<Spot>,
    /// Edit tools the step offers on the desk.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = MOST_LISTED))]
    pub tools: Vec<Tool>,
    /// What is asked.
    pub task: Task,
    /// Shown when done: the insight.
    pub insight: String,
}

impl<F> Step<F> {
    fn with_figure<G>(&self, document: Option<G>) -> Step<G> {
        Step {
            document,
            title: self.title.clone(),
            ask: self.ask.clone(),
            view: self.view,
            gauges: self.gauges.clone(),
            desk: self.desk.clone(),
            marks: self.marks.clone(),
            tools: self.tools.clone(),
            task: self.task.clone(),
            insight: self.insight.clone(),
        }
    }
}

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
        /// A node that moves no farther than this stays, mm.
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
    /// Try a re-hang that is refused: the refusal is the lesson.
    TryRehang {
        /// The node to hang.
        node: String,
        /// Under which.
        under: String,
    },
}

impl Task {
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
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub low: String,
    /// Said when over `most`; with neither limit, said of the greatest value.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub high: String,
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
