//! What a step says, in its box and in the strip under a phone's figure: the page's `strip.rs` and `text.rs`.
use crate::html::{button, escaped};
use course::prose::{Piece, pieces};
use course::{Lesson, Step, Task};
use rig::Posed;

/// What a step begins with: its kind, what it says, and the buttons for it.
pub fn first(step: &Step) -> (&'static str, &str, &'static [&'static str]) {
    match &step.task {
        task if task.is_prediction() => ("Try", step.tried(), &["Now predict"]),
        Task::TryRehang { .. } => ("Exercise", &step.ask, &["Did it hang?", "Start again"]),
        _ => ("Exercise", &step.ask, &["Check", "Start again"]),
    }
}

/// What a phone says under the figure: the page's `strip.rs`.
pub fn strip(lesson: &Lesson, step: Option<&Step>, posed: &Posed) -> String {
    let now = step.map(|step| {
        let (kind, text, act) = first(step);
        let text = rich(lesson, posed, text);
        format!("<p><b>{kind}</b> {text}</p>{}", button("main", act[0]))
    });
    format!(
        r#"<div class="task-strip">{}</div>"#,
        now.unwrap_or_default()
    )
}

/// A paragraph's inside, its live numbers filled in.
pub fn rich(lesson: &Lesson, posed: &Posed, text: &str) -> String {
    let mut out = String::new();
    let told = |name: &str| workbook::told::told(posed, lesson.readings.get(name)?);
    for piece in pieces(text, &|name| Some(told(name)?.value)) {
        out += &match piece {
            Piece::Plain(text) => escaped(&text),
            Piece::Emphasis(text) => format!("<em>{}</em>", escaped(&text)),
            Piece::Live(name) => {
                let value = told(&name).map(|told| told.text).unwrap_or_default();
                format!(r#"<b class="live given">{}</b>"#, escaped(&value))
            }
        };
    }
    out
}
