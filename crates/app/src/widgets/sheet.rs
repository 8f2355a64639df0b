//! What draws a sheet up over the figure on a phone.
use leptos::prelude::*;

/// The sheet's handle. `named` is what it says of the sheet while it is drawn up, or not.
#[component]
pub fn SheetHandle(
    open: RwSignal<bool>,
    #[prop(into)] named: Callback<bool, String>,
    /// The id of what it shows.
    #[prop(optional)]
    controls: Option<&'static str>,
) -> impl IntoView {
    view! {
        <button
            class="sheet-handle"
            aria-expanded=move || open.get().to_string()
            aria-controls=controls
            on:click=move |_| open.update(|o| *o = !*o)
        >
            {move || named.run(open.get())}
        </button>
    }
}
