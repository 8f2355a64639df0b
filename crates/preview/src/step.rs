//! What a step says, in its box and in the strip under a phone's figure: the page's `strip.rs` and `text.rs`.
use crate::html::{button, escaped};
use course::prose::{Piece, pieces};
use course::{Lesson, Step, Task};
use rig::Posed;

/// What a step begins with: its kind, what it says, and the buttons for it.
pub fn first(step: &Step) -> (&'static str, &str, &'static [&'static str]) {
    match &step.task {
        task if task.is_prediction() => ("Try", step.tried(), &["Now predict"]),
        Task::Build { .. } => ("Build", &step.ask, &["Start again"]),
        _ => ("Exercise", &step.ask, &["Check", "Start again"]),
    }
}

/// What a phone says under the figure: the page's `strip.rs`.
pub fn strip(lesson: &Lesson, step: Option<&Step>, posed: &Posed) -> String {
    let now = step.map(|step| match step.task.acts().first() {
        Some(act) => format!(
            r#"<p class="whole"><b>{}.</b> {}</p>{}"#,
            escaped(act.title()),
            escaped(act.how()),
            button("tool puts main", &put(step))
        ),
        None => {
            let (kind, text, act) = first(step);
            let text = rich(lesson, posed, text);
            format!("<p><b>{kind}</b> {text}</p>{}", button("main", act[0]))
        }
    });
    format!(
        r#"<div class="task-strip">{}</div>"#,
        now.unwrap_or_default()
    )
}

/// The button that puts the mount of a step that builds: the page's `acts.rs`.
pub fn put(step: &Step) -> String {
    let put = course::build::put_of(step.task.acts());
    put.map_or_else(String::new, |put| format!("Put a {}", put.mount))
}

/// The acts of a step that builds, none done yet.
pub fn acts(step: &Step) -> String {
    let acts = step.task.acts().iter().enumerate();
    let lines = acts.map(|(at, act)| {
        let (title, how) = (escaped(act.title()), escaped(act.how()));
        let (class, how) = match at {
            0 => (" now", format!("<p>{how}</p>")),
            _ => ("", String::new()),
        };
        format!(
            r#"<li class="act{class}"><span class="mark" aria-hidden="true">{}</span><div><b>{title}</b><span class="spoken"></span>{how}</div></li>"#,
            at + 1
        )
    });
    match lines.collect::<String>() {
        none if none.is_empty() => none,
        lines => format!(r#"<ol class="acts">{lines}</ol>"#),
    }
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
