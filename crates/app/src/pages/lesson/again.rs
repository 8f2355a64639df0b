//! The way back to a figure as it was given.
use crate::acts::visit;
use crate::state::session;
use leptos::prelude::*;

/// The button for it.
#[component]
pub fn StartAgain() -> impl IntoView {
    let session = session();
    view! { <button on:click=move |_| visit::start_again(session)>"Start again"</button> }
}
