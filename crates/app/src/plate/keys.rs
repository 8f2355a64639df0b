//! Keyboard twins: arrows move movers, the pencil and the crosshair by the chosen step.
use super::place::handle_point;
use super::pointer::{begin_drag, drag_to};
use crate::acts::predict::draw_to;
use crate::state::{Course, Session, Shell, spoken};
use crate::widgets::keys::{arrow, transform};
use course::Task;
use leptos::prelude::*;
use rig::{DialId, Edit, NodeId, Vec3};
use web_sys::KeyboardEvent;
use workbook::moving::Moving;
use workbook::pencil::Tool;

/// Steps on offer, mm or degrees.
const STEPS: [f64; 4] = [0.1, 0.5, 1.0, 5.0];

/// The labelled step switch.
#[component]
pub fn StepSize() -> impl IntoView {
    let Shell { step_size, .. } = expect_context();
    view! {
        <div class="switch" role="group" aria-label="Arrow-key step, mm or degrees">
            <span class="switch-name" aria-hidden="true">"step"</span>
            {STEPS
                .map(|size| {
                    view! {
                        <button
                            aria-pressed=move || (step_size.get() == size).to_string()
                            aria-label=format!("Step {size} mm or degrees")
                            on:click=move |_| step_size.set(size)
                        >
                            {size.to_string()}
                        </button>
                    }
                })
                .collect_view()}
        </div>
    }
}

/// Arrow keys on a mover. One dial: right and up add. Two dials: the first across, the second up.
pub fn mover_key(session: Session, node: NodeId, e: &KeyboardEvent) {
    let Some((right, up)) = arrow(e) else { return };
    session.stage.stop();
    let step = session.shell.step_size.get_untracked();
    let grip = session.grip(node);
    if grip.as_ref().is_some_and(|grip| !session.goes_on(grip)) {
        begin_drag(session, node);
    }
    session.stage.nudge(format!("node {}", node.0));
    match grip {
        // A tip goes over the plate, and its joints follow.
        Some(Moving::Dials(dials)) if dials.len() > 2 => {
            let [x, y, _] = session.camera.axes();
            let to = session.stage.point(node) + (x * right + y * up) * step;
            drag_to(session, node, to);
            session.stage.lever.set(None);
        }
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
            let [x, y, _] = session.camera.axes();
            let now = session.stage.point(node);
            // Whole tenths, so that repeated steps do not gather rounding.
            let to = (now + (x * right + y * up) * step).map(|v| (v * 10.0).round() / 10.0);
            session.place_live(node, to);
        }
        _ => {}
    }
    session.record();
    session.shell.say(spoken(session));
}

/// Where the keyboard point is, or would start.
fn cursor(session: Session) -> Vec3 {
    if let Some(at) = session.course.pencil.with(|p| p.cursor) {
        return at;
    }
    let start = session.stage.with(|h| {
        let step = session.course.step();
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
                    .stage
                    .selected
                    .get()
                    .or(h.document().nodes.last().map(|n| n.id));
            }
        };
        h.document().node_named(name).map(|n| n.id)
    });
    session.stage.track();
    start
        .and_then(|id| handle_point(session.stage, id))
        .unwrap_or_default()
}

/// The keyboard point's place on the plate.
pub fn cursor_place(session: Session) -> String {
    let at = cursor(session);
    let (x, y, _) = session.camera.view.with(|v| v.project(&at));
    transform(x, y)
}

/// What the crosshair says of itself.
pub fn cursor_label(course: Course) -> String {
    match course.step().as_ref().map(|s| &s.task) {
        Some(Task::PredictPin { .. }) => "Pencil. Arrow keys move it, Enter sets the pin.".into(),
        Some(Task::PredictPath { .. } | Task::PredictAxis { .. }) => {
            let state = if course.pencil.with(|p| p.down) {
                "down"
            } else {
                "up"
            };
            format!("Pencil, {state}. Space puts it down or lifts it, arrow keys draw.")
        }
        Some(Task::PredictRegion { .. }) => {
            let state = if course.pencil.with(|p| p.down) {
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
pub fn pencil_key(session: Session, add: Callback<Vec3>, e: &KeyboardEvent) {
    let step = session.course.step_now();
    let task = step.as_ref().map(|s| &s.task);
    if e.key() == "Escape" && session.camera.tool.get_untracked() != Tool::Pencil {
        session.camera.tool.set(Tool::Hand);
        return;
    }
    let press = matches!(e.key().as_str(), " " | "Enter");
    if press {
        e.prevent_default();
        let at = untrack(|| cursor(session));
        match (session.camera.tool.get_untracked(), &step) {
            (Tool::AddJoint | Tool::AddMount, _) => add.run(at),
            (_, Some(step)) => match task {
                Some(
                    Task::PredictPath { .. }
                    | Task::PredictAxis { .. }
                    | Task::PredictRegion { .. },
                ) => {
                    let down = session.course.pencil.with_untracked(|p| !p.down);
                    session.course.pencil.update(|p| p.down = down);
                    if down {
                        draw_to(session, step, at, true);
                    }
                }
                Some(Task::PredictAngle { .. }) => {}
                _ => draw_to(session, step, at, true),
            },
            _ => {}
        }
        return;
    }
    let Some((right, up)) = arrow(e) else { return };
    let size = session.shell.step_size.get_untracked();
    if let Some(Task::PredictAngle { .. }) = task {
        session.course.pencil.update(|p| {
            p.angle = Some((p.angle.unwrap_or(0.0) + (right + up) * size).clamp(0.0, 180.0))
        });
        return;
    }
    let [x, y, _] = session.camera.axes();
    let at = untrack(|| cursor(session)) + (x * right + y * up) * size;
    session.course.pencil.update(|p| p.cursor = Some(at));
    if let Some(step) = &step
        && session.camera.tool.get_untracked() == Tool::Pencil
        && session.course.pencil.with_untracked(|p| p.down)
    {
        draw_to(session, step, at, false);
    }
}
