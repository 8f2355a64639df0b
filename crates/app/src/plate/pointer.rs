//! Pointers on the plate: drag movers, draw, pan, pinch, turn the oblique view.
use super::fit::fit_now;
use super::place::{drawn_at, drawn_under, handle_point, held_away, near_press, world_at};
use crate::acts::predict::{draw_to, tap_at};
use crate::browser::now;
use crate::state::{Camera, Session, session, spoken};
use crate::timing;
use figure::{Sight, View};
use leptos::html::Canvas;
use leptos::prelude::*;
use rig::{Edit, Grip, NodeId, Vec3};
use std::cell::RefCell;
use std::rc::Rc;
use web_sys::{PointerEvent, WheelEvent};
use workbook::knobs::freed;
use workbook::moving::Moving;
use workbook::pencil::Tool;
use workbook::pull::Trials;

/// How near a press must be to a mover, px.
const NEAR: f64 = 46.0;
/// To a joint: they stand close, and what is beside them turns the view.
const NEAR_KNOB: f64 = 26.0;
/// Of two as near as this, px, the one in front is meant.
const AS_NEAR: f64 = 5.0;
/// A placed pivot settles on whole half millimetres, so that a mend can be exact.
pub const PLACE_GRID: f64 = 0.5;

#[derive(Default)]
struct Pointers {
    /// Every finger down: id, x, y.
    down: Vec<(i32, f64, f64)>,
    act: Act,
    last_tap: Option<(f64, f64, f64)>,
    moved: bool,
    /// From the pointer to where it draws, px: a finger would hide the line under it.
    away: (f64, f64),
    /// Where the last press was, px; none once it has become a line.
    pressed: Option<(f64, f64)>,
}

#[derive(Clone, Copy, Default, PartialEq)]
enum Act {
    #[default]
    Nothing,
    /// Node and the world offset from pointer to it.
    Drag(NodeId, Vec3),
    Draw,
    Pan,
    Pinch,
}

/// Attaches the listeners. `add` is told where an adding tool was pressed.
pub fn listen(canvas: NodeRef<Canvas>, add: Callback<Vec3>) {
    let session = session();
    let Session { camera, .. } = session;
    let state: Rc<RefCell<Pointers>> = Rc::default();
    Effect::new(move || {
        let Some(element) = canvas.get() else { return };
        let place = {
            let element = element.clone();
            move |x: i32, y: i32| {
                let rect = element.get_bounding_client_rect();
                (f64::from(x) - rect.left(), f64::from(y) - rect.top())
            }
        };
        let element_for_capture = element.clone();
        let (s, at) = (state.clone(), place.clone());
        hear(&element, "pointerdown", move |e: PointerEvent| {
            e.prevent_default();
            let _ = element_for_capture.set_pointer_capture(e.pointer_id());
            let (x, y) = at(e.client_x(), e.client_y());
            let mut state = s.borrow_mut();
            state.away = match e.pointer_type().as_str() {
                "touch" => held_away(session, (x, y)),
                _ => (0.0, 0.0),
            };
            press(session, add, &mut state, e.pointer_id(), (x, y));
        });
        let (s, at) = (state.clone(), place.clone());
        hear(&element, "pointermove", move |e: PointerEvent| {
            let (x, y) = at(e.client_x(), e.client_y());
            let mut state = s.borrow_mut();
            if state.act != Act::Nothing {
                timing::begin();
            }
            shift(session, &mut state, e.pointer_id(), x, y, e.shift_key());
        });
        for name in ["pointerup", "pointercancel"] {
            let (s, at) = (state.clone(), place.clone());
            hear(&element, name, move |e: PointerEvent| {
                let (x, y) = at(e.client_x(), e.client_y());
                lift(session, &mut s.borrow_mut(), e.pointer_id(), x, y);
            });
        }
        let at = place.clone();
        hear(&element, "wheel", move |e: WheelEvent| {
            e.prevent_default();
            let (x, y) = at(e.client_x(), e.client_y());
            zoom(camera, x, y, libm::exp(-e.delta_y() * 0.0015));
        });
    });
}

fn hear<E: wasm_bindgen::convert::FromWasmAbi + 'static>(
    element: &web_sys::HtmlCanvasElement,
    name: &str,
    handler: impl FnMut(E) + 'static,
) {
    use wasm_bindgen::JsCast;
    let closure = wasm_bindgen::closure::Closure::<dyn FnMut(E)>::new(handler);
    let options = web_sys::AddEventListenerOptions::new();
    options.set_passive(false);
    let _ = element.add_event_listener_with_callback_and_add_event_listener_options(
        name,
        closure.as_ref().unchecked_ref(),
        &options,
    );
    // The listener lives as long as the canvas it is on.
    closure.forget();
}

