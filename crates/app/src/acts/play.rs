//! Short animations: what a prediction's dials do, and the way between two poses.
//! Frames move the pose only; the document is edited once, at the end.
use crate::browser::{media_matches, now};
use crate::state::{OnStage, Session};
use course::Task;
use leptos::prelude::*;
use motion::Motion;
use rig::Edit;

const SECONDS: f64 = 1.2;

/// Plays a motion, then calls `then`.
fn run(stage: OnStage, motion: Motion, then: impl FnOnce() + 'static) {
    stage.stop();
    let turn = stage.playing();
    if media_matches("(prefers-reduced-motion: reduce)") {
        stage.show(&motion.at(1.0));
        then();
        return;
    }
    frame(stage, turn, None, motion, Box::new(then));
}

fn frame(stage: OnStage, turn: u32, began: Option<f64>, motion: Motion, then: Box<dyn FnOnce()>) {
    request_animation_frame(move || {
        if stage.playing() != turn {
            return;
        }
        let now = now();
        let began = began.unwrap_or(now);
        let t = ((now - began) / 1000.0 / SECONDS).min(1.0);
        stage.show(&motion.at(t));
        if t < 1.0 {
            frame(stage, turn, Some(began), motion, then);
        } else {
            then();
        }
    });
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
    let (from, to, values) = session.stage.with_untracked(|stage| {
        let document = stage.document();
        let found = targets
            .iter()
            .filter_map(|(name, value)| Some((document.dial_named(name)?.id, *value)));
        let values: Vec<_> = found.collect();
        let mut to = document.setting.clone();
        for (dial, value) in &values {
            to.set_dial(&document.rig, *dial, *value);
        }
        (document.setting.clone(), to, values)
    });
    session.stage.keep_ghost();
    run(session.stage, Motion::Between { from, to }, move || {
        session.edit(&Edit::SetDials { values });
        // What was to be seen is what now stands there.
        session.course.outdated.set(false);
    });
}

/// Marks the exercise; the way between two kept poses is what is marked, and is seen.
pub fn check(session: Session) {
    session.check();
    let step = session.course.step_now();
    let runs = step.is_some_and(|step| matches!(step.task, Task::Between { .. }));
    let kept = |attempt: &course::Attempt| attempt.poses.iter().all(Option::is_some);
    if runs && session.course.attempt.with_untracked(kept) {
        between(session);
    }
}

/// Plays from the first kept pose to the second and back to where the reader was.
pub fn between(session: Session) {
    let poses = session.course.attempt.with_untracked(|a| a.poses.clone());
    let [Some(from), Some(to)] = poses else {
        session.shell.notice(
            "Keep both poses first.",
            "Move the figure, then press 'Keep as first' or 'Keep as second'.",
        );
        return;
    };
    run(session.stage, Motion::Between { from, to }, move || {
        // The document never changed: after a moment the figure shows it again.
        let turn = session.stage.playing();
        let back = move || {
            if session.stage.playing() == turn {
                session.stage.stop();
            }
        };
        set_timeout(back, std::time::Duration::from_millis(500));
    });
}
