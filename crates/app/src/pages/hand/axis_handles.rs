//! Handles of the axes on the plate: the middle moves the pivot, the end turns it.
use super::axes::{pivot_of, pivots_movable};
use super::edits::{of_planting, remake_live};
use crate::browser::capture;
use crate::knuckle_row::Row;
use crate::state::{Camera, OnStage, Session, session};
use crate::widgets::keys::{arrow, transform};
use hand::Pivot;
use leptos::prelude::*;
use workbook::axis::{AxisKind, AxisShown};
use workbook::moving::Moving;

/// A dragged axis settles on whole halves of a mm or a degree.
const GRID: f64 = 0.5;

fn snapped(pivot: Pivot) -> Pivot {
    let snap = |x: f64| (x / GRID).round() * GRID + 0.0;
    Pivot {
        offset: snap(pivot.offset),
        drop: snap(pivot.drop),
        yaw: snap(pivot.yaw),
    }
}

/// Moves the pivot, as a part of a drag.
fn put(session: Session, pivot: Pivot) {
    remake_live(session, of_planting(|p| p.pivot = pivot));
}

/// A drag of an axis: which part of it, from where.
#[derive(Clone, Copy)]
struct Dragged {
    axis: AxisShown,
    end: bool,
    from: (f64, f64),
}

/// Handles on the axes: the middle moves the pivot, the end turns it.
#[component]
pub fn AxisHandles() -> impl IntoView {
    let (stage, camera) = (expect_context::<OnStage>(), expect_context::<Camera>());
    // Where the pivots themselves can be moved, their own handles lie there.
    let kinds = Memo::new(move |_| {
        let pivots = stage.with(|h| pivots_movable(h.document()));
        let shown = stage
            .axes
            .with(|all| all.iter().map(|a| a.kind).collect::<Vec<_>>());
        if pivots { Vec::new() } else { shown }
    });
    let places = Memo::new(move |_| places(stage, camera).unwrap_or_default());
    view! {
        <div class="handles">
            <For each=move || kinds.get() key=|kind| *kind let:kind>
                <AxisHandle kind end=false places/>
                <AxisHandle kind end=true places/>
            </For>
        </div>
    }
}

/// Which handle, and where it is on the plate, px.
type Place = ((AxisKind, bool), (f64, f64));

/// Handles nearer than this could not be told apart by a finger, px.
const APART: f64 = 34.0;
/// Clear of that by more than rounding.
const STEP: f64 = 34.5;

/// Each handle at its axis; where axes lie on each other, one above, the others below.
fn places(stage: OnStage, camera: Camera) -> Option<Vec<Place>> {
    let axes = stage.axes.get();
    if axes.is_empty() {
        return None;
    }
    let row = row_now(stage)?;
    let mut all: Vec<Place> = Vec::new();
    for axis in axes {
        let [_, to, middle] = row.line(&axis.pivot);
        let step = if axis.kind == AxisKind::Greatest {
            -STEP
        } else {
            STEP
        };
        for (end, at) in [(false, middle), (true, to)] {
            let (x, mut y, _) = camera.view.with(|v| v.project(&at));
            let near = |y: f64| {
                let close = |p: &&Place| (p.1.0 - x).abs() < APART && (p.1.1 - y).abs() < APART;
                all.iter().find(close).map(|p| p.1.1)
            };
            // One step for each handle before it is enough: a step leaves one of them for good.
            for _ in 0..all.len() {
                let Some(other) = near(y) else { break };
                y = other + step;
            }
            all.push(((axis.kind, end), (x, y)));
        }
    }
    Some(all)
}

fn row_now(stage: OnStage) -> Option<Row> {
    stage.with(|h| Row::new(h.posed()))
}

#[component]
fn AxisHandle(kind: AxisKind, end: bool, places: Memo<Vec<Place>>) -> impl IntoView {
    let session = session();
    let Session {
        stage,
        camera,
        shell,
        ..
    } = session;
    let axis = move || {
        stage
            .axes
            .with(|all| all.iter().find(|a| a.kind == kind).copied())
    };
    let place = move || {
        let at = places.with(|all| all.iter().find(|p| p.0 == (kind, end)).map(|p| p.1));
        at.map_or(String::new(), |(x, y)| transform(x, y))
    };
    let held = StoredValue::new(None::<Dragged>);
    let begin = move || {
        stage.stop();
        session.begin(Moving::Nothing);
    };
    let drag = move |e: &web_sys::PointerEvent| {
        let Some(Dragged { axis, end, from }) = held.get_value() else {
            return;
        };
        let (dx, dy) = (
            f64::from(e.client_x()) - from.0,
            f64::from(e.client_y()) - from.1,
        );
        let by = camera.view.with_untracked(|v| {
            let [right, up, _] = v.axes();
            (right * dx - up * dy) / v.scale
        });
        let Some(row) = untrack(|| row_now(stage)) else {
            return;
        };
        let to = if end {
            row.turned(&axis.pivot, &by)
        } else {
            row.shifted(&axis.pivot, &by)
        };
        put(session, snapped(to));
    };
    let let_go = move |_| {
        if held.get_value().is_some() {
            held.set_value(None);
            stage.settle();
            shell.say(untrack(|| pivot_in_words(stage)));
        }
    };
    let label = move || {
        let part = if end { "end" } else { "middle" };
        format!(
            "{}, {part}. {}",
            sentence(kind.name()),
            pivot_in_words(stage)
        )
    };
    view! {
        <button
            class=format!("handle axis-handle {kind:?}")
            class:axis-end=end
            style:transform=place
            aria-label=label
            data-name=move || kind.name()
            aria-description="Arrow keys move it; the step switch sets how far."
            on:pointerdown=move |e| {
                e.prevent_default();
                capture(&e);
                if let Some(axis) = untrack(axis) {
                    begin();
                    held.set_value(Some(Dragged { axis, end, from: (f64::from(e.client_x()), f64::from(e.client_y())) }));
                }
            }
            on:pointermove=move |e| drag(&e)
            on:pointerup=let_go
            on:pointercancel=let_go
            on:keydown=move |e| {
                let Some((right, up)) = arrow(&e) else { return };
                let Some(axis) = untrack(axis) else { return };
                let step = shell.step_size.get_untracked();
                let mut to = axis.pivot;
                if end {
                    to.yaw += (right + up) * step;
                } else {
                    to.offset += right * step;
                    to.drop -= up * step;
                }
                stage.stop();
                stage.nudge(format!("axis {kind:?} {end}"));
                put(session, to);
                shell.say(untrack(|| pivot_in_words(stage)));
            }
            on:keyup=move |_| stage.nudge_ends()
            on:blur=move |_| stage.settle()
        ></button>
    }
}

/// As a sentence begins.
pub fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| {
        format!("{}{}", first.to_uppercase(), letters.as_str())
    })
}

/// The pivot in words.
fn pivot_in_words(stage: OnStage) -> String {
    let pivot = stage.with(|h| h.document().hand.as_deref().and_then(pivot_of));
    pivot.map_or(String::new(), |p| {
        format!(
            "Pivot {:.1} mm towards the tips, {:.1} mm below, turned {:.1} degrees",
            p.offset + 0.0,
            p.drop + 0.0,
            p.yaw + 0.0
        )
    })
}
