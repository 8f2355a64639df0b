//! Focusable twins of everything that can be grabbed: buttons over the canvas, moved by arrow keys.
use super::keys;
use super::pointer::handle_point;
use crate::state::{Camera, OnStage, Session, session};
use crate::widgets::keys::transform;
use course::Task;
use leptos::prelude::*;
use rig::{Document, NodeId, Vec3};
use workbook::moving::{Moving, grip_of, told};
use workbook::pencil::Tool;

/// One handle.
#[derive(Clone, PartialEq)]
struct Handle {
    node: NodeId,
    label: String,
}

/// All handles of the figure, and the pencil when one is asked for.
#[component]
pub fn Handles(add: Callback<Vec3>) -> impl IntoView {
    let session = session();
    let Session {
        stage,
        camera,
        course,
        ..
    } = session;
    let handles = Memo::new(move |_| {
        stage.with(|h| {
            let document = h.document();
            let away = session.hand.put_away.read();
            document
                .nodes
                .iter()
                .filter(|n| !away.contains(&n.id))
                .filter_map(|n| {
                    Some(Handle {
                        node: n.id,
                        label: label(document, n.id)?,
                    })
                })
                .collect::<Vec<_>>()
        })
    });
    let stay = Memo::new(move |_| match course.step().as_ref().map(|s| &s.task) {
        Some(Task::PredictStay { among, .. }) => stage.with(|h| {
            among
                .iter()
                .filter_map(|n| h.document().node_named(n))
                .map(|n| (n.id, course::called(h.document(), n.id)))
                .collect()
        }),
        _ => Vec::new(),
    });
    let drawing = move || camera.tool.get() == Tool::Pencil;
    let crosshair = move || match camera.tool.get() {
        Tool::Pencil => course
            .step()
            .is_some_and(|s| s.task.is_prediction() && !matches!(s.task, Task::PredictStay { .. })),
        Tool::AddJoint | Tool::AddMount => true,
        Tool::Hand => false,
    };
    view! {
        <div class="handles">
            <Show when=move || camera.tool.get() == Tool::Hand>
                <For each=move || handles.get() key=|h| (h.node, h.label.clone()) let:handle>
                    <Knob node=handle.node label=handle.label/>
                </For>
            </Show>
            <Show when=move || drawing() && !stay.with(Vec::is_empty)>
                <For each=move || stay.get() key=|n| n.0 let:node>
                    {
                        let id = node.0;
                        let pressed = move || course.pencil.with(|p| p.stay.contains(&id));
                        view! {
                            <button
                                class="handle stay"
                                style:transform=move || place(stage, camera, id)
                                aria-pressed=move || pressed().to_string()
                                aria-label=format!("{} stays", node.1)
                                on:click=move |_| course.pencil.update(|p| p.toggle_stay(id))
                            ></button>
                        }
                    }
                </For>
            </Show>
            <Show when=crosshair>
                <button
                    class="handle crosshair"
                    style:transform=move || keys::cursor_place(session)
                    aria-label=move || keys::cursor_label(course)
                    on:keydown=move |e| keys::pencil_key(session, add, &e)
                ></button>
            </Show>
        </div>
    }
}

#[component]
fn Knob(node: NodeId, label: String) -> impl IntoView {
    let session = session();
    let Session { stage, camera, .. } = session;
    let value = move || {
        stage.with(|h| {
            let moving = grip_of(h.document(), node).unwrap_or_default();
            told(h.document(), &moving).join(", ")
        })
    };
    view! {
        <button
            class="handle"
            style:transform=move || place(stage, camera, node)
            aria-label=move || format!("{label}. {}", value())
            aria-description="Arrow keys move it; the step switch sets how far."
            on:focus=move |_| {
                if let Some(moving) = stage.grip(node) {
                    stage.moving.set(moving);
                    stage.selected.set(Some(node));
                }
            }
            on:keydown=move |e| keys::mover_key(session, node, &e)
            on:keyup=move |_| stage.nudge_ends()
            on:blur=move |_| stage.settle()
        ></button>
    }
}

fn label(document: &Document, node: NodeId) -> Option<String> {
    let found = document.node(node)?;
    match grip_of(document, node)? {
        Moving::Place(_) => Some(format!("Place {}", found.name)),
        _ if found.hidden => None,
        _ => Some(format!("Move {}", found.name)),
    }
}

fn pixel(stage: OnStage, camera: Camera, node: NodeId) -> (f64, f64) {
    stage.track();
    let view = camera.view.get();
    handle_point(stage, node).map_or((0.0, 0.0), |at| {
        let (x, y, _) = view.project(&at);
        (x, y)
    })
}

fn place(stage: OnStage, camera: Camera, node: NodeId) -> String {
    let (x, y) = pixel(stage, camera, node);
    transform(x, y)
}
