//! What is read of the figure and told of it.
use super::{OnStage, Session};
use course::Shown;
use hand::Gauge;
use leptos::prelude::*;
use rig::Document;
use workbook::moving::told;
use workbook::route::Route;

/// A gauge's value and its text now.
pub fn read(stage: OnStage, gauge: &Gauge) -> Option<(f64, String)> {
    stage.with(|h| {
        let reading = gauge.read(h.posed()).ok()?;
        Some((reading.value, reading.to_string()))
    })
}

/// The gauges to show: the step's, else the lesson's, else one for each plant and anchor.
pub fn gauges(session: Session) -> Vec<Shown> {
    if let Some(step) = session.course.step()
        && !step.gauges.is_empty()
    {
        return step.gauges.clone();
    }
    let of_lesson = session
        .course
        .lesson
        .with(|l| l.as_ref().map(|l| l.gauges.clone()).unwrap_or_default());
    let in_lesson = matches!(session.shell.route.get(), Route::Lesson { .. });
    if in_lesson && !of_lesson.is_empty() {
        // A step's own figure need not have everything the lesson measures.
        return of_lesson
            .into_iter()
            .filter(|g| read(session.stage, &g.gauge).is_some())
            .collect();
    }
    session.stage.with(|h| gauges_of(h.document()))
}

/// One for each plant and anchor: what a figure shows where nobody says.
pub fn gauges_of(document: &Document) -> Vec<Shown> {
    let slips = document
        .plants
        .iter()
        .filter_map(|p| document.node(p.node))
        .map(|n| Shown {
            label: format!("slip at {}", n.name),
            gauge: Gauge::Slip {
                node: n.name.clone(),
            },
            scale: 10.0,
            tolerance: Some((0.0, 0.5)),
        });
    let margins = document.anchors.iter().map(|a| Shown {
        label: format!("reach left, {}", a.name),
        gauge: Gauge::ReachMargin {
            anchor: a.name.clone(),
        },
        scale: 50.0,
        tolerance: Some((0.0, f64::INFINITY)),
    });
    let gains = document
        .anchors
        .iter()
        .filter(|a| matches!(a.solver, rig::Solver::TwoBone { .. }))
        .map(|a| Shown {
            label: format!("bend gain, {}", a.name),
            gauge: Gauge::BendGain {
                anchor: a.name.clone(),
            },
            scale: 20.0,
            tolerance: Some((0.0, 5.0)),
        });
    slips.chain(margins).chain(gains).collect()
}

/// What a drag came to, for screen readers.
pub fn spoken(session: Session) -> String {
    untrack(|| {
        let dials = session
            .stage
            .moving
            .with(|moving| session.stage.with(|h| told(h.document(), moving)));
        let gauges = gauges(session)
            .into_iter()
            .filter_map(|g| Some(format!("{} {}", g.label, read(session.stage, &g.gauge)?.1)));
        dials
            .into_iter()
            .chain(gauges)
            .collect::<Vec<_>>()
            .join(", ")
    })
}
