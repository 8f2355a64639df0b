//! A lesson's page: the page's `page.rs` and `text.rs`.
use crate::desk;
use crate::html::{button, current, escaped, right};
use crate::listed::Listed;
use crate::plate::{Window, figure, size};
use crate::step::{acts, first, rich};
use crate::top::lesson_link;
use course::{Lesson, Step, Task, Tool};
use rig::Posed;
use std::fmt::Write;
use workbook::lesson_name::LessonName;
use workbook::plate::Plate;
use workbook::route::{Place, Route};
use workbook::scene::{Frame, extent, sight};
use workbook::{WHY_NOW, WHY_WAITS};

/// A lesson at a place of its own.
pub fn lesson(listed: &Listed, place: Place, lessons: &[Listed], window: Window) -> String {
    let (_, lesson) = listed;
    let step = match place {
        Place::Step(index) => lesson.steps.get(index),
        Place::Play => None,
    };
    let posed = step.map_or(&lesson.document, |step| lesson.tried(step));
    let mapped = step.is_some_and(|step| step.tools.contains(&Tool::Map));
    let frame = Frame::of(posed.document());
    let view = frame.fit(
        sight(step.and_then(|s| s.view).unwrap_or(lesson.view)),
        Plate::of(size(window, mapped)),
        &extent(posed, step),
    );
    let handle = step.map_or_else(
        || "Read the page".into(),
        |step| format!("{}: {}", kind(&step.task), step.title),
    );
    format!(
        r#"<div class="bench"><main class="page{}">{}<div class="page-text">{}</div></main>{}</div>"#,
        if mapped { " hand-page" } else { "" },
        button("sheet-handle", &handle),
        text(listed, place, posed, lessons),
        right(
            &figure(posed, &view, step, Some(&frame), Vec::new()),
            &desk::desk(posed, lesson, step)
        )
    )
}

fn text((name, lesson): &Listed, place: Place, posed: &Posed, lessons: &[Listed]) -> String {
    let number = lesson.number;
    let rich = |text: &str| rich(lesson, posed, text);
    let paragraphs = |all: &[String]| -> String {
        let paragraph = |text: &String| format!("<p>{}</p>", rich(text));
        all.iter().map(paragraph).collect()
    };
    let mut out = format!(
        r#"<p class="no">Lesson {number}</p><h1>{}</h1>{}"#,
        escaped(&lesson.title),
        match place {
            Place::Step(0) | Place::Play => paragraphs(&lesson.intro),
            Place::Step(_) => format!(
                r#"<details class="intro"><summary>How it began</summary>{}</details>"#,
                paragraphs(&lesson.intro)
            ),
        }
    );
    if !lesson.words.is_empty() {
        out += r#"<ul class="words" aria-label="New words">"#;
        for (word, trade) in &lesson.words {
            let _ = write!(
                out,
                "<li><b>{}</b> ({})</li>",
                escaped(word),
                escaped(trade)
            );
        }
        out += "</ul>";
    }
    for (index, step) in lesson.steps.iter().enumerate() {
        out += &step_box(
            *name,
            lesson,
            index,
            step,
            place == Place::Step(index),
            posed,
        );
    }
    let playing = place == Place::Play;
    let link = |place| {
        Route::Lesson {
            lesson: *name,
            place,
        }
        .link()
    };
    let _ = write!(
        out,
        r#"<details class="why"><summary>Why</summary><p>{WHY_WAITS}</p>{}</details><section class="box play{}"><h2><a href="{}"{}>Free play</a></h2>"#,
        button("", WHY_NOW),
        if playing { " now" } else { "" },
        link(Place::Play),
        current(playing, "step"),
    );
    if playing {
        let again = button("", "Start again");
        let _ = write!(
            out,
            r#"<p>{}</p><div class="actions">{again}</div>"#,
            rich(&lesson.play)
        );
    }
    out += "</section>";
    let next = number + 1;
    let onward = if let Some((name, _)) = lessons.iter().find(|(_, l)| l.number == next) {
        format!(
            r#"<a href="{}">On to lesson {next}</a>"#,
            lesson_link(*name)
        )
    } else {
        format!(
            r#"This was the last lesson. See <a href="{}">what was learnt</a>, with a card to print."#,
            Route::Learnt.link()
        )
    };
    out + &format!(r#"<p class="next">{onward}</p>"#)
}

fn kind(task: &Task) -> &'static str {
    match task {
        Task::Build { .. } => "Build",
        task if task.is_prediction() => "Predict",
        _ => "Exercise",
    }
}

/// Where in a step's life one is on arrival: at its beginning.
fn stages(task: &Task) -> String {
    let names: &[&str] = match task.is_prediction() {
        true => &["Try", "Predict", "See"],
        false => &["Do", "It holds"],
    };
    let each = names.iter().enumerate();
    let each = each.map(|(at, name)| format!("<li{}>{name}</li>", current(at == 0, "step")));
    format!(r#"<ol class="stages">{}</ol>"#, each.collect::<String>())
}

fn step_box(
    name: LessonName,
    lesson: &Lesson,
    index: usize,
    step: &Step,
    now: bool,
    posed: &Posed,
) -> String {
    let route = Route::Lesson {
        lesson: name,
        place: Place::Step(index),
    };
    let mut out = format!(
        r#"<section class="box{}" data-slot="{}"><h2><a href="{}"{}><span class="kind">{}</span> {}</a><span class="tick"></span></h2>"#,
        if now { " now" } else { "" },
        route.slot().unwrap_or_default(),
        route.link(),
        current(now, "step"),
        kind(&step.task),
        escaped(&step.title)
    );
    if now {
        let (_, text, act) = first(step);
        let builds = !step.task.acts().is_empty();
        let class = |at: usize| if at == 0 && !builds { "main" } else { "" };
        let buttons = act.iter().enumerate();
        let buttons = buttons.map(|(at, name)| button(class(at), name));
        let _ = write!(
            out,
            r#"{}<p>{}</p>{}<div class="actions">{}</div>"#,
            stages(&step.task),
            rich(lesson, posed, text),
            acts(step),
            buttons.collect::<String>()
        );
    }
    out + "</section>"
}
