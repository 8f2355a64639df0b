//! From the session to what the plate shows beside the rig itself.
use crate::hand::AxisKind;
use crate::session::{Moving, Session};
use figure::{Scene, Shape};
use leptos::prelude::*;
use rig::{Document, NodeId, Posed, Role};
use workbook::scene::{Shown, scene};

/// Draws the plate as the session stands. Tracks everything it reads.
pub fn shapes(session: Session) -> Vec<Shape> {
    let step = session.step();
    session.view.with(|view| {
        session.stage.with(|stage| {
            let posed = stage.posed();
            let mut scene = scene(Shown {
                posed,
                ghost: stage.ghost(),
                view,
                step: step.as_deref(),
                moving: session.moving.get(),
                selected: session.selected.get(),
                tool: session.tool.get(),
                trail: session.trail.get(),
                lever: session.lever.get(),
                pencil: session.pencil.get(),
                truth: session.truth.with(|t| Some(t.as_ref()?.0.clone())),
                tolerance: session.tolerance.get(),
                projector: session.projector.get(),
            });
            axes(session, posed, &mut scene);
            figure::draw(posed, view, &scene)
        })
    })
}

/// The axes a hand could press about, while they are looked at.
fn axes(session: Session, posed: &Posed, scene: &mut Scene) {
    let axes = session.axes.get();
    if axes.is_empty() {
        return;
    }
    let Some(row) = crate::hand::Row::new(posed) else {
        return;
    };
    for axis in axes {
        let [from, to, _] = row.line(&axis.pivot);
        let (kind, off) = match axis.kind {
            AxisKind::Pivot => {
                scene.reachable.push(vec![from, to]);
                continue;
            }
            AxisKind::Fitted => {
                let off = row.residuals();
                let off = off.map(|(_, at, mm)| (at, format!("{mm:.1} mm")));
                (figure::AxisKind::Fitted, off.collect())
            }
            AxisKind::Greatest => (figure::AxisKind::Safest, Vec::new()),
        };
        scene.axes.push(figure::AxisLine {
            from,
            to,
            label: axis.kind.name().into(),
            kind,
            off,
        });
    }
}

/// Roles for what is being moved, or would be.
pub fn roles_now(session: Session, document: &Document) -> Vec<(NodeId, Role)> {
    session
        .moving
        .with(|moving: &Moving| moving.roles(document))
}
