//! Tools on the desk: what this step, or the sketch, lets one change about the rig itself.
use crate::session::{Session, session};
use course::Tool;
use leptos::prelude::*;
use rig::{Edit, NodeId};
use workbook::route::Route;

/// The row of tools.
#[component]
pub fn Tools() -> impl IntoView {
    let session = session();
    let offered = Memo::new(move |_| session.step().map(|s| s.tools.clone()).unwrap_or_default());
    let has = move |tool: Tool| offered.with(|o| o.contains(&tool));
    let sketching = move || session.route.get() == Route::Sketch;
    view! {
        <crate::copies::Copies/>
        <Show when=sketching>
            {session.parts.sketch.show(|sketch| (sketch.tools)())}
        </Show>
        <Show when=move || !sketching() && offered.with(|o| !o.is_empty())>
            <div class="tools">
                <Show when=move || has(Tool::LetGo)>
                    <LetGo/>
                </Show>
                <Show when=move || has(Tool::Rehang)>
                    <Rehang/>
                </Show>
                <Show when=move || has(Tool::Poses)>
                    <Poses/>
                </Show>
            </div>
        </Show>
    }
}

/// Lets every anchor go, or holds them again.
#[component]
pub fn LetGo() -> impl IntoView {
    let session = session();
    let loose = move || {
        session
            .stage
            .with(|h| h.document().setting.active.contains(&false))
    };
    let any = move || session.stage.with(|h| !h.document().anchors.is_empty());
    view! {
        <button
            class="tool"
            disabled=move || !any()
            aria-pressed=move || loose().to_string()
            on:click=move |_| {
                let hold = loose();
                let mut setting = session.stage.with_untracked(|s| s.document().setting.clone());
                setting.active.fill(hold);
                session.settle();
                session.edit_live(&Edit::Set { setting });
                session.name_step(if hold { "hold all anchors" } else { "let go of all anchors" });
                session.settle();
                session.say(if hold { "Anchors hold again." } else { "Anchors let go." });
            }
        >
            {move || if loose() { "Anchors: let go" } else { "Anchors: holding" }}
        </button>
    }
}

/// Hangs one node under another: the keyboard's twin of dragging a bead.
#[component]
pub fn Rehang() -> impl IntoView {
    let session = session();
    let node = RwSignal::new(None::<u32>);
    let under = RwSignal::new(None::<u32>);
    let names = Memo::new(move |_| names(session));
    view! {
        <div class="tool-row">
            <Choice label="Hang" names picked=node/>
            <Choice label="under" names picked=under/>
            <button
                class="tool"
                disabled=move || node.get().is_none() || under.get().is_none()
                on:click=move |_| {
                    if let (Some(node), Some(under)) = (node.get(), under.get()) {
                        session.edit(&Edit::Rehang { node: NodeId(node), parent: Some(NodeId(under)) });
                    }
                }
            >
                "Hang"
            </button>
        </div>
    }
}

/// Visible nodes by name.
pub fn names(session: Session) -> Vec<(u32, String)> {
    session.stage.with(|h| {
        h.document()
            .nodes
            .iter()
            .filter(|n| !n.hidden)
            .map(|n| (n.id.0, n.name.clone()))
            .collect()
    })
}

/// A labelled list to pick a node from.
#[component]
pub fn Choice(
    label: &'static str,
    names: Memo<Vec<(u32, String)>>,
    picked: RwSignal<Option<u32>>,
) -> impl IntoView {
    view! {
        <label class="choice">
            <span>{label}</span>
            <select on:change=move |e| picked.set(event_target_value(&e).parse().ok())>
                <option value="">"choose"</option>
                {move || {
                    names
                        .get()
                        .into_iter()
                        .map(|(id, name)| {
                            view! {
                                <option value=id.to_string() selected=move || picked.get() == Some(id)>
                                    {name}
                                </option>
                            }
                        })
                        .collect_view()
                }}
            </select>
        </label>
    }
}

/// Keeps two poses and plays between them.
#[component]
fn Poses() -> impl IntoView {
    let session = session();
    let kept = move |which: usize| session.attempt.with(|a| a.poses[which].is_some());
    let keep = move |which: usize| {
        let setting = session
            .stage
            .with_untracked(|s| s.document().setting.clone());
        session.attempt.update(|a| a.poses[which] = Some(setting));
        session.mark.set(None);
        session.say(if which == 0 {
            "First pose kept."
        } else {
            "Second pose kept."
        });
    };
    let back = move |which: usize| {
        if let Some(setting) = session.attempt.with_untracked(|a| a.poses[which].clone()) {
            session.edit(&Edit::Set { setting });
        }
    };
    view! {
        <div class="tool-row">
            {[(0, "first"), (1, "second")]
                .map(|(which, name)| {
                    view! {
                        <button class="tool" class:kept=move || kept(which) on:click=move |_| keep(which)>
                            {move || if kept(which) { format!("Keep as {name} again") } else { format!("Keep as {name}") }}
                        </button>
                        <Show when=move || kept(which)>
                            <button class="tool" on:click=move |_| back(which)>
                                {format!("Go to {name}")}
                            </button>
                        </Show>
                    }
                })
                .collect_view()}
            <button class="tool" disabled=move || !(kept(0) && kept(1)) on:click=move |_| crate::play::between(session)>
                "Play between"
            </button>
        </div>
    }
}
