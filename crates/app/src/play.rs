//! Short animations: what a prediction's dials do, and the way between two poses.
//! Frames move the pose only; the document is edited once, at the end.
use crate::session::Session;
use course::Task;
use leptos::prelude::*;
use rig::{DialId, Edit};

const SECONDS: f64 = 1.2;

fn still_preferred() -> bool {
    window()
        .match_media("(prefers-reduced-motion: reduce)")
        .ok()
        .flatten()
        .is_some_and(|m| m.matches())
}

/// Runs dials from one set of values to another, then calls `then`.
pub fn run(
    session: Session,
    from: Vec<(DialId, f64)>,
    to: Vec<(DialId, f64)>,
    then: impl FnOnce() + 'static,
) {
    session.stop();
    let turn = session.playing.get_untracked();
    if still_preferred() {
        session.show(to.iter().copied());
        then();
        return;
    }
    frame(session, turn, None, from, to, Box::new(then));
}

fn frame(
    session: Session,
    turn: u32,
    began: Option<f64>,
    from: Vec<(DialId, f64)>,
    to: Vec<(DialId, f64)>,
    then: Box<dyn FnOnce()>,
) {
    request_animation_frame(move || {
        if session.playing.get_untracked() != turn {
            return;
        }
        let now = window().performance().map_or(0.0, |p| p.now());
        let began = began.unwrap_or(now);
        let t = ((now - began) / 1000.0 / SECONDS).min(1.0);
        let between =
            |((dial, a), (_, b)): (&(DialId, f64), &(DialId, f64))| (*dial, a + (b - a) * t);
        session.show(from.iter().zip(&to).map(between));
        if t < 1.0 {
            frame(session, turn, Some(began), from, to, then);
        } else {
            then();
        }
    });
}

/// Values of every dial in the document.
pub fn values_now(session: Session) -> Vec<(DialId, f64)> {
    session
        .history
        .with_untracked(|h| h.document().dials.iter().map(|d| (d.id, d.value)).collect())
}

/// Moves the figure as the prediction asked about.
pub fn show_prediction(session: Session, task: &Task) {
    let targets: Vec<(String, f64)> = match task {
        Task::PredictPin { dials, .. }
        | Task::PredictAngle { dials, .. }
        | Task::PredictStay { dials, .. } => dials
            .iter()
            .map(|(name, value)| (name.clone(), *value))
            .collect(),
        Task::PredictPath { dial, range, .. } => vec![(dial.clone(), range.1)],
        _ => return,
    };
    let to: Vec<(DialId, f64)> = session.history.with_untracked(|h| {
        targets
            .iter()
            .filter_map(|(name, v)| h.document().dial_named(name).map(|d| (d.id, *v)))
            .collect()
    });
    let from = session.history.with_untracked(|h| {
        to.iter()
            .map(|(id, _)| (*id, h.document().dial(*id).map_or(0.0, |d| d.value)))
            .collect()
    });
    session.keep_ghost();
    let end = to.clone();
    run(session, from, to, move || {
        session.edit(&Edit::SetDials { values: end });
    });
}

/// Plays from the first kept pose to the second and back to where the reader was.
pub fn between(session: Session) {
    let poses = session.attempt.with_untracked(|a| a.poses.clone());
    let [Some(first), Some(second)] = poses else {
        session.notice(
            "Keep both poses first.",
            "Move the figure, then press 'Keep as first' or 'Keep as second'.",
        );
        return;
    };
    run(session, first, second, move || {
        // The document never changed: after a moment the figure shows it again.
        let turn = session.playing.get_untracked();
        let back = move || {
            if session.playing.get_untracked() == turn {
                session.stop();
            }
        };
        set_timeout(back, std::time::Duration::from_millis(500));
    });
}
