//! `*.lesson.json`: reading, writing, and the published schema. mm and degrees.
use crate::Fault;
use crate::door;
use crate::lesson::Lesson;
use hand::HANDS;
use rig::Posed;
use rig::file::{self, Written};
use serde_json::{Value, json};

/// The newest format this build reads and the one it writes.
pub const FORMAT: &str = "handstand-lesson/2";

/// The JSON Schema of the format.
pub fn schema() -> Value {
    schemars::schema_for!(Lesson<Value>).into()
}

/// Reads a lesson file and poses its figures. Everything is checked: the documents, every name in
/// every task and gauge, every live number in every text.
///
/// # Errors
/// The first thing found wrong, with its place in the file and the mend.
pub fn read(text: &str) -> Result<Lesson, Fault> {
    read_value(file::value(text).map_err(rig::Fault::widen)?)
}

/// Reads a lesson from JSON that [`rig::file::value`] has read.
///
/// # Errors
/// As [`read`].
pub fn read_value(value: Value) -> Result<Lesson, Fault> {
    let lesson = authored(value)?;
    // Before their documents are built.
    door::steps(lesson.steps.len())?;
    let lesson = lesson.with_figures(|written, place| {
        let document = written.document(Some(&HANDS));
        let posed = document.and_then(|document| Posed::new(&document));
        posed.map_err(|fault| inside(place, fault))
    })?;
    door::lesson(&lesson)?;
    Ok(lesson)
}

/// Reads a lesson as it was authored, its figures neither built nor checked: writing it gives the
/// same bytes again.
///
/// # Errors
/// When it is no lesson's file.
pub fn authored(mut value: Value) -> Result<Lesson<Written>, Fault> {
    let version = file::known(&value, FORMAT, "lesson").map_err(rig::Fault::widen)?;
    if version < 2 {
        second(&mut value);
    }
    door::numbers(&value)?;
    figures(&mut value)?;
    file::form(&value).map_err(rig::Fault::widen)
}

/// Writes a lesson as it was authored.
pub fn write(lesson: &Lesson<Written>) -> String {
    file::plainly(lesson)
}

/// Brings every figure up to the newest version of its own format.
fn figures(lesson: &mut Value) -> Result<(), Fault> {
    let prepare = |holder: &mut Value, place: &str| {
        let Some(figure) = holder.get_mut("document").filter(|own| !own.is_null()) else {
            return Ok(());
        };
        *figure = file::prepared(figure.take()).map_err(|fault| inside(place, fault))?;
        Ok(())
    };
    prepare(lesson, "document")?;
    let steps = lesson.get_mut("steps").and_then(Value::as_array_mut);
    for (index, step) in steps.into_iter().flatten().enumerate() {
        prepare(step, &format!("steps[{index}].document"))?;
    }
    Ok(())
}

/// A figure's fault as one of the lesson that holds it.
fn inside(place: &str, found: rig::Fault) -> Fault {
    let place = match found.place.as_str() {
        "the file" => place.to_owned(),
        inside => format!("{place}.{inside}"),
    };
    Fault::new(place, found.kind)
}

/// From the first version, which counted axes where this one names them.
fn second(value: &mut Value) {
    const AXES: [&str; 6] = ["x", "y", "z", "-x", "-y", "-z"];
    value["format"] = json!(FORMAT);
    named(value);

    fn named(value: &mut Value) {
        match value {
            Value::Array(items) => items.iter_mut().for_each(named),
            Value::Object(fields) => {
                let measured = fields.get("gauge").is_some_and(Value::is_string);
                if measured && let Some(axis) = fields.get_mut("axis") {
                    // A number that was none is refused as the name that it is not.
                    let at = axis.as_u64().and_then(|at| AXES.get(at as usize));
                    *axis = at.map_or_else(|| json!(axis.to_string()), |name| json!(name));
                }
                let inner = fields.iter_mut().filter(|(name, _)| *name != "document");
                inner.for_each(|(_, field)| named(field));
            }
            _ => {}
        }
    }
}
