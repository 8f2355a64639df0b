//! The lesson's page: its text, its steps and what was measured.
mod acts;
mod desk;
mod stages;
mod strip;
mod text;
mod tools;
mod why;
mod words;

pub use desk::LessonDesk;

use self::acts::Building;
use crate::acts::{play, predict, visit};
use crate::browser::media_matches;
use crate::state::{Course, OnStage, Session, Shell, session};
use crate::widgets::sheet::SheetHandle;
use course::{Grade, Lesson, Step, Task, Truth};
use desk::is_mapped;
use leptos::prelude::*;
use stages::Stages;
use std::sync::Arc;
use text::rich;
use why::Why;
use words::{kind_of, next_rung, onward};
use workbook::lesson_name::LessonName;
use workbook::pencil::Pencil;
use workbook::route::{Place, Route};

/// Whether the page is drawn up over the plate; it is a sheet on a phone only.
#[derive(Clone, Copy)]
struct Sheet(RwSignal<bool>);

fn on_phone() -> bool {
    // The styles' own breakpoint.
    media_matches("(max-width: 760px)")
}

/// The lesson's page.
#[component]
pub fn LessonPage() -> impl IntoView {
    let course = expect_context::<Course>();
    let sheet = RwSignal::new(false);
    provide_context(Sheet(sheet));
    view! {
        <main
            class="page"
            class:open=move || sheet.get()
            class:hand-page=move || is_mapped(course)
            id="page"
            tabindex="-1"
        >
            <SheetHandle
                open=sheet
                controls="page-text"
                named=move |open| match (open, course.step()) {
                    (true, _) => "Close the page".to_string(),
                    (false, Some(step)) => format!("{}: {}", kind_of(&step.task), step.title),
                    (false, None) => "Read the page".to_string(),
                }
            />
            <div class="page-text" id="page-text">
                {move || course.lesson.get().map(|lesson| view! { <LessonText lesson/> })}
            </div>
        </main>
    }
}

#[component]
fn LessonText(lesson: Arc<Lesson>) -> impl IntoView {
    let shell = expect_context::<Shell>();
    let stage = expect_context::<OnStage>();
    let course = expect_context::<Course>();
    let (number, all) = (lesson.number, lesson.steps.len());
    let steps = lesson.steps.iter().cloned().enumerate();
    let at = move || match shell.route.get() {
        Route::Lesson { place, .. } => Some(place),
        _ => None,
    };
    let words = (!lesson.words.is_empty()).then(|| {
        let list = lesson
            .words
            .iter()
            .map(|(word, trade)| view! { <li><b>{word.clone()}</b>" ("{trade.clone()}")"</li> })
            .collect_view();
        view! { <ul class="words" aria-label="New words">{list}</ul> }
    });
    // It speaks of the opening figure: in later steps another may stand there.
    let opens = Memo::new(move |_| matches!(at(), Some(Place::Step(0) | Place::Play)));
    let of = lesson.clone();
    let intro = move || {
        let each = of.intro.iter();
        let each = each.map(|p| view! { <p>{rich(stage, &of, p)}</p> });
        let each = each.collect_view();
        match opens.get() {
            true => each.into_any(),
            false => {
                view! { <details class="intro"><summary>"How it began"</summary>{each}</details> }
                    .into_any()
            }
        }
    };
    // A lesson is shown once it is found in the list.
    let name = shell.lesson_named(number)?;
    let play = Route::Lesson {
        lesson: name,
        place: Place::Play,
    };
    let next = shell.lesson_named(number + 1).map(|lesson| Route::Lesson {
        lesson,
        place: Place::Step(0),
    });
    let playing = move || at() == Some(Place::Play);
    Some(view! {
        <p class="no">
            {format!("Lesson {number}")}
            {move || match course.steps_done(name) {
                0 => String::new(),
                done => format!(", {done} of {all} steps done"),
            }}
        </p>
        <h1>{lesson.title.clone()}</h1>
        {intro}
        {words}
        {steps.map(|(index, step)| view! { <StepBox name lesson=lesson.clone() index step/> }).collect_view()}
        <Why name lesson=lesson.clone()/>
        <section class="box play" class:now=playing>
            <h2>
                <a href=play.link() aria-current=move || playing().then_some("step")>"Free play"</a>
            </h2>
            <Show when=playing>
                <p>{rich(stage, &lesson, &lesson.play)}</p>
                <div class="actions">
                    <StartAgain/>
                </div>
            </Show>
        </section>
        <p class="next">
            {match next {
                Some(next) => view! { <a href=next.link()>{format!("On to lesson {}", number + 1)}</a> }.into_any(),
                None => view! {
                    "This was the last lesson. See "
                    <a href=Route::Learnt.link()>"what was learnt"</a>
                    ", with a card to print."
                }
                .into_any(),
            }}
        </p>
    })
}

/// Scrolls the page so that an element is at its top. Not `scrollIntoView`: after that some browsers
/// begin at the element when Tab is first pressed, past the link that leads over all this.
fn scroll_to(element: &web_sys::Element) {
    // On a phone the sheet's text scrolls under its handle.
    let scrolls = if on_phone() { ".page-text" } else { ".page" };
    if let Ok(Some(page)) = element.closest(scrolls) {
        let top = |e: &web_sys::Element| e.get_bounding_client_rect().top();
        page.set_scroll_top(page.scroll_top() + (top(element) - top(&page)) as i32);
    }
}

#[component]
fn StepBox(name: LessonName, lesson: Arc<Lesson>, index: usize, step: Step) -> impl IntoView {
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
                .map(|f| view! { <li class=if f.ok() { "good" } else { "amiss" }>{f.told(rung)}</li> })
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

#[component]
fn StartAgain() -> impl IntoView {
    let session = session();
    view! { <button on:click=move |_| visit::start_again(session)>"Start again"</button> }
}