fn press(session: Session, add: Callback<Vec3>, state: &mut Pointers, id: i32, (x, y): (f64, f64)) {
    session.stage.stop();
    state.down.push((id, x, y));
    state.moved = false;
    if state.down.len() == 2 {
        if matches!(state.act, Act::Drag(..)) {
            end_drag(session);
        }
        state.act = Act::Pinch;
        return;
    }
    let view = session.camera.view.get_untracked();
    match session.camera.tool.get_untracked() {
        Tool::Pencil => {
            if let Some(step) = session.course.step_now() {
                state.pressed = Some((x, y));
                let (x, y) = drawn_under(&view, state.away, (x, y));
                draw_to(session, &step, drawn_at(session, &step, &view, x, y), true);
            }
            state.act = Act::Draw;
        }
        Tool::AddJoint | Tool::AddMount => {
            add.run(world_at(session, &view, x, y));
            state.act = Act::Nothing;
        }
        Tool::Hand => {
            if let Some((node, at)) = nearest_mover(session, &view, x, y) {
                begin_drag(session, node);
                // A joint's dot stays where it is, and its bone's far end goes as the pointer does.
                let pulled = session.pulled(node);
                let at = handle_point(session.stage, pulled).unwrap_or(at);
                let grabbed = view.unproject(x, y, &at);
                state.act = Act::Drag(pulled, at - grabbed);
            } else {
                session
                    .stage
                    .selected
                    .set(nearest_node(session, &view, x, y));
                state.act = Act::Pan;
            }
        }
    }
}

fn shift(session: Session, state: &mut Pointers, id: i32, x: f64, y: f64, finer: bool) {
    let Some(index) = state.down.iter().position(|p| p.0 == id) else {
        match session.camera.tool.get_untracked() {
            Tool::Hand => hover(session, x, y),
            Tool::AddMount if session.builds() => {
                let view = session.camera.view.get_untracked();
                let at = world_at(session, &view, x, y);
                session.course.pencil.update(|p| p.cursor = Some(at));
            }
            _ => {}
        }
        return;
    };
    let before = state.down[index];
    let (dx, dy) = (x - before.1, y - before.2);
    if dx == 0.0 && dy == 0.0 {
        return;
    }
    state.moved = true;
    let view = session.camera.view.get_untracked();
    match state.act {
        Act::Drag(node, offset) => {
            let through = handle_point(session.stage, node).unwrap_or_default();
            drag_to(session, node, view.unproject(x, y, &through) + offset);
        }
        Act::Draw if state.pressed.is_some_and(|from| near_press(from, (x, y))) => {}
        Act::Draw => {
            state.pressed = None;
            if let Some(step) = session.course.step_now() {
                let (x, y) = drawn_under(&view, state.away, (x, y));
                draw_to(session, &step, drawn_at(session, &step, &view, x, y), false);
            }
        }
        Act::Pan => {
            session.camera.framed.set(true);
            session.camera.view.update(|v| match &mut v.sight {
                Sight::Oblique { yaw, pitch } if !finer => {
                    *yaw += dx * 0.008;
                    *pitch = (*pitch + dy * 0.008).clamp(-1.5, 1.5);
                }
                _ => {
                    let [right, up, _] = v.axes();
                    v.centre += right * (-dx / v.scale) + up * (dy / v.scale);
                }
            });
        }
        Act::Pinch => {
            if let [a, b, ..] = state.down.as_slice() {
                let (other, this) = if index == 0 { (*b, *a) } else { (*a, *b) };
                let spread = |x: f64, y: f64| libm::hypot(x - other.1, y - other.2).max(1.0);
                let middle = ((x + other.1) / 2.0, (y + other.2) / 2.0);
                zoom(
                    session.camera,
                    middle.0,
                    middle.1,
                    spread(x, y) / spread(this.1, this.2),
                );
                session.camera.view.update(|v| {
                    let [right, up, _] = v.axes();
                    v.centre += right * (-dx / 2.0 / v.scale) + up * (dy / 2.0 / v.scale);
                });
            }
        }
        Act::Nothing => {}
    }
    state.down[index] = (id, x, y);
}

fn lift(session: Session, state: &mut Pointers, id: i32, x: f64, y: f64) {
    state.down.retain(|p| p.0 != id);
    match state.act {
        Act::Drag(..) => end_drag(session),
        Act::Draw => {
            if let (Some((x, y)), Some(step)) = (state.pressed.take(), session.course.step_now()) {
                let view = session.camera.view.get_untracked();
                tap_at(session, &step, drawn_at(session, &step, &view, x, y));
            }
        }
        Act::Pan if !state.moved => {
            let now = now();
            if let Some((then, px, py)) = state.last_tap.take()
                && now - then < 350.0
                && libm::hypot(px - x, py - y) < 24.0
            {
                fit_now(session);
            } else {
                state.last_tap = Some((now, x, y));
            }
        }
        _ => {}
    }
    state.act = Act::Nothing;
}

/// Starts moving what this node grips.
pub fn begin_drag(session: Session, node: NodeId) {
    if let Some(moving) = session.grip(node) {
        session.stage.selected.set(Some(node));
        session.begin(moving);
    }
}

