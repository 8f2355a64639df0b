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
    let button = |(value, name)| Choice {
        name,
        on: Signal::derive(move || chosen.get() == Some(value)),
        choose: Callback::new(move |()| set.run(value)),
    };
    row(label, choices.into_iter().map(button).collect(), children)
}

struct Choice {
    name: &'static str,
    on: Signal<bool>,
    choose: Callback<()>,
}

/// Apart, so that it is built once for whatever is chosen.
fn row(label: &'static str, choices: Vec<Choice>, more: Option<Children>) -> AnyView {
    let buttons = choices.into_iter().map(|Choice { name, on, choose }| {
        view! {
            <button aria-pressed=move || on.get().to_string() on:click=move |_| choose.run(())>
                {name}
            </button>
        }
    });
    view! {
        <div class="switch" role="group" aria-label=label>
            {buttons.collect_view()}
            {more.map(|more| more())}
        </div>
    }
    .into_any()
}
