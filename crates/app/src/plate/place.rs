//! Which place of the world is under a pixel: of a handle, of the pencil, of what is put down.
use crate::state::{OnStage, Session};
use figure::View;
use leptos::prelude::*;
use rig::{Grip, NodeId, Vec3};

/// A finger that begins to draw as near as this, px, draws from where it is.
const NEAR_START: f64 = 24.0;
/// The line of a path begins at what goes along it. A finger that begins elsewhere holds the pencil by
/// its end: the point moves as the finger does, and is seen.
pub fn held_away(session: Session, (x, y): (f64, f64)) -> (f64, f64) {
    let step = session.course.step_now();
    let Some(course::Task::PredictPath { node, .. }) = step.as_ref().map(|step| &step.task) else {
        return (0.0, 0.0);
    };
    let start = session.stage.named(node);
    let start = start.and_then(|node| handle_point(session.stage, node));
    let view = session.camera.view.get_untracked();
    match start.map(|at| view.project(&at)) {
        Some((px, py, _)) if libm::hypot(px - x, py - y) > NEAR_START => (px - x, py - y),
        _ => (0.0, 0.0),
    }
}

/// Where a pointer draws: not beyond the plate.
pub fn drawn_under(view: &View, away: (f64, f64), (x, y): (f64, f64)) -> (f64, f64) {
    let (width, height) = view.size;
    (
        (x + away.0).clamp(0.0, width),
        (y + away.1).clamp(0.0, height),
    )
}

/// Where the pencil is under a pixel: a pin at its node's own depth, for seen from one side nobody can
/// tell another.
pub fn drawn_at(session: Session, step: &course::Step, view: &View, x: f64, y: f64) -> Vec3 {
    let node = match &step.task {
        course::Task::PredictPin { node, .. } => session
            .stage
            .with_untracked(|h| h.document().node_named(node).map(|node| node.id)),
        _ => None,
    };
    match node.and_then(|id| handle_point(session.stage, id)) {
        Some(through) => view.unproject(x, y, &through),
        None => world_at(session, view, x, y),
    }
}

/// The world point under a point of the screen, if the plate is there.
pub fn place_on_plate(session: Session, x: i32, y: i32) -> Option<Vec3> {
    let canvas = document().element_from_point(x as f32, y as f32)?;
    let canvas = canvas.closest(".plate canvas").ok()??;
    let rect = canvas.get_bounding_client_rect();
    let view = session.camera.view.get_untracked();
    let (x, y) = (f64::from(x) - rect.left(), f64::from(y) - rect.top());
    Some(world_at(session, &view, x, y))
}

/// Where a node's handle is: the node, or off to the side for a placed one.
pub fn handle_point(stage: OnStage, node: NodeId) -> Option<Vec3> {
    stage.with_untracked(|h| {
        let at = h.posed().has(node).then(|| h.posed().point(node))?;
        Some(match h.document().node(node)?.grip {
            Grip::Place(offset) => at + Vec3::from(offset),
            _ => at,
        })
    })
}

/// The world point under a pixel, in the plane of what is selected, else of the first node.
pub fn world_at(session: Session, view: &View, x: f64, y: f64) -> Vec3 {
    let node = session.stage.selected.get_untracked().or_else(|| {
        session
            .stage
            .with_untracked(|h| h.document().nodes.first().map(|n| n.id))
    });
    let through = node
        .and_then(|id| handle_point(session.stage, id))
        .unwrap_or_default();
    view.unproject(x, y, &through)
}

/// Whether a press may still be a tap: no hand is quite still.
pub fn near_press((px, py): (f64, f64), (x, y): (f64, f64)) -> bool {
    libm::hypot(x - px, y - py) < 4.0
}
