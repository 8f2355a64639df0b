//! Notices on the page.
use crate::state::Shell;
use leptos::prelude::*;

/// The notices, newest last.
#[component]
pub fn Notices() -> impl IntoView {
    let Shell { notices, .. } = expect_context();
    view! {
        <div class="notices" role="alert">
            <For each=move || notices.get() key=|n| (n.id, n.text.clone()) let:notice>
                <div class="notice">
                    <p>
                        <b>{notice.text.clone()}</b>
                        " "
                        {notice.mend.clone()}
                    </p>
                    <button
                        aria-label="Close this notice"
                        on:click=move |_| notices.update(|all| all.retain(|n| n.id != notice.id))
                    >
                        "Close"
                    </button>
                </div>
            </For>
        </div>
    }
}
