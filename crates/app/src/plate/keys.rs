//! Keyboard twins: arrows move movers, the pencil and the crosshair by the chosen step.
use super::pointer::{begin_drag, handle_point};
use crate::pencil;
use crate::session::{Moving, Session, Tool, grip_of, session};
use course::Task;
use leptos::prelude::*;
use rig::{DialId, Edit, NodeId, Vec3};
use web_sys::KeyboardEvent;

/// Steps on offer, mm or degrees.
const STEPS: [f64; 4] = [0.1, 0.5, 1.0, 5.0];

/// The labelled step switch.
#[component]
pub fn StepSize() -> impl IntoView {
    let session = session();
    view! {
        <div class="switch" role="group" aria-label="Arrow-key step, mm or degrees">
            <span class="switch-name" aria-hidden="true">"step"</span>
            {STEPS
                .map(|size| {
                    view! {
                        <button
                            aria-pressed=move || (session.step_size.get() == size).to_string()
                            aria-label=format!("Step {size} mm or degrees")
                            on:click=move |_| session.step_size.set(size)
                        >
                            {size.to_string()}
                        </button>
                    }
                })
                .collect_view()}
        </div>
    }
}

/// Right and up of an arrow key.
pub fn arrow(e: &KeyboardEvent) -> Option<(f64, f64)> {
    let direction = match e.key().as_str() {
        "ArrowLeft" => (-1.0, 0.0),
        "ArrowRight" => (1.0, 0.0),
        "ArrowUp" => (0.0, 1.0),
        "ArrowDown" => (0.0, -1.0),
        _ => return None,
    };
    e.prevent_default();
    Some(direction)
}

/// Arrow keys on a mover. One dial: right and up add. Two dials: the first across, the second up.
pub fn mover_key(session: Session, node: NodeId, e: &KeyboardEvent) {
    let Some((right, up)) = arrow(e) else { return };
    session.stop();
    let step = session.step_size.get_untracked();
    let grip = session
        .stage
        .with_untracked(|h| grip_of(h.document(), node));
    if session.moving.with_untracked(|m| Some(m) != grip.as_ref())
        || session.attempt.with_untracked(|a| a.trail.is_empty())
    {
        begin_drag(session, node);
    }
    session.nudge(format!("node {}", node.0));
    match grip {
        Some(Moving::Dials(dials)) => {
            let wanted: Vec<(DialId, f64)> = session.stage.with_untracked(|h| {
                let add = |dial: DialId, by: f64| {
                    h.document()
                        .value(dial)
                        .map(|value| (dial, value + by * step))
                };
                match dials.as_slice() {
                    [one] => add(*one, right + up).into_iter().collect(),
                    [first, second, ..] => [add(*first, right), add(*second, up)]
                        .into_iter()
                        .flatten()
                        .collect(),
                    [] => Vec::new(),
                }
            });
            session.edit_live(&Edit::SetDials { values: wanted });
        }
        Some(Moving::Place(node)) => {
            let [x, y, _] = session.view.with_untracked(|v| v.axes());
            let now = session.stage.with_untracked(|s| s.posed().point(node));
            // Whole tenths, so that repeated steps do not gather rounding.
            let to = (now + (x * right + y * up) * step).map(|v| (v * 10.0).round() / 10.0);
            session.place_live(node, to);
        }
        _ => {}
    }
    session.record();
    session.say(crate::desk::spoken(session));
}

/// Where the keyboard point is, or would start.
fn cursor(session: Session) -> Vec3 {
    if let Some(at) = session.pencil.with(|p| p.cursor) {
        return at;
    }
    let start = session.stage.with(|h| {
        let step = session.step();
        let name = match step.as_ref().map(|s| &s.task) {
            Some(
                Task::PredictPin { node, .. }
                | Task::PredictPath { node, .. }
                | Task::PredictRegion { node, .. },
            ) => node,
            Some(Task::PredictAngle { along, .. }) => along,
            Some(Task::PredictAxis { knuckles }) => &knuckles[0],
            _ => {
                return session
                    .selected
                    .get()
                    .or(h.document().nodes.last().map(|n| n.id));
            }
        };
        h.document().node_named(name).map(|n| n.id)
    });
    session.stage.track();
    start
        .and_then(|id| handle_point(session, id))
        .unwrap_or_default()
}

/// A handle's place as a CSS transform: moving by it costs no layout.
pub fn transform(x: f64, y: f64) -> String {
    format!("translate({x:.1}px,{y:.1}px)")
}

/// The keyboard point's place on the plate.
pub fn cursor_place(session: Session) -> String {
    let at = cursor(session);
    let (x, y, _) = session.view.with(|v| v.project(&at));
    transform(x, y)
}

/// What the crosshair says of itself.
pub fn cursor_label(session: Session) -> String {
    match session.step().as_ref().map(|s| &s.task) {
        Some(Task::PredictPin { .. }) => "Pencil. Arrow keys move it, Enter sets the pin.".into(),
        Some(Task::PredictPath { .. } | Task::PredictAxis { .. }) => {
            let state = if session.pencil.with(|p| p.down) {
                "down"
            } else {
                "up"
            };
            format!("Pencil, {state}. Space puts it down or lifts it, arrow keys draw.")
        }
        Some(Task::PredictRegion { .. }) => {
            let state = if session.pencil.with(|p| p.down) {
                "down"
            } else {
                "up"
            };
            format!("Brush, {state}. Space puts it down or lifts it, arrow keys paint.")
        }
        Some(Task::PredictAngle { .. }) => "Pencil. Up and down arrow keys turn the ray.".into(),
        _ => "Crosshair. Arrow keys move it, Enter places.".into(),
    }
}

/// Keys of the crosshair.
pub fn pencil_key(session: Session, e: &KeyboardEvent) {
    let step = session.step_now();
    let task = step.as_ref().map(|s| &s.task);
    let press = matches!(e.key().as_str(), " " | "Enter");
    if press {
        e.prevent_default();
        let at = untrack(|| cursor(session));
        match (session.tool.get_untracked(), &step) {
            (Tool::AddJoint | Tool::AddMount, _) => super::pointer::add_at(session, at),
            (_, Some(step)) => match task {
                Some(
                    Task::PredictPath { .. }
                    | Task::PredictAxis { .. }
                    | Task::PredictRegion { .. },
                ) => {
                    let down = session.pencil.with_untracked(|p| !p.down);
                    session.pencil.update(|p| p.down = down);
                    if down {
                        pencil::draw_to(session, step, at, true);
                    }
                }
                Some(Task::PredictAngle { .. }) => {}
                _ => pencil::draw_to(session, step, at, true),
            },
            _ => {}
        }
        return;
    }
    let Some((right, up)) = arrow(e) else { return };
    let size = session.step_size.get_untracked();
    if let Some(Task::PredictAngle { .. }) = task {
        session.pencil.update(|p| {
            p.angle = Some((p.angle.unwrap_or(0.0) + (right + up) * size).clamp(0.0, 180.0))
        });
        return;
    }
    let [x, y, _] = session.view.with_untracked(|v| v.axes());
    let at = untrack(|| cursor(session)) + (x * right + y * up) * size;
    session.pencil.update(|p| p.cursor = Some(at));
    if let Some(step) = &step
        && session.tool.get_untracked() == Tool::Pencil
        && session.pencil.with_untracked(|p| p.down)
    {
        pencil::draw_to(session, step, at, false);
    }
}
