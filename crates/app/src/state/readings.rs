//! What is read of the figure and told of it.
use super::{OnStage, Session};
use course::Shown;
use hand::Gauge;
use leptos::prelude::*;
use workbook::desk;
use workbook::moving::told;
use workbook::route::Route;
use workbook::told::Told;

/// What a gauge tells now.
pub fn read(stage: OnStage, gauge: &Gauge) -> Option<Told> {
    stage.with(|h| workbook::told::told(h.posed(), gauge))
}

/// The gauges to show.
pub fn gauges(session: Session) -> Vec<Shown> {
    let Session { course, shell, .. } = session;
    let step = course.step();
    if session.tries() && step.as_ref().is_some_and(|s| !s.is_measured_when_tried()) {
        return Vec::new();
    }
    let in_lesson = matches!(shell.route.get(), Route::Lesson { .. });
    let lesson = course.lesson.get().filter(|_| in_lesson);
    session
        .stage
        .with(|stage| desk::gauges(stage.posed(), lesson.as_deref(), step.as_deref()))
}

/// What a drag came to, for screen readers.
pub fn spoken(session: Session) -> String {
    untrack(|| {
        let dials = session
            .stage
            .moving
            .with(|moving| session.stage.with(|h| told(h.document(), moving)));
        let gauges = gauges(session).into_iter().filter_map(|g| {
            Some(format!(
                "{} {}",
                g.label,
                read(session.stage, &g.gauge)?.text
            ))
        });
        dials
            .into_iter()
            .chain(gauges)
            .collect::<Vec<_>>()
            .join(", ")
    })
}
