//! What was learnt: how the predictions went, a card to print, and ways on.
use crate::state::{Course, Entry, Shell};
use leptos::prelude::*;
use workbook::example::Example;
use workbook::learnt::{CARD, TITLE, WAYS, counted, next_open};
use workbook::route::Route;

/// The page after the last lesson, which can be come to at any time.
#[component]
pub fn Learnt() -> impl IntoView {
    let Shell { lessons, .. } = expect_context();
    let course = expect_context::<Course>();
    let asked = move || {
        let each = lessons.get().into_iter();
        let each = each.map(|entry| (entry.name, entry.steps));
        each.collect::<Vec<_>>()
    };
    let open = move || {
        course
            .done
            .with(|done| next_open(&asked(), |slot| done.contains(slot)))
    };
    let steps = move || {
        let asked = asked();
        let all: usize = asked.iter().map(|(_, steps)| steps).sum();
        let done = asked.iter().map(|(name, _)| course.steps_done(*name));
        (done.sum::<usize>(), all)
    };
    view! {
        <main class="front" id="page" tabindex="-1">
            <h1>{TITLE}</h1>
            <p>
                {move || {
                    let (done, all) = steps();
                    format!("{done} of {all} steps done. ")
                }} {counted(Course::first_verdicts())}
            </p>
            <section class="card" aria-labelledby="card-title">
                <h2 id="card-title">{CARD}</h2>
                <ol>
                    <For each=move || lessons.get() key=|e| e.number let(Entry { idea, title, name, steps, .. })>
                        <li>
                            <b>{title}</b>
                            " "
                            {idea}
                            {move || (course.steps_done(name) == steps).then_some(" ✓")}
                        </li>
                    </For>
                </ol>
            </section>
            <p class="actions">
                <button class="main" on:click=move |_| drop(window().print())>
                    "Print the card"
                </button>
            </p>
            <h2>{WAYS}</h2>
            <p class="actions">
                {move || {
                    open()
                        .map(|route| view! { <a href=route.link()>"The first step that is not done"</a> })
                }}
                <a href=Route::Hand(Example::default()).link()>"A whole hand"</a>
                <a href=Route::Sketch.link()>"A sketch of your own"</a>
            </p>
        </main>
    }
}
