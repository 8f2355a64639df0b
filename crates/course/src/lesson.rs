//! What a lesson holds, as authored and as its file has it.
use crate::task::Task;
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
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
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
    /// Putting a mount above each of these joints, and turning it by what the joint's dials are set
    /// to where the step begins.
    Mounts(#[schemars(length(max = MOST_LISTED))] Vec<String>),
    /// Each dial the same way about or the opposite on what is carried by this node.
    Signs(String),
    /// Choosing the order of this node's turns.
    Order(String),
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

    /// The figure that a step is come to with: it is tried before anything is predicted of its own.
    pub fn tried<'a>(&'a self, step: &'a Step<F>) -> &'a F {
        match &step.trying {
            Some(Trying { opening: true, .. }) => &self.document,
            _ => self.figure(step),
        }
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

/// What is tried before a prediction is drawn, with nothing marked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Trying {
    /// What to drag, and what to look at.
    pub says: String,
    /// On the lesson's opening figure, in place of the step's own.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub opening: bool,
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
    /// Of a prediction: what comes first. Left out: the figure is tried all the same.
    #[serde(default, rename = "try", skip_serializing_if = "Option::is_none")]
    pub trying: Option<Trying>,
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
    /// What is said of a prediction's figure while it is tried.
    pub fn tried(&self) -> &str {
        const ANY: &str = "Drag what is ringed and turn the dials. Nothing is marked yet.";
        self.trying.as_ref().map_or(ANY, |trying| &trying.says)
    }

    /// Whether its gauges are shown while its figure is tried: of the very figure that is asked about
    /// they would read the answer off.
    pub fn is_measured_when_tried(&self) -> bool {
        let opening = self.trying.as_ref().is_some_and(|trying| trying.opening);
        opening || !self.task.is_prediction()
    }

    fn with_figure<G>(&self, document: Option<G>) -> Step<G> {
        Step {
            document,
            title: self.title.clone(),
            trying: self.trying.clone(),
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
