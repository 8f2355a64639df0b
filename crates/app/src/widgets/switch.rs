//! A row of buttons of which one is on.
use leptos::prelude::*;

/// A switch of two or more: which is on shows by more than hue.
#[component]
pub fn Switch<T: Copy + PartialEq + Send + Sync + 'static>(
    label: &'static str,
    choices: Vec<(T, &'static str)>,
    #[prop(into)] chosen: Signal<Option<T>>,
    set: Callback<T>,
    /// Further buttons at its end.
    #[prop(optional)]
    children: Option<Children>,
) -> impl IntoView {
    view! {
        <div class="switch" role="group" aria-label=label>
            {choices
                .into_iter()
                .map(|(value, name)| {
                    view! {
                        <button
                            aria-pressed=move || (chosen.get() == Some(value)).to_string()
                            on:click=move |_| set.run(value)
                        >
                            {name}
                        </button>
                    }
                })
                .collect_view()}
            {children.map(|more| more())}
        </div>
    }
}
