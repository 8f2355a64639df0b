//! The lesson's desk: the step's tools, its dials and gauges, and the contact map where it has one.
use super::tools::Tools;
use crate::shell::copies::Copies;
use crate::state::{Course, Session, gauges, session};
use crate::widgets::desk::DeskRows;
use leptos::prelude::*;

/// The desk. `map` is the contact map, which is the hand page's.
#[component]
pub fn LessonDesk(#[prop(into)] map: ViewFn) -> impl IntoView {
    let session = session();
    let Session { stage, course, .. } = session;
    let dials = Memo::new(move |_| {
        let wanted = wanted(course);
        stage.with(|h| {
            let document = h.document();
            if wanted.is_empty() {
                return document.dials.iter().map(|d| d.id).collect();
            }
            let found = wanted.iter().filter_map(|name| document.dial_named(name));
            found.map(|d| d.id).collect()
        })
    });
    let gauges = Memo::new(move |_| gauges(session));
    let mapped = move || is_mapped(course);
    view! {
        <section class="desk" class:pressing=mapped aria-label="Dials and gauges">
            <DeskRows dials gauges>
                <Copies/>
                <Tools/>
            </DeskRows>
            <Show when=mapped>{map.run()}</Show>
        </section>
    }
}

/// Whether the step puts the contact map beside its dials.
pub fn is_mapped(course: Course) -> bool {
    let step = course.step();
    step.is_some_and(|s| s.tools.contains(&course::Tool::Map))
}

/// Names of the dials the step, else the lesson, puts on the desk.
fn wanted(course: Course) -> Vec<String> {
    let of_step = course.step().map(|s| s.desk.clone()).unwrap_or_default();
    if !of_step.is_empty() {
        return of_step;
    }
    let lesson = course.lesson;
    lesson.with(|l| l.as_ref().map(|l| l.desk.clone()).unwrap_or_default())
}
