//! The reader's pencil: what is drawn for a prediction, by pointer or by keys.
use crate::session::Session;
use course::{Answer, Step, Task};
use leptos::prelude::*;
use rig::{NodeId, Vec3};
use workbook::scene::apex_and_bone;

/// Puts the pencil down at a world point (`start`) or draws on to it.
pub fn draw_to(session: Session, step: &Step, at: Vec3, start: bool) {
    if session.truth.with_untracked(Option::is_some) {
        return;
    }
    match &step.task {
        Task::PredictPin { .. } => session.pencil.update(|p| p.pin = Some(at)),
        Task::PredictPath { .. } | Task::PredictAxis { .. } => session.pencil.update(|p| {
            // One line: a new stroke replaces the old.
            if start || p.strokes.is_empty() {
                p.strokes = vec![vec![at]];
            } else if let Some(stroke) = p.strokes.last_mut()
                && stroke.last().is_none_or(|last| (last - at).norm() > 0.4)
            {
                stroke.push(at);
            }
        }),
        Task::PredictRegion { brush, .. } => session.pencil.update(|p| {
            if p.paint
                .last()
                .is_none_or(|last| (last - at).norm() > brush * 0.3)
            {
                p.paint.push(at);
            }
        }),
        Task::PredictAngle { apex, along, .. } => {
            let bone = session
                .stage
                .with_untracked(|s| apex_and_bone(s.posed(), apex, along));
            if let Some((apex, bone)) = bone {
                let drawn = at - apex;
                let angle = turn_between(session, &bone, &drawn);
                session.pencil.update(|p| p.angle = Some(angle));
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
                toggle_stay(session, id);
            }
        }
        _ => {}
    }
}

/// Staples a node in the drawing, or takes the staple out.
pub fn toggle_stay(session: Session, id: NodeId) {
    session.pencil.update(|p| {
        if let Some(index) = p.stay.iter().position(|&n| n == id) {
            p.stay.remove(index);
        } else {
            p.stay.push(id);
        }
    });
}

/// Unsigned degrees between two directions.
fn turn_between(session: Session, a: &Vec3, b: &Vec3) -> f64 {
    let towards = session.view.with_untracked(|v| v.axes()[2]);
    let across = libm::fabs(a.cross(b).dot(&towards));
    libm::atan2(across, a.dot(b)).to_degrees()
}

/// The drawing as an answer to the step.
pub fn answer(session: Session, task: &Task) -> Option<Answer> {
    session.pencil.with_untracked(|p| match task {
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
            (!names.is_empty()).then_some(Answer::Stay(names))
        }),
        _ => None,
    })
}

/// Overlays what really happens and says how near the drawing was.
pub fn reveal(session: Session) {
    let Some(step) = session.step_now().filter(|_| session.at_place()) else {
        return;
    };
    let Some(answer) = answer(session, &step.task) else {
        session.notice(
            "Draw your prediction on the figure first.",
            "The pencil is ready: press and draw, or use the arrow keys.",
        );
        return;
    };
    let outcome = session.stage.with_untracked(|h| {
        let posed = h.history().posed();
        let truth = course::truth(posed, &step.task)?;
        let verdict = course::judge(posed, &step.task, &answer)?;
        Ok::<_, String>((truth, verdict))
    });
    match outcome {
        Ok((truth, verdict)) => {
            session.say(verdict.text.clone());
            session.truth.set(Some((truth, verdict)));
            session.tool.set(crate::session::Tool::Hand);
            session.finish();
            crate::play::show_prediction(session, &step.task);
        }
        Err(what) => session.notice(what, ""),
    }
}
