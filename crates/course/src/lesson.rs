//! `*.lesson.json`.
use rig::{Document, Gauge};
use std::collections::BTreeMap;

/// What is wrong with a lesson file (same shape as a document's).
pub type Fault = rig::Fault;

/// One lesson: one idea.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Lesson {
    pub number: u32,
    pub title: String,
    /// The idea in one sentence.
    pub idea: String,
    /// Opening paragraphs; `*word*` is emphasis.
    pub intro: Vec<String>,
    /// New words (at most three) with the trade's general term.
    pub words: Vec<(String, String)>,
    /// Opening figure, for free play too.
    pub document: Document,
    /// 'side', 'front', 'top' or 'oblique'.
    pub view: String,
    /// Gauges on the desk outside the steps.
    pub gauges: Vec<Shown>,
    pub steps: Vec<Step>,
    /// The 'why': paragraphs with `{name}` where a live number goes.
    pub why: Vec<String>,
    /// Live numbers of the why (and of step texts).
    pub readings: BTreeMap<String, Gauge>,
    /// What to try in free play.
    pub play: String,
}

/// A gauge on the desk.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Shown { pub label: String, pub gauge: Gauge, /** full scale of the rule */ pub scale: f64, /** good when in this band (min, max) */ pub tolerance: Option<(f64, f64)> }

/// A named place on the figure.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Spot { pub name: String, pub at: [f64; 3] }

/// A prediction or an exercise.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Step {
    pub title: String,
    /// What to do, for the page.
    pub ask: String,
    /// Own figure; none: the lesson's.
    pub document: Option<Document>,
    pub view: Option<String>,
    pub gauges: Vec<Shown>,
    pub marks: Vec<Spot>,
    /// Edit tools the step offers on the desk ('insert-pivot', 'rehang', 'let-go', 'poses', 'softness', 'add-drive').
    pub tools: Vec<String>,
    pub task: Task,
    /// Shown when done: the insight.
    pub insight: String,
}

/// What is asked. Names are those of the step's document; angles degrees, lengths mm.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Task {
    // Predictions, drawn on the figure.
    /// Pin where `node` will be at these dial values.
    PredictPin { node: String, dials: BTreeMap<String, f64> },
    /// Draw the path of `node` while `dial` goes from..to.
    PredictPath { node: String, dial: String, range: (f64, f64) },
    /// Paint where `node` may stand, moved by two dials over their ranges, with `gauge` ≤ `most`. `brush`: radius mm.
    PredictRegion { node: String, dials: (String, String), gauge: Gauge, most: f64, brush: f64 },
    /// Turn a drawn ray about `apex` (drawn from the bone `apex`→`along`) to the angle `gauge` will read at these dial values, or
    /// the change of it from the values now.
    PredictAngle { apex: String, along: String, gauge: Gauge, dials: BTreeMap<String, f64> },
    /// Staple the nodes (of `among`) that will stay within `within` mm when the dials go to these values.
    PredictStay { among: Vec<String>, dials: BTreeMap<String, f64>, within: f64 },
    // Exercises, checked by measurement.
    /// Move `node` along so that its bearing about `centre` sweeps `angle` degrees with `gauge` ≤ `most` all the way.
    Trace { node: String, centre: String, angle: f64, gauge: Gauge, most: f64 },
    /// Bring every gauge into its band at once.
    Hold { bands: Vec<Band> },
    /// Two stored poses, each meeting its bands; dials are then run straight from one to the other in `samples` steps and
    /// `along` must hold all the way (bands with no limits are only told: an insight, not a fault).
    Between { first: Vec<Band>, second: Vec<Band>, along: Vec<Band>, samples: u32 },
    /// Run `dial` over the range and hold `bands` all the way. `let_go`: with all anchors off.
    /// `fault`: names what is out of place.
    Sweep { dial: String, range: (f64, f64), samples: u32, runs: Vec<Run>, fault: Option<Misplaced> },
    /// A re-hang that must be refused before the exercise goes on (lesson 4): trying it is the task.
    TryRehang { node: String, under: String },
}

/// One pass of a sweep.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Run { pub let_go: bool, pub bands: Vec<Band> }

/// A gauge with least and greatest value allowed, and what to say when it is outside
/// (`{value}`, `{limit}`, `{at}` are filled in; `{at}` is the dial's value or the bearing where it was worst).
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Band { pub gauge: Gauge, pub least: Option<f64>, pub most: Option<f64>, pub low: String, pub high: String }

/// Tells where `node` is, against where it belongs: 'the pivot is 6.0 mm towards the wrist'.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Misplaced { pub node: String, pub belongs: [f64; 3], /** label as spoken: 'the pivot' */ pub called: String, /** (direction's name, unit vector) */ pub towards: Vec<(String, [f64; 3])>, pub within: f64 }

/// Reads a lesson file. Everything is checked: the documents, every name in every task and gauge.
pub fn read(text: &str) -> Result<Lesson, Fault> { let _ = text; todo!() }
