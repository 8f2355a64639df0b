//! Flat, relaxed, planted: the three poses kept apart.
use crate::state::{Session, session};
use hand::Rest;
use leptos::prelude::*;
use rig::Edit;

/// One step of undo: the digits' anchors, and every dial.
fn strike(session: Session, rest: Rest) {
    session.stage.stop();
    let setting = session.stage.with_untracked(|s| rest.setting(s.document()));
    session.edit(&Edit::Set { setting });
    session.shell.say(match rest {
        Rest::Flat => "Flat: every joint straight, the digits let go.",
        Rest::Relaxed => "Relaxed: the digits are let go.",
        Rest::Planted => "Planted: every press dial at zero.",
    });
}

/// The buttons.
#[component]
pub fn Poses() -> impl IntoView {
    let session = session();
    let Session { stage, .. } = session;
    let plants = move || stage.with(|h| !h.document().plants.is_empty());
    view! {
        <div class="actions" role="group" aria-label="Poses">
            <button on:click=move |_| strike(session, Rest::Flat)>"Flat"</button>
            <button on:click=move |_| strike(session, Rest::Relaxed)>"Relaxed"</button>
            <button disabled=move || !plants() on:click=move |_| strike(session, Rest::Planted)>"Planted"</button>
        </div>
    }
}
