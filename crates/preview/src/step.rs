//! What a step says, in its box and in the strip under a phone's figure: the page's `strip.rs` and `text.rs`.
use crate::html::{button, escaped};
use course::{Lesson, Step, Task};
use rig::Posed;
use workbook::prose::{Piece, pieces};

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
    for piece in pieces(text) {
        out += &match piece {
            Piece::Plain(text) => escaped(&text),
            Piece::Emphasis(text) => format!("<em>{}</em>", escaped(&text)),
            Piece::Live(name) => match lesson.readings.get(&name) {
                None => escaped(&name),
                Some(gauge) => {
                    let told = workbook::told::told(posed, gauge);
                    let value = told.map_or_else(|| "—".into(), |told| told.text);
                    format!(r#"<b class="live given">{}</b>"#, escaped(&value))
                }
            },
        };
    }
    out
}
