//! `*.lesson.json`: reading, and the published schema. mm and degrees.
use crate::door;
use crate::lesson::{Lesson, Shown, Spot, Step, Task};
use hand::Gauge;
use rig::file::bounds::MOST_LISTED;
use rig::{Document, Fault};
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;

/// The newest format this build reads.
pub const FORMAT: &str = "handstand-lesson/1";

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(
    title = "Handstand lesson",
    description = "One lesson of the course; lengths mm, angles degrees."
)]
struct LessonForm {
    /// Always "handstand-lesson/1".
    format: String,
    /// Its place in the course, from 1.
    number: u32,
    title: String,
    /// One sentence.
    idea: String,
    /// Paragraphs; `*word*` is emphasis.
    intro: Vec<String>,
    /// At most three new words, each with the trade's general term.
    #[serde(default)]
    words: Vec<(String, String)>,
    /// "side", "front", "top" or "oblique".
    view: String,
    /// The opening figure.
    #[schemars(schema_with = "hand")]
    document: Value,
    #[serde(default)]
    #[schemars(length(max = MOST_LISTED))]
    gauges: Vec<Shown>,
    /// Dials on the desk, in this order. Absent: all.
    #[serde(default)]
    #[schemars(length(max = MOST_LISTED))]
    desk: Vec<String>,
    #[schemars(length(max = door::MOST_STEPS))]
    steps: Vec<StepForm>,
    /// Paragraphs; `{name}` is a live number of `readings`.
    why: Vec<String>,
    #[serde(default)]
    #[schemars(extend("maxProperties" = MOST_LISTED))]
    readings: BTreeMap<String, Gauge>,
    play: String,
}

#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct StepForm {
    title: String,
    ask: String,
    /// Absent: the lesson's.
    #[serde(default)]
    #[schemars(schema_with = "hand")]
    document: Option<Value>,
    /// Absent: the lesson's.
    #[serde(default)]
    view: Option<String>,
    #[serde(default)]
    #[schemars(length(max = MOST_LISTED))]
    gauges: Vec<Shown>,
    /// Dials on the desk, in this order. Absent: the lesson's.
    #[serde(default)]
    #[schemars(length(max = MOST_LISTED))]
    desk: Vec<String>,
    #[serde(default)]
    #[schemars(length(max = MOST_LISTED))]
    marks: Vec<Spot>,
    /// "let-go", "rehang", "poses" or "map".
    #[serde(default)]
    tools: Vec<String>,
    task: Task,
    insight: String,
}

fn hand(_: &mut SchemaGenerator) -> Schema {
    schemars::json_schema!({ "$ref": "hand.schema.json" })
}

/// The JSON Schema of the format.
pub fn schema() -> Value {
    schemars::schema_for!(LessonForm).into()
}

/// Reads a lesson file. Everything is checked: the documents, every name in every task and gauge,
/// every live number in every text.
///
/// # Errors
/// The first thing found wrong, with its place in the file and the mend.
pub fn read(text: &str) -> Result<Lesson, Fault> {
    read_value(&rig::file::value(text)?)
}

/// Reads a lesson from JSON that [`rig::file::value`] has read.
///
/// # Errors
/// As [`read`].
pub fn read_value(value: &Value) -> Result<Lesson, Fault> {
    rig::file::known(value, FORMAT, "lesson")?;
    let form: LessonForm = rig::file::form(value)?;
    door::numbers(value)?;
    // Before their documents are built.
    door::steps(form.steps.len())?;
    let document = inner(&form.document, "document")?;
    let mut steps = Vec::with_capacity(form.steps.len());
    for (index, step) in form.steps.into_iter().enumerate() {
        let place = format!("steps[{index}].document");
        steps.push(Step {
            title: step.title,
            ask: step.ask,
            document: step
                .document
                .map(|value| inner(&value, &place))
                .transpose()?,
            view: step.view,
            gauges: step.gauges,
            desk: step.desk,
            marks: step.marks,
            tools: step.tools,
            task: step.task,
            insight: step.insight,
        });
    }
    let lesson = Lesson {
        number: form.number,
        title: form.title,
        idea: form.idea,
        intro: form.intro,
        words: form.words,
        document,
        view: form.view,
        gauges: form.gauges,
        desk: form.desk,
        steps,
        why: form.why,
        readings: form.readings,
        play: form.play,
    };
    door::lesson(&lesson)?;
    Ok(lesson)
}

fn inner(value: &Value, place: &str) -> Result<Document, Fault> {
    hand::read_value(value.clone()).map_err(|found| {
        let place = match found.place.as_str() {
            "the file" => place.to_owned(),
            inside => format!("{place}.{inside}"),
        };
        Fault { place, ..found }
    })
}
