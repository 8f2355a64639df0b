//! On a phone: what to do now and the button that does it, between the figure and the dials. The
//! page says the same at length, but lies over the figure there.
use super::acts::{PutMount, puts, strip};
use super::text::rich;
use super::words::{kind_of, onward};
use crate::acts::{play, predict, visit};
use crate::state::{Session, session};
use leptos::prelude::*;
use workbook::pencil::Pencil;
use workbook::route::{Place, Route};

/// The strip; empty outside steps.
#[component]
pub fn TaskStrip() -> impl IntoView {
    let Session { shell, course, .. } = session();
    let at = Memo::new(move |_| match shell.route.get() {
        Route::Lesson {
            place: Place::Step(index),
            ..
        } => Some((index, course.lesson.get()?.number)),
        _ => None,
    });
    view! {
        <div class="task-strip" role="group" aria-label="What to do">
            {move || at.get().map(|(index, _)| view! { <Now index/> })}
        </div>
    }
}

#[component]
fn Now(index: usize) -> impl IntoView {
    let session = session();
    let Session { stage, course, .. } = session;
    let lesson = course.lesson.get_untracked();
    let step = lesson.as_ref().and_then(|l| l.steps.get(index).cloned());
    let (lesson, step) = lesson.zip(step)?;
    let name = session.shell.lesson_named(lesson.number)?;
    let next = onward(name, &lesson, index);
    let predicts = step.task.is_prediction();
    let builds = !step.task.acts().is_empty();
    let passed = move || course.mark.with(|m| m.as_ref().is_some_and(|m| m.passed));
    let found = move || {
        let verdict = course.truth.with(|t| t.as_ref().map(|t| t.1.to_string()));
        verdict.or_else(|| {
            let mark = course.mark.get()?;
            let line = mark.findings.iter().find(|f| mark.passed || !f.ok());
            line.map(|it| it.told(course.rung.get()))
        })
    };
    let said = {
        let lesson = lesson.clone();
        let step = step.clone();
        move || match found() {
            _ if builds => strip(session),
            Some(found) => found.into_any(),
            None => {
                let text = if session.tries() {
                    step.tried()
                } else {
                    &step.ask
                };
                rich(stage, &lesson, text).into_any()
            }
        }
    };
    let kind = move || match (predicts, session.tries()) {
        (true, true) => "Try",
        _ => kind_of(&step.task),
    };
    let done = move || course.is_shown() || passed();
    let drawn = move || course.pencil.with(Pencil::drawn);
    let act = move || {
        match (done(), predicts, session.tries()) {
        (true, ..) => {
            view! { <a class="main" href=next.link()>"Next"</a> }.into_any()
        }
        (_, true, true) => {
            view! { <button class="main" on:click=move |_| visit::predict(session)>"Now predict"</button> }
                .into_any()
        }
        (_, true, false) => view! {
            <button class="main" disabled=move || !drawn() on:click=move |_| predict::reveal(session)>
                "Show what happens"
            </button>
        }
        .into_any(),
        _ if builds => puts(session).then(|| view! { <PutMount/> }).into_any(),
        _ => view! { <button class="main" on:click=move |_| play::check(session)>"Check"</button> }
            .into_any(),
    }
    };
    Some(view! {
        <p tabindex="0" class:whole=builds>{(!builds).then(|| view! { <b>{kind}</b>" " })}{said}</p>
        {act}
    })
}
