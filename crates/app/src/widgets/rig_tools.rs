//! Tools that lessons and the sketch page both offer.
use crate::state::{OnStage, Session, session};
use leptos::prelude::*;
use rig::{Edit, NodeId};

/// Lets every anchor go, or holds them again.
#[component]
pub fn LetGo() -> impl IntoView {
    let session = session();
    let Session { stage, shell, .. } = session;
    let loose = move || stage.with(|h| h.document().setting.active.contains(&false));
    let any = move || stage.with(|h| !h.document().anchors.is_empty());
    view! {
        <button
            class="tool"
            disabled=move || !any()
            aria-pressed=move || loose().to_string()
            on:click=move |_| {
                let hold = loose();
                let mut setting = stage.setting();
                setting.active.fill(hold);
                stage.settle();
                session.edit_live(&Edit::Set { setting });
                stage.name_step(if hold { "hold all anchors" } else { "let go of all anchors" });
                stage.settle();
                shell.say(if hold { "Anchors hold again." } else { "Anchors let go." });
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
    let Session { stage, .. } = session;
    let node = RwSignal::new(None::<u32>);
    let under = RwSignal::new(None::<u32>);
    let names = Memo::new(move |_| names(stage));
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

/// Visible nodes by what they are called.
pub fn names(stage: OnStage) -> Vec<(u32, String)> {
    stage.with(|h| workbook::names::nodes(h.document()))
}

/// A labelled list to pick a node from.
#[component]
pub fn Choice(
    #[prop(into)] label: String,
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
