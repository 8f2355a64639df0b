//! The lesson's why. It has the answers, so it waits until every prediction has been seen.
use super::text::rich;
use crate::state::{OnStage, session};
use course::Lesson;
use leptos::prelude::*;
use std::sync::Arc;
use workbook::lesson_name::LessonName;
use workbook::route::{Place, Route};

/// The why, and what is said in its place until then.
#[component]
pub fn Why(name: LessonName, lesson: Arc<Lesson>) -> impl IntoView {
    let course = session().course;
    let stage = expect_context::<OnStage>();
    let asked = RwSignal::new(false);
    let predictions = lesson.steps.iter().enumerate();
    let predictions = predictions.filter(|(_, step)| step.task.is_prediction());
    let slots: Vec<String> = predictions
        .filter_map(|(index, _)| {
            let place = Place::Step(index);
            let lesson = name;
            Route::Lesson { lesson, place }.slot()
        })
        .collect();
    let open = Memo::new(move |_| {
        asked.get()
            || course
                .done
                .with(|done| slots.iter().all(|slot| done.contains(slot)))
    });
    let told = move || match open.get() {
        true => {
            let each = lesson.why.iter();
            let each = each.map(|text| view! { <p>{rich(stage, &lesson, text)}</p> });
            each.collect_view().into_any()
        }
        false => view! {
            <p>{workbook::WHY_WAITS}</p>
            <button on:click=move |_| asked.set(true)>{workbook::WHY_NOW}</button>
        }
        .into_any(),
    };
    view! {
        <details class="why">
            <summary>"Why"</summary>
            {told}
        </details>
    }
}
