//! What each address shows. A page's own parts are reached through its folder's root, and those of
//! the hand, the sketch and what explains from here alone: each can come in a module of its own.
mod front;
mod glossary;
mod hand;
mod key;
mod learnt;
mod lesson;
mod parts;
mod sketch;

use self::front::Front;
use self::lesson::{LessonDesk, LessonPage};
use self::parts::Parts;
use crate::plate::{Lineage, Plate};
use crate::state::{Camera, Shell, session};
use leptos::prelude::*;
use workbook::route::Route;

/// Which page stands beside the plate: another lesson is still a lesson's page.
#[derive(Clone, Copy, PartialEq)]
enum Screen {
    Front,
    Glossary,
    Learnt,
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
        Route::Glossary => Screen::Glossary,
        Route::Learnt => Screen::Learnt,
        Route::Lesson { .. } => Screen::Lesson,
        Route::Sketch => Screen::Sketch,
        Route::Hand(_) => Screen::Hand,
    });
    let parts = Parts::new();
    // With all of a page or none of it: nothing moves under a pointer because more of it comes.
    let shown = Memo::new(move |_| match screen.get() {
        Screen::Front => Shown::Front,
        Screen::Glossary | Screen::Learnt if parts.words.here().is_none() => {
            Shown::Coming(Screen::Glossary)
        }
        Screen::Glossary => Shown::Glossary,
        Screen::Learnt => Shown::Learnt,
        Screen::Hand if parts.hand.here().is_none() => Shown::Coming(Screen::Hand),
        Screen::Sketch if parts.sketch.here().is_none() => Shown::Coming(Screen::Sketch),
        Screen::Lesson | Screen::Hand | Screen::Sketch => Shown::Bench,
    });
    move || match shown.get() {
        Shown::Front => view! { <Front/> }.into_any(),
        Shown::Glossary => parts.words.show(|words| (words.glossary)()),
        Shown::Learnt => parts.words.show(|words| (words.learnt)()),
        Shown::Bench => view! { <Bench screen parts/> }.into_any(),
        Shown::Coming(screen) => {
            let state = match screen {
                Screen::Hand => parts.hand.show(|_| ().into_any()),
                Screen::Glossary => parts.words.show(|_| ().into_any()),
                _ => parts.sketch.show(|_| ().into_any()),
            };
            view! { <main id="page" class="page" tabindex="-1">{state}</main> }.into_any()
        }
    }
}

/// What stands under the top bar.
#[derive(Clone, Copy, PartialEq)]
enum Shown {
    Front,
    Glossary,
    Learnt,
    Bench,
    /// The part of the module that this page needs is on its way.
    Coming(Screen),
}

/// A page, the plate and its desk. The plate stays from page to page.
#[component]
fn Bench(screen: Memo<Screen>, parts: Parts) -> impl IntoView {
    let session = session();
    let is = move |wanted| move || screen.get() == wanted;
    let Parts {
        hand,
        sketch,
        words,
    } = parts;
    let Camera { keyed, .. } = expect_context();
    let page = move || match screen.get() {
        Screen::Front | Screen::Glossary | Screen::Learnt => ().into_any(),
        Screen::Lesson => view! { <LessonPage/> }.into_any(),
        Screen::Sketch => sketch.show(|sketch| (sketch.page)()),
        Screen::Hand => hand.show(|hand| (hand.page)()),
    };
    let map = move || hand.show(|hand| (hand.contact_map)());
    let desk = move || match screen.get() {
        Screen::Front | Screen::Glossary | Screen::Learnt => ().into_any(),
        Screen::Lesson => view! { <LessonDesk map/> }.into_any(),
        Screen::Sketch => sketch.show(|sketch| (sketch.desk)()),
        Screen::Hand => hand.show(|hand| (hand.desk)()),
    };
    // Tools that add: the sketch page's, and a lesson's that builds.
    let add = Callback::new(move |at| {
        if untrack(|| screen.get()) == Screen::Lesson {
            session.put_mount(session.spot(at).at);
        } else if let Some(sketch) = untrack(|| sketch.here()) {
            (sketch.add_at)(session, at);
        }
    });
    view! {
        <div class="bench" class:sketching=is(Screen::Sketch) class:faced=is(Screen::Hand)>
            <Show when=is(Screen::Hand)>{hand.show(|hand| (hand.faces)())}</Show>
            {page}
            <div class="right">
                <div class="stage">
                    <Plate add>
                        <Show when=is(Screen::Hand)>
                            {hand.show(|hand| (hand.axis_handles)())}
                        </Show>
                        <Show when=is(Screen::Sketch)>
                            {sketch.show(|sketch| (sketch.insets)())}
                        </Show>
                    </Plate>
                    <Lineage/>
                </div>
                <Show when=move || keyed.get()>
                    <section class="key" id="key" aria-label="Key to the figure">
                        {words.show(|words| (words.key)())}
                    </section>
                </Show>
                {desk}
            </div>
        </div>
    }
}
