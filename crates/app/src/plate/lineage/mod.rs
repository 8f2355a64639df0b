//! Who carries whom: both lineages hang over the plate like a mobile.
use crate::scene::roles_now;
use crate::state::{OnStage, Session, session};
use leptos::prelude::*;
use rig::few;
use rig::{Edit, Kind, NodeId, Role};
use std::collections::{BTreeMap, BTreeSet};
use workbook::hang::{Bead, hang, leads};
use workbook::moving::{Moving, grip_of};
use workbook::names;

/// The mobile.
#[component]
pub fn Lineage() -> impl IntoView {
    let session = session();
    let Session { stage, .. } = session;
    let opened = RwSignal::new(BTreeSet::<NodeId>::new());
    let camera = session.camera;
    let narrow = Memo::new(move |_| camera.view.with(|v| !camera.plate(v.size).is_wide()));
    let hung = Memo::new(move |_| {
        let narrow = narrow.get();
        stage.with(|h| opened.with(|o| hang(h.document(), o, narrow)))
    });
    Effect::new(move || camera.hung.set(hung.get()));
    let places = Memo::new(move |_| {
        hung.with(|h| few::map(h.beads.iter().map(|b| (b.id, (b.kind, b.x, b.y)))))
    });
    let roles = Memo::new(move |_| stage.with(|h| few::map(roles_now(session, h.posed()))));
    // On a phone the mobile hangs only when asked for, and while something is to be hung.
    let shown = RwSignal::new(false);
    let hangs = Memo::new(move |_| session.hangs());
    Effect::new(move || shown.set(hangs.get()));
    // A bead being dragged, and where it was grabbed.
    let held = RwSignal::new(None::<(NodeId, i32, i32)>);
    let ghost = RwSignal::new(None::<(i32, i32)>);
    let moved = window_event_listener(leptos::ev::pointermove, move |e| {
        if let Some((_, x, y)) = held.get_untracked()
            && (ghost.get_untracked().is_some()
                || (e.client_x() - x).abs() + (e.client_y() - y).abs() > 8)
        {
            ghost.set(Some((e.client_x(), e.client_y())));
        }
    });
    let dropped = window_event_listener(leptos::ev::pointerup, move |e| {
        if let (Some((node, ..)), Some(_)) = (held.get_untracked(), ghost.get_untracked())
            && let Some(under) = bead_at(e.client_x(), e.client_y())
            && under != node
        {
            rehang(session, node, under);
        }
        held.set(None);
        ghost.set(None);
    });
    let cancelled = window_event_listener(leptos::ev::pointercancel, move |_| {
        held.set(None);
        ghost.set(None);
    });
    on_cleanup(move || {
        moved.remove();
        dropped.remove();
        cancelled.remove();
    });
    let threads = move || {
        hung.with(|h| {
            h.beads
                .iter()
                .map(|b| {
                    match b
                        .parent
                        .and_then(|p| places.with(|all| all.get(&p).copied()))
                    {
                        Some((_, x, y)) if (x - b.x).abs() < 0.5 => {
                            format!("M{x:.1} {y:.1}V{:.1}", b.y)
                        }
                        Some((_, x, y)) => format!(
                            "M{x:.1} {y:.1}C{x:.1} {:.1} {:.1} {y:.1} {:.1} {:.1}",
                            y + 20.0,
                            b.x,
                            b.x,
                            b.y
                        ),
                        None => format!("M{:.1} 0V{:.1}", b.x, b.y),
                    }
                })
                .collect::<String>()
        })
    };
    let led = move || stage.with(|h| places.with(|p| leads(h.document(), p).join("")));
    let size = move || hung.with(|h| (h.width, h.depth()));
    let caption = move |which: usize| hung.with(|h| h.captions[which]);
    let cut = move || {
        hung.with(|h| {
            (h.hanging() < h.of).then(|| {
                format!(
                    "{} of {} nodes hang here; all are on the plate.",
                    h.hanging(),
                    h.of
                )
            })
        })
    };
    view! {
        <button
            class="lineage-switch"
            aria-expanded=move || shown.get().to_string()
            on:click=move |_| shown.update(|s| *s = !*s)
        >
            "Lineage"
        </button>
        <div class="lineage" class:shown=move || shown.get() role="group" aria-label="Lineage: who carries whom">
            <div class="mobile" style:width=move || rem(size().0) style:height=move || rem(size().1)>
                <svg aria-hidden="true" viewBox=move || format!("0 0 {:.1} {:.1}", size().0, size().1)>
                    <path class="thread" d=threads/>
                    <path class="leads" d=led/>
                    {move || caption(0).map(|x| view! { <text x=x + 12.0 y="18">"controls"</text> })}
                    {move || caption(1).map(|x| view! { <text x=x + 12.0 y="18">"skeleton"</text> })}
                </svg>
                <For
                    each=move || hung.get().beads
                    key=|b| (b.id, b.name.clone(), b.x as i64, b.y as i64, b.held, b.fold.as_ref().map(|f| f.open))
                    let:bead
                >
                    <Hanging bead roles opened held/>
                </For>
            </div>
            {move || cut().map(|text| view! { <p class="cut">{text}</p> })}
            <Show when=move || ghost.get().is_some()>
                <div
                    class="bead-ghost"
                    aria-hidden="true"
                    style:left=move || format!("{}px", ghost.get().map_or(0, |g| g.0))
                    style:top=move || format!("{}px", ghost.get().map_or(0, |g| g.1))
                >
                    {move || {
                        held.get().and_then(|(id, ..)| stage.with(|h| h.document().node(id).map(|n| names::node(h.document(), n))))
                    }}
                </div>
            </Show>
        </div>
    }
}

