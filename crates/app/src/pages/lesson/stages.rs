//! Where in a step's life the reader is: what is sewn, what is at hand, what is ahead.
use crate::state::{Session, session};
use leptos::prelude::*;

/// A row of the step's stages.
#[component]
pub fn Stages(predicts: bool) -> impl IntoView {
    let session = session();
    let Session { course, .. } = session;
    let passed = move || course.mark.with(|m| m.as_ref().is_some_and(|m| m.passed));
    let at = Memo::new(move |_| match predicts {
        true if course.is_shown() => 2,
        true => usize::from(!session.tries()),
        false => usize::from(passed()),
    });
    let names: &[&str] = match predicts {
        true => &["Try", "Predict", "See"],
        false => &["Do", "It holds"],
    };
    let each = names.iter().enumerate().map(|(index, name)| {
        view! {
            <li
                class:sewn=move || index < at.get()
                aria-current=move || (index == at.get()).then_some("step")
            >
                {*name}
            </li>
        }
    });
    view! { <ol class="stages" aria-label="Where you are in this step">{each.collect_view()}</ol> }
}
