//! The lesson's desk: the step's tools, its dials and gauges, and the contact map where it has one.
use super::strip::TaskStrip;
use super::tools::Tools;
use crate::shell::copies::Copies;
use crate::state::{Course, Session, gauges, session};
use crate::widgets::desk::DeskRows;
use leptos::prelude::*;
use workbook::desk;

/// The desk. `map` is the contact map, which is the hand page's.
#[component]
pub fn LessonDesk(#[prop(into)] map: ViewFn) -> impl IntoView {
    let session = session();
    let Session { stage, course, .. } = session;
    let dials = Memo::new(move |_| {
        let (lesson, step) = (course.lesson.get(), course.step());
        stage.with(|h| desk::dials(h.document(), lesson.as_deref(), step.as_deref()))
    });
    let gauges = Memo::new(move |_| gauges(session));
    let mapped = move || is_mapped(course);
    view! {
        <section class="desk" class:pressing=mapped aria-label="Dials and gauges">
            <TaskStrip/>
            <DeskRows dials gauges held=Signal::derive(move || session.predicts())>
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