/// What is so many pixels where text is 16: it grows as text does.
fn rem(px: f64) -> String {
    format!("{:.4}rem", px / 16.0)
}

/// What is moved among several: the mover if one is, else who is held, else who is carried.
fn strongest(roles: impl Iterator<Item = Role>) -> Role {
    let rank = |role: &Role| match role {
        Role::Mover => 3,
        Role::Anchored => 2,
        Role::Carried => 1,
        Role::Still => 0,
    };
    roles.max_by_key(rank).unwrap_or(Role::Still)
}

#[component]
fn Hanging(
    bead: Bead,
    roles: Memo<BTreeMap<NodeId, Role>>,
    opened: RwSignal<BTreeSet<NodeId>>,
    held: RwSignal<Option<(NodeId, i32, i32)>>,
) -> impl IntoView {
    let session = session();
    let stage = session.stage;
    let id = bead.id;
    let fold = bead.fold.clone();
    let closed = fold.as_ref().is_some_and(|f| !f.open);
    let members = fold
        .clone()
        .filter(|f| !f.open)
        .map_or(vec![id], |f| f.members);
    let word = move || {
        let of = |id| roles.with(|r| r.get(id).copied()).unwrap_or(Role::Still);
        match strongest(members.iter().map(of)) {
            Role::Mover => "mover",
            Role::Carried => "carried",
            Role::Anchored => "anchored",
            Role::Still => "still",
        }
    };
    let spoken = word.clone();
    let kind = match (closed, bead.kind) {
        (true, _) => "folded",
        (false, Kind::Mount) => "mount",
        (false, Kind::Joint) => "joint",
    };
    let name = bead.called.clone();
    let label = format!("{name}, {kind}");
    let (left, top) = (rem(bead.x), rem(bead.y));
    let unfold = fold.filter(|f| f.open).map(|f| {
        view! {
            <button
                class="unfold"
                style:left=left.clone()
                style:top=top.clone()
                aria-label=format!("Fold {}", f.name)
                aria-expanded="true"
                on:click=move |_| opened.update(|o| { o.remove(&id); })
            >
                "−"
            </button>
        }
    });
    view! {
        {unfold}
        <button
            class=move || format!("bead {}", word())
            class:chosen=move || stage.selected.get() == Some(id)
            class:staple=bead.held
            class:folded=closed
            style:left=left
            style:top=top
            aria-label=move || format!("{label}, {}", spoken())
            aria-pressed=(!closed).then_some(move || (stage.selected.get() == Some(id)).to_string())
            aria-expanded=closed.then_some("false")
            data-node=bead.name.clone()
            data-bead=(!closed).then(|| id.0.to_string())
            on:click=move |_| {
                if closed {
                    opened.update(|o| { o.insert(id); });
                } else {
                    press(session, id);
                }
            }
            on:pointerdown=move |e| {
                if !closed {
                    held.set(Some((id, e.client_x(), e.client_y())));
                }
            }
        >
            <span class="dot" aria-hidden="true"></span>
            <span class="name" aria-hidden="true">{name}</span>
        </button>
    }
}

/// The bead under a point of the screen.
fn bead_at(x: i32, y: i32) -> Option<NodeId> {
    let found = document()
        .element_from_point(x as f32, y as f32)?
        .closest("[data-bead]")
        .ok()??;
    found.get_attribute("data-bead")?.parse().ok().map(NodeId)
}

/// Of a node that is to be hung the next press says from what; else a press chooses.
fn press(session: Session, id: NodeId) {
    let chosen = session.stage.selected.get_untracked();
    match chosen.filter(|node| *node != id && untrack(|| session.hangs_now(*node))) {
        Some(node) => rehang(session, node, id),
        None => choose(session.stage, id),
    }
}

fn choose(stage: OnStage, id: NodeId) {
    stage
        .selected
        .update(|s| *s = if *s == Some(id) { None } else { Some(id) });
    let moving = stage.with_untracked(|h| {
        let document = h.document();
        grip_of(document, id).or_else(|| {
            // Without a grip, the dials that turn it say what it does.
            let dials: Vec<_> = document
                .dials
                .iter()
                .filter(|d| d.drives.iter().any(|r| r.node() == Some(id)))
                .map(|d| d.id)
                .collect();
            (!dials.is_empty()).then_some(Moving::Dials(dials))
        })
    });
    if let Some(moving) = moving {
        stage.moving.set(moving);
    }
}

fn rehang(session: Session, node: NodeId, under: NodeId) {
    if session.builds() {
        session.hang_from(node, under);
        return;
    }
    let lesson_allows = session
        .course
        .step_now()
        .is_none_or(|s| s.tools.contains(&course::Tool::Rehang));
    if !lesson_allows {
        session.shell.notice(
            "This step leaves the lineage as it is.",
            "Free play and the sketch page let you hang nodes anew.",
        );
        return;
    }
    let before = session
        .stage
        .with_untracked(|h| h.document().node(node).and_then(|n| n.parent));
    if before != Some(under)
        && session.edit(&Edit::Rehang {
            node,
            parent: Some(under),
        })
    {
        session.shell.say("Hung anew. Nothing on the plate moved.");
    }
}
