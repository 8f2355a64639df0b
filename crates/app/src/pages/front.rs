//! The front page: the lessons, the sketch, and a word of care.
use crate::state::{Course, Shell};
use leptos::prelude::*;
use workbook::example::Example;
use workbook::route::{Place, Route};

/// The opening figure: a drawing of the one idea, static and light.
#[component]
fn Opening() -> impl IntoView {
    view! {
        <svg class="opening" viewBox="0 0 560 250" role="img" aria-label=workbook::OPENING_SHOWS inner_html=workbook::OPENING></svg>
    }
}

/// The front page.
#[component]
pub fn Front() -> impl IntoView {
    let Shell { lessons, .. } = expect_context();
    let course = expect_context::<Course>();
    view! {
        <main class="front" id="page" tabindex="-1">
            <div class="lead">
                <div>
                    <h1>"Hands that press, and fingers that stay"</h1>
                    <p>
                        "In an ordinary rig a parent carries its children, so lifting the wrist drags the fingers off the bench. "
                        "Hang the wrist from a pivot at the knuckles, anchor the fingers, and the wrist is free. "
                        "Here you drag, see who carries whom, and read every slip in millimetres."
                    </p>
                    <p class="actions">
                        <a class="main" href=Route::Hand(Example::default()).link()>"Open the bench press"</a>
                        <a href=workbook::FIRST_LESSON>"Begin with lesson 1"</a>
                        <a href=Route::Sketch.link()>"Open the sketch page"</a>
                        <a href=Route::Glossary.link()>"Look up a word"</a>
                    </p>
                </div>
                <Opening/>
            </div>
            <h2>"Lessons"</h2>
            <ol class="contents">
                <For each=move || lessons.get() key=|e| e.number let:entry>
                    {
                        view! {
                            <li>
                                <a href=Route::Lesson { lesson: entry.name, place: Place::Step(0) }.link()>
                                    <span class="leaf">{entry.number}</span>
                                    <span>
                                        <b>{entry.title.clone()}</b>
                                        <span class="idea">{entry.idea.clone()}</span>
                                    </span>
                                    <span class="tick">
                                        {move || match course.steps_done(entry.name) {
                                            0 => String::new(),
                                            n => format!("{n} of {} steps done", entry.steps),
                                        }}
                                    </span>
                                </a>
                            </li>
                        }
                    }
                </For>
            </ol>
            <p class="next">
                <a href=Route::Learnt.link()>{workbook::learnt::LINK}</a>
            </p>
            <Show when=move || lessons.with(Vec::is_empty)>
                <p class="quiet">"The lessons are on their way. If this stays empty, reload the page; the sketch page works without them."</p>
            </Show>
            <p class="quiet care">
                "Ranges of motion here are typical adult figures for drawing and animating characters, not medical guidance; "
                "a real hand is assessed by a clinician. Repeated posing work strains hands: take breaks."
            </p>
        </main>
    }
}
