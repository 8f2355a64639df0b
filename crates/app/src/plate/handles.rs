//! Focusable twins of everything that can be grabbed: buttons over the canvas, moved by arrow keys.
use super::keys;
use super::place::handle_point;
use crate::state::{Camera, OnStage, Session, session};
use crate::widgets::keys::transform;
use course::Task;
use leptos::prelude::*;
use rig::{NodeId, Vec3};
use workbook::moving::{self, told};
use workbook::pencil::Tool;

/// One handle.
#[derive(Clone, PartialEq)]
struct Handle {
    node: NodeId,
    label: String,
    /// A joint's or a tip's of the hand page: a dot that is seen, with its name.
    joint: Option<Joint>,
}

#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Joint {
    Turned,
    Pulled,
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
            let own = document.nodes.iter().filter(|n| !away.contains(&n.id));
            let own = own.filter_map(|n| {
                Some(Handle {
                    node: n.id,
                    label: moving::handle(document, n.id)?,
                    joint: None,
                })
            });
            let knobs = session.hand.knobs.read();
            let joints = knobs.iter().map(|knob| Handle {
                node: knob.node,
                label: knob.label.clone(),
                joint: Some(if knob.is_tip() {
                    Joint::Pulled
                } else {
                    Joint::Turned
                }),
            });
            own.chain(joints).collect::<Vec<_>>()
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
                <For each=move || handles.get() key=|h| (h.node, h.label.clone(), h.joint) let:handle>
                    <Knob handle/>
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
fn Knob(handle: Handle) -> impl IntoView {
    let session = session();
    let Session { stage, camera, .. } = session;
    let Handle { node, label, joint } = handle;
    let name = joint.map(|_| label.clone());
    let value = move || {
        stage.with(|h| {
            let moving = session.grip(node).unwrap_or_default();
            told(h.document(), &moving).join(", ")
        })
    };
    view! {
        <button
            class="handle"
            class:joint=joint.is_some()
            class:tip=joint == Some(Joint::Pulled)
            class:near=move || joint.is_some() && session.hand.near.get() == Some(node)
            class:chosen=move || joint.is_some() && stage.selected.get() == Some(node)
            data-name=name
            style:transform=move || place(stage, camera, node)
            aria-label=move || format!("{label}. {}", value())
            aria-description=match joint {
                None => "Arrow keys move it; the step switch sets how far.",
                Some(Joint::Turned) => "Up and down bend it, left and right spread it; the step switch sets how far.",
                Some(Joint::Pulled) => "Arrow keys pull it over the plate and its joints follow; the step switch sets how far.",
            }
            on:focus=move |_| {
                if let Some(moving) = session.grip(node) {
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
