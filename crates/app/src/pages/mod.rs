//! What each address shows. A page's own parts are reached through its folder's root, and those of
//! the hand and the sketch from here alone: each of the two can come in a module of its own.
mod front;
mod hand;
mod lesson;
mod sketch;

use self::front::Front;
use self::hand::{AxisHandles, ContactMap, HandDesk, HandPage};
use self::lesson::{LessonDesk, LessonPage};
use self::sketch::{Insets, SketchDesk, SketchPage};
use crate::plate::{Lineage, Plate};
use crate::state::{Shell, session};
use leptos::prelude::*;
use workbook::route::Route;

/// Which page stands beside the plate: another lesson is still a lesson's page.
#[derive(Clone, Copy, PartialEq)]
enum Screen {
    Front,
    Lesson,
    Sketch,
    Hand,
}

/// The page of the address, with the plate it speaks of.
#[component]
pub fn Pages() -> impl IntoView {
    let Shell { route, .. } = expect_context();
    let screen = Memo::new(move |_| match route.get() {
        Route::Front => Screen::Front,
        Route::Lesson { .. } => Screen::Lesson,
        Route::Sketch => Screen::Sketch,
        Route::Hand(_) => Screen::Hand,
    });
    view! {
        <Show when=move || screen.get() == Screen::Front fallback=move || view! { <Bench screen/> }>
            <Front/>
        </Show>
    }
}

/// A page, the plate and its desk. The plate stays from page to page.
#[component]
fn Bench(screen: Memo<Screen>) -> impl IntoView {
    let session = session();
    let is = move |wanted| move || screen.get() == wanted;
    let page = move || match screen.get() {
        Screen::Front => ().into_any(),
        Screen::Lesson => view! { <LessonPage/> }.into_any(),
        Screen::Sketch => view! { <SketchPage/> }.into_any(),
        Screen::Hand => view! { <HandPage/> }.into_any(),
    };
    let desk = move || match screen.get() {
        Screen::Front => ().into_any(),
        Screen::Lesson => view! { <LessonDesk map=|| view! { <ContactMap/> }/> }.into_any(),
        Screen::Sketch => view! { <SketchDesk/> }.into_any(),
        Screen::Hand => view! { <HandDesk/> }.into_any(),
    };
    view! {
        <div class="bench" class:sketching=is(Screen::Sketch)>
            {page}
            <div class="right">
                <div class="stage">
                    <Plate add=Callback::new(move |at| sketch::add_at(session, at))>
                        <Show when=is(Screen::Hand)>
                            <AxisHandles/>
                        </Show>
                        <Show when=is(Screen::Sketch)>
                            <Insets/>
                        </Show>
                    </Plate>
                    <Lineage/>
                </div>
                {desk}
            </div>
        </div>
    }
}
