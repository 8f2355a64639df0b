//! A prediction's drawing kept in this tab: over a reload, and until its step is come back to.
use super::predict::{answer, outcome};
use crate::keep::{set_setting_of_tab, setting_of_tab};
use crate::state::Session;
use leptos::prelude::*;
use std::time::Duration;
use workbook::drawing::Drawing;
use workbook::pencil::Tool;

const DRAWING: &str = "drawing";

/// Waited after a change: a line grows with every move of the pointer.
const MOMENT: Duration = Duration::from_millis(250);

/// Keeps what is drawn from now on.
pub fn keep_drawings(session: Session) {
    let asked = StoredValue::new(0_u32);
    Effect::new(move || {
        session.course.pencil.track();
        session.course.truth.track();
        session.camera.tool.track();
        asked.update_value(|n| *n = n.wrapping_add(1));
        let turn = asked.get_value();
        let later = move || {
            if asked.get_value() == turn {
                write(session);
            }
        };
        set_timeout(later, MOMENT);
    });
}

fn kept() -> Option<Drawing> {
    Drawing::read(&setting_of_tab(DRAWING)?)
}

fn write(session: Session) {
    let Some(slot) = session.here() else { return };
    let draws = session.camera.tool.get_untracked() == Tool::Pencil;
    let seen = session.course.truth.with_untracked(Option::is_some);
    if draws || seen {
        let pencil = session.course.pencil.get_untracked();
        set_setting_of_tab(DRAWING, &Drawing::of(slot, &pencil, seen).written());
    } else if kept().is_some_and(|kept| kept.slot == slot) {
        set_setting_of_tab(DRAWING, "");
    }
}

/// What was drawn here before, and its verdict, if its figure is on the plate.
pub fn take_up(session: Session) {
    let lesson = session.course.lesson.get_untracked();
    let (Some(lesson), Some(step)) = (lesson, session.course.step_now()) else {
        return;
    };
    let here = session.here();
    let Some(kept) = kept().filter(|kept| Some(&kept.slot) == here.as_ref()) else {
        return;
    };
    let figure = lesson.figure(&step);
    let pencil = kept.pencil(figure.document());
    let as_begun = |on: &workbook::stage::Stage| on.document() == figure.document();
    if kept.seen {
        session.course.pencil.set(pencil);
        let found = answer(session, &step.task).map(|it| outcome(figure, &step.task, &it));
        if let Some(Ok(found)) = found {
            session.course.truth.set(Some(found));
        }
    } else if session.stage.with_untracked(as_begun) {
        session.course.pencil.set(pencil);
        session.camera.tool.set(Tool::Pencil);
    }
}