/// Moves the gripped node to a world point (for a placed pivot: its handle).
pub fn drag_to(session: Session, node: NodeId, to: Vec3) {
    let sight = session.camera.axes()[2];
    match session.stage.moving.get_untracked() {
        Moving::Dials(dials) => {
            let values = session.stage.with_untracked(|stage| {
                let posed = stage.posed();
                if !posed.has(node) || !dials.iter().all(|dial| posed.has_dial(*dial)) {
                    return Vec::new();
                }
                let freed = freed(posed, &dials);
                let posed = freed.as_ref().unwrap_or(posed);
                let trials = session.stage.trials;
                let pull = |trials: &mut Trials| trials.pull(posed, node, &dials, to, sight);
                trials.try_update_value(pull).unwrap_or_default()
            });
            session.edit_live(&Edit::SetDials { values });
            let apex = session.stage.with_untracked(|h| {
                let dial = h.document().dial(*dials.first()?)?;
                let drive = dial.drives.iter().find(|d| d.turns())?;
                h.document()
                    .node(drive.node()?)
                    .filter(|n| !n.hidden)
                    .map(|n| n.id)
            });
            if let Some(apex) = apex {
                let from = session.stage.point(apex);
                session.stage.lever.set(Some((from, to)));
            }
        }
        Moving::Place(node) => {
            let snapped =
                session
                    .stage
                    .with_untracked(|h| match h.document().node(node).map(|n| &n.grip) {
                        Some(Grip::Place(handle)) => snap(to - Vec3::from(*handle)),
                        _ => snap(to),
                    });
            session.place_live(node, snapped);
        }
        Moving::Nothing => {}
    }
    session.record();
}

fn snap(p: Vec3) -> Vec3 {
    p.map(|v| (v / PLACE_GRID).round() * PLACE_GRID)
}

/// Ends a drag: one change to undo.
pub fn end_drag(session: Session) {
    session.stage.settle();
    session.stage.lever.set(None);
    session.shell.say(spoken(session));
}

fn hover(session: Session, x: f64, y: f64) {
    let view = session.camera.view.get_untracked();
    let near = nearest_mover(session, &view, x, y);
    let near = near.map(|(node, _)| node);
    let offered = near.filter(|node| session.hand.knob(*node).is_some());
    if session.hand.near.get_untracked() != offered {
        session.hand.near.set(offered);
    }
    if let Some(moving) = near.and_then(|node| session.grip(node)) {
        session.stage.point_at(moving);
    }
}

fn nearest_mover(session: Session, view: &View, x: f64, y: f64) -> Option<(NodeId, Vec3)> {
    let knob = session.hand.knobs.with_untracked(|knobs| {
        let offered = |node: &rig::Node| knobs.iter().any(|knob| knob.node == node.id);
        nearest(session, view, x, y, NEAR_KNOB, offered)
    });
    if knob.is_some() {
        return knob;
    }
    let away = session.hand.put_away.read_untracked();
    nearest(session, view, x, y, NEAR, |node| match &node.grip {
        Grip::None => false,
        Grip::Dials(dials) => !dials.is_empty() && !away.contains(&node.id),
        Grip::Place(_) => !away.contains(&node.id),
    })
}

fn nearest_node(session: Session, view: &View, x: f64, y: f64) -> Option<NodeId> {
    nearest(session, view, x, y, 20.0, |_| true).map(|found| found.0)
}

fn nearest(
    session: Session,
    view: &View,
    x: f64,
    y: f64,
    within: f64,
    wanted: impl Fn(&rig::Node) -> bool,
) -> Option<(NodeId, Vec3)> {
    let nodes: Vec<NodeId> = session.stage.with_untracked(|h| {
        let visible = |n: &&rig::Shared<rig::Node>| {
            wanted(n) && (!n.hidden || matches!(n.grip, Grip::Place(_)))
        };
        h.document()
            .nodes
            .iter()
            .filter(visible)
            .map(|n| n.id)
            .collect()
    });
    nodes
        .into_iter()
        .filter_map(|id| {
            let at = handle_point(session.stage, id)?;
            let (px, py, towards) = view.project(&at);
            let off = libm::hypot(px - x, py - y);
            (off <= within).then_some((id, at, (off / AS_NEAR).floor(), -towards, off))
        })
        .min_by(|a, b| {
            let order = a.2.total_cmp(&b.2).then(a.3.total_cmp(&b.3));
            order.then(a.4.total_cmp(&b.4))
        })
        .map(|found| (found.0, found.1))
}

/// Zooms about a pixel.
pub fn zoom(camera: Camera, x: f64, y: f64, factor: f64) {
    camera.framed.set(true);
    camera.view.update(|v| {
        let centre = v.centre;
        let under = v.unproject(x, y, &centre);
        v.scale = (v.scale * factor).clamp(0.2, 60.0);
        let now = v.unproject(x, y, &centre);
        v.centre += under - now;
    });
}
