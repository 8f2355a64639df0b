//! The lesson's page: its text, its steps and what was measured.
mod acts;
mod again;
mod desk;
mod mounts;
mod sheet;
mod signs;
mod stages;
mod step;
mod strip;
mod text;
mod tools;
mod turns;
mod why;
mod words;

pub use desk::LessonDesk;

use self::again::StartAgain;
use self::sheet::Sheet;
use self::step::StepBox;
use self::text::rich;
use self::why::Why;
use self::words::kind_of;
use crate::state::{Course, OnStage, Shell};
use crate::widgets::sheet::SheetHandle;
use course::Lesson;
use desk::is_mapped;
use leptos::prelude::*;
use std::sync::Arc;
use workbook::route::{Place, Route};

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
