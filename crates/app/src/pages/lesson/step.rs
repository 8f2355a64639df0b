//! A step on the page: what is to be done now, and what was found.
use super::acts::Building;
use super::again::StartAgain;
use super::sheet::{Sheet, on_phone, scroll_to};
use super::stages::Stages;
use super::text::rich;
use super::words::{kind_of, next_rung, onward};
use crate::acts::{play, predict, visit};
use crate::state::{Session, session};
use course::finding::{Finding, Kind};
use course::{Grade, Lesson, Step, Task, Truth};
use leptos::prelude::*;
use std::sync::Arc;
use workbook::lesson_name::LessonName;
use workbook::pencil::Pencil;
use workbook::route::{Place, Route};

/// A step; only the one at hand says more than its title.
#[component]
pub fn StepBox(name: LessonName, lesson: Arc<Lesson>, index: usize, step: Step) -> impl IntoView {
    let session = session();
    let Session {
        shell,
        course,
        stage,
        ..
    } = session;
    let route = Route::Lesson {
        lesson: name,
        place: Place::Step(index),
    };
    let now = move || shell.route.get() == route;
    let slot = route.slot().unwrap_or_default();
    let done = Memo::new(move |_| course.done.with(|d| d.contains(&slot)));
    let kind = kind_of(&step.task);
    let last = index + 1 == lesson.steps.len();
    let onward = onward(name, &lesson, index);
    let place = NodeRef::<leptos::html::Section>::new();
    // Later steps lie below the fold of a short window, and of the sheet once it is drawn up.
    let Sheet(sheet) = expect_context();
    Effect::new(move || {
        if now()
            && (sheet.get() || (index > 0 && !on_phone()))
            && let Some(element) = place.get()
        {
            scroll_to(&element);
        } else if now()
            && index == 0
            && let Some(element) = place.get()
        {
            // Another lesson begins at its beginning, wherever the one before was left.
            if let Ok(Some(page)) = element.closest(".page") {
                page.set_scroll_top(0);
            }
        }
    });
    let title = step.title.clone();
    let body = move || {
        now().then(|| {
            let actions = if step.task.is_prediction() {
                view! { <Prediction/> }.into_any()
            } else if step.task.acts().is_empty() {
                view! { <Exercise/> }.into_any()
            } else {
                view! { <Building/> }.into_any()
            };
            let (ask, tried) = (step.ask.clone(), step.tried().to_owned());
            let of = lesson.clone();
            // What is to be predicted is not spoken of while the figure is tried.
            let asked = move || {
                let text = if session.tries() { &tried } else { &ask };
                view! { <p>{rich(stage, &of, text)}</p> }
            };
            let insight = step.insight.clone();
            let finished = move || {
                course.is_shown() || course.mark.with(|m| m.as_ref().is_some_and(|m| m.passed))
            };
            let insight_view = rich(stage, &lesson, &insight).into_any();
            view! {
                <Stages predicts=step.task.is_prediction()/>
                {asked}
                {actions}
                <div class="insight" class:hidden=move || !finished()>
                    <p>
                        {move || course.outdated.get().then(|| view! { <b>"As it was then. "</b> })}
                        {insight_view}
                    </p>
                    <p class="next">
                        <a href=onward.link()>{if last { "On to free play" } else { "Next step" }}</a>
                    </p>
                </div>
            }
        })
    };
    view! {
        <section class="box" class:now=now class:done=done node_ref=place>
            <h2>
                <a href=route.link() aria-current=move || now().then_some("step")>
                    <span class="kind">{kind}</span>
                    " "
                    {title}
                </a>
                <span class="tick">{move || done.get().then_some("done")}</span>
            </h2>
            {body}
        </section>
    }
}

#[component]
fn Prediction() -> impl IntoView {
    let session = session();
    let Session { course, .. } = session;
    let Sheet(sheet) = expect_context();
    let shown = move || course.is_shown();
    let drawn = move || course.pencil.with(Pencil::drawn);
    let staples = move || {
        let step = course.step();
        step.is_some_and(|step| matches!(step.task, Task::PredictStay { .. }))
    };
    // Both are acts on the figure, over which a phone's page lies.
    let predict = move |_| {
        sheet.set(false);
        visit::predict(session);
    };
    let reveal = move |_| {
        sheet.set(false);
        predict::reveal(session);
    };
    view! {
        <div class="actions">
            <Show
                when=move || session.tries()
                fallback=move || view! {
                    <button class="main" disabled=move || shown() || !drawn() on:click=reveal>
                        "Show what happens"
                    </button>
                    <Show when=move || staples() && !shown()>
                        <button
                            aria-pressed=move || course.pencil.with(|p| p.none_stays).to_string()
                            on:click=move |_| course.pencil.update(Pencil::say_none_stays)
                        >
                            "None of them stays"
                        </button>
                    </Show>
                    <button on:click=predict>"Draw again"</button>
                }
            >
                <button class="main" on:click=predict>"Now predict"</button>
            </Show>
        </div>
        {move || {
            course
                .truth
                .get()
                .map(|(truth, verdict)| {
                    let stays = match truth {
                        Truth::Stay(all) => {
                            let list = all.into_iter().map(|what| view! { <li>{what.to_string()}</li> });
                            let list = list.collect_view();
                            Some(view! { <ul class="findings">{list}</ul> })
                        }
                        _ => None,
                    };
                    view! {
                        <p class=if verdict.grade() == Grade::Right { "verdict good" } else { "verdict" }>{verdict.to_string()}</p>
                        {stays}
                    }
                })
        }}
    }
}

#[component]
fn Exercise() -> impl IntoView {
    let session = session();
    view! {
        <div class="actions">
            <button class="main" on:click=move |_| play::check(session)>
                "Check"
            </button>
            <StartAgain/>
        </div>
        <Found/>
    }
}

/// What the last check found.
#[component]
fn Found() -> impl IntoView {
    let Session { course, .. } = session();
    move || {
        course.mark.get().map(|mark| {
            let rung = course.rung.get_untracked();
            let lines = mark
                .findings
                .into_iter()
                .map(|f| view! { <li class=class_of(&f)>{f.told(rung)}</li> })
                .collect_view();
            let said = if mark.passed { ["It holds.", "It held. The figure has changed since."] } else { ["Not yet.", "Not yet. The figure has changed since."] };
            view! {
                <p class=if mark.passed { "verdict good" } else { "verdict amiss" }>
                    {move || said[usize::from(course.outdated.get())]}
                </p>
                <ul class="findings">{lines}</ul>
                {(!mark.passed).then(|| next_rung(rung)).flatten().map(|said| view! { <p class="rung">{said}</p> })}
            }
        })
    }
}

/// What is only told is neither good nor amiss.
fn class_of(finding: &Finding) -> &'static str {
    match (&finding.kind, finding.ok()) {
        (Kind::Told { .. }, _) => "",
        (_, true) => "good",
        (_, false) => "amiss",
    }
}
