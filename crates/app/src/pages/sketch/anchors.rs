//! Anchoring chains, and gathering anchors under a carrier.
use super::add::{make_movable, make_placeable};
use crate::state::{Session, session};
use crate::widgets::rig_tools::{Choice, LetGo, names};
use leptos::prelude::*;
use rig::{Edit, NodeId};
use workbook::sketch::{free_name, solver_for};

/// Anchors and carriers.
#[component]
pub fn AnchorTools() -> impl IntoView {
    let session = session();
    let Session { stage, .. } = session;
    let base = RwSignal::new(None::<u32>);
    let end = RwSignal::new(None::<u32>);
    let names = Memo::new(move |_| names(stage));
    let reaching = RwSignal::new(false);
    let several = move || stage.with(|h| h.document().anchors.len() > 1);
    view! {
        <div class="tool-row">
            <Choice label="Anchor from" names picked=base/>
            <Choice label="to" names picked=end/>
            <label class="choice">
                <span>"long chains by"</span>
                <select on:change=move |e| reaching.set(event_target_value(&e) == "reaching")>
                    <option value="damped">"damped least squares"</option>
                    <option value="reaching">"reaching to and fro"</option>
                </select>
            </label>
            <button
                class="tool"
                disabled=move || base.get().is_none() || end.get().is_none()
                on:click=move |_| {
                    if let (Some(base), Some(end)) = (base.get(), end.get()) {
                        anchor(session, NodeId(base), NodeId(end), reaching.get());
                    }
                }
            >
                "Anchor"
            </button>
            <LetGo/>
            <button class="tool" disabled=move || !several() on:click=move |_| gather(session)>
                "Gather anchors under a carrier"
            </button>
        </div>
    }
}

fn anchor(session: Session, base: NodeId, end: NodeId, reaching: bool) {
    let solver = session
        .stage
        .with_untracked(|h| solver_for(h.document(), base, end, reaching));
    let name = format!("{} anchor", session.stage.name(end).unwrap_or_default());
    session.stage.settle();
    if session.edit_live(&Edit::AddAnchor {
        name: name.clone(),
        base,
        end,
        solver,
        under: None,
    }) {
        let target = session
            .stage
            .with_untracked(|h| h.document().anchors.last().map(|a| a.target));
        if let Some(node) = target {
            make_placeable(session, node);
        }
        session.stage.name_step(&format!("add {name}"));
    }
    session.stage.settle();
}

fn gather(session: Session) {
    let (anchors, at, name) = session.stage.with_untracked(|h| {
        let document = h.document();
        let first = document.anchors.first();
        let at = first.map(|anchor| h.posed().point(anchor.base));
        let ids = document.anchors.iter().map(|a| a.id).collect::<Vec<_>>();
        (ids, at.unwrap_or_default(), free_name(document, "carrier"))
    });
    session.stage.settle();
    if session.edit_live(&Edit::Gather {
        anchors,
        name: name.clone(),
        at,
    }) {
        make_movable(session, &name);
        session.stage.name_step("gather anchors");
    }
    session.stage.settle();
}
