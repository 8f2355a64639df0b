//! What the plate shows: what the session's signals hold, and the axes the hand page looks at.
use crate::knuckle_row::Row;
use crate::state::Session;
use figure::{Ghosts, Scene, Shape, Signs};
use leptos::prelude::*;
use rig::{NodeId, Posed, Role};
use workbook::axis::AxisKind;
use workbook::moving::roles_of;
use workbook::number::tenths;
use workbook::scene::{Shown, Ways, scene};

/// What stays from one frame of a drag to the next.
#[derive(Default)]
pub struct Kept {
    ways: Ways,
    ghosts: Ghosts,
}

/// Draws the plate as the session stands, and what of that a key explains. Tracks everything it
/// reads.
pub fn shapes(session: Session, kept: &mut Kept) -> (Vec<Shape>, Signs) {
    let Session {
        stage: on_stage,
        camera,
        course,
        shell,
        ..
    } = session;
    let step = course.step();
    camera.view.with(|view| {
        on_stage.with(|stage| {
            let posed = stage.posed();
            let shown = Shown {
                posed,
                ghost: stage.ghost(),
                view,
                step: step.as_deref(),
                moving: on_stage.moving.get(),
                put_away: session.hand.put_away.get(),
                selected: on_stage.selected.get(),
                tool: camera.tool.get(),
                trail: on_stage.trail.get(),
                lever: on_stage.lever.get(),
                pencil: course.pencil.get(),
                truth: course.truth.with(|t| Some(t.as_ref()?.0.clone())),
                tolerance: shell.tolerance.get().slip,
                projector: shell.projector.get(),
            };
            let mut scene = scene(shown, &mut kept.ways);
            scene.covered.extend(camera.covered.get());
            let plate = camera.plate(view.size);
            scene
                .covered
                .extend(camera.hung.with(|hung| hung.areas(plate)));
            axes(session, posed, &mut scene);
            joint(session, posed, &mut scene);
            figure::draw_on(posed, view, &scene, &mut kept.ghosts)
        })
    })
}

/// The axes a hand could press about, while they are looked at.
fn axes(session: Session, posed: &Posed, scene: &mut Scene) {
    let axes = session.stage.axes.get();
    if axes.is_empty() {
        return;
    }
    let Some(row) = Row::new(posed) else {
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

/// The chosen joint of a hand whose joints are offered: its name, and how far it is bent.
fn joint(session: Session, posed: &Posed, scene: &mut Scene) {
    let chosen = session.stage.selected.get();
    session.hand.knobs.with(|knobs| {
        let Some(knob) = knobs.iter().find(|knob| Some(knob.node) == chosen) else {
            return;
        };
        for (node, label) in &mut scene.labels {
            if *node == knob.node {
                label.clone_from(&knob.label);
            }
        }
        if let Some((at, straight, end, bent)) = workbook::knobs::bend(posed, knob) {
            scene
                .arcs
                .push((at, straight, end, tenths(bent, rig::Unit::Degrees)));
        }
    });
}

/// Roles for what is being moved, or would be.
pub fn roles_now(session: Session, posed: &Posed) -> Vec<(NodeId, Role)> {
    roles_of(posed, &session.stage.moving.get())
}
