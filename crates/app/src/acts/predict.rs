//! Predictions: what is drawn, by pointer or by keys, and what happens beside it.
use super::play::show_prediction;
use crate::state::Session;
use course::{Answer, Obstacle, Step, Task, Truth, Verdict};
use leptos::prelude::*;
use rig::{Posed, Vec3};
use workbook::pencil::{Tool, apex_and_bone, turn_between};

/// Puts the pencil down at a world point (`start`) or draws on to it.
pub fn draw_to(session: Session, step: &Step, at: Vec3, start: bool) {
    if session.course.truth.with_untracked(Option::is_some) {
        return;
    }
    match &step.task {
        Task::PredictPin { .. } => session.course.pencil.update(|p| p.pin = Some(at)),
        Task::PredictPath { .. } | Task::PredictAxis { .. } => {
            session.course.pencil.update(|p| p.draw(at, start));
        }
        Task::PredictRegion { brush, .. } => session.course.pencil.update(|p| p.dab(at, *brush)),
        Task::PredictAngle { apex, along, .. } => {
            let bone = session
                .stage
                .with_untracked(|s| apex_and_bone(s.posed(), apex, along));
            if let Some((apex, bone)) = bone {
                let drawn = at - apex;
                let angle = turn_between(&bone, &drawn, &session.camera.axes()[2]);
                session.course.pencil.update(|p| p.angle = Some(angle));
            }
        }
        Task::PredictStay { among, .. } if start => {
            let near = session.stage.with_untracked(|h| {
                among
                    .iter()
                    .filter_map(|name| h.document().node_named(name))
                    .map(|n| (n.id, (h.posed().point(n.id) - at).norm()))
                    .min_by(|a, b| a.1.total_cmp(&b.1))
            });
            if let Some((id, distance)) = near
                && distance < 25.0
            {
                session.course.pencil.update(|p| p.toggle_stay(id));
            }
        }
        _ => {}
    }
}

/// A press that was a tap: a line can be drawn from one to the next, without dragging.
pub fn tap_at(session: Session, step: &Step, at: Vec3) {
    if matches!(
        step.task,
        Task::PredictPath { .. } | Task::PredictAxis { .. }
    ) {
        session.course.pencil.update(|pencil| pencil.tap(at));
    }
}

/// The drawing as an answer to the step.
pub fn answer(session: Session, task: &Task) -> Option<Answer> {
    session.course.pencil.with_untracked(|p| match task {
        Task::PredictPin { .. } => p.pin.map(Answer::Pin),
        Task::PredictPath { .. } | Task::PredictAxis { .. } => p
            .strokes
            .last()
            .filter(|s| s.len() > 1)
            .cloned()
            .map(Answer::Path),
        Task::PredictRegion { brush, .. } => (!p.paint.is_empty())
            .then(|| Answer::Region(p.paint.iter().map(|c| (*c, *brush)).collect())),
        Task::PredictAngle { .. } => p.angle.map(Answer::Angle),
        Task::PredictStay { .. } => session.stage.with_untracked(|h| {
            let names: Vec<_> = p
                .stay
                .iter()
                .filter_map(|id| h.document().node(*id))
                .map(|n| n.name.clone())
                .collect();
            (p.none_stays || !names.is_empty()).then_some(Answer::Stay(names))
        }),
        _ => None,
    })
}

/// What really happens from where a figure stands, and how near a drawing was.
pub fn outcome(posed: &Posed, task: &Task, answer: &Answer) -> Result<(Truth, Verdict), Obstacle> {
    let truth = course::truth(posed, task)?;
    Ok((truth, course::judge(posed, task, answer)?))
}

/// Overlays what really happens and says how near the drawing was.
pub fn reveal(session: Session) {
    let Some(step) = session.course.step_now().filter(|_| session.at_place()) else {
        return;
    };
    let Some(answer) = answer(session, &step.task) else {
        session.shell.notice(
            "Draw your prediction on the figure first.",
            "The pencil is ready: press and draw, or use the arrow keys.",
        );
        return;
    };
    let outcome = session
        .stage
        .with_untracked(|h| outcome(h.history().posed(), &step.task, &answer));
    match outcome {
        Ok((truth, verdict)) => {
            session.shell.say(verdict.to_string());
            if let Some(slot) = session.here() {
                session.course.take_verdict(&slot, verdict.grade());
            }
            session.course.truth.set(Some((truth, verdict)));
            session.camera.tool.set(Tool::Hand);
            session.finish();
            show_prediction(session, &step.task);
        }
        Err(what) => session.shell.notice(what.to_string(), ""),
    }
}
