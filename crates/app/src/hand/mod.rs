//! The hand page: a whole hand that presses, made by its recipe, surveyed and explained.
mod advice;
mod axes;
mod desk;
mod digits;
mod field;
mod gauges;
mod handles;
mod helper;
mod live;
mod maker;
mod map;
mod orders;
mod poses;
mod row;
mod seek;
mod told;

pub use axes::{AxisKind, AxisShown};
pub use desk::HandDesk;
pub use handles::AxisHandles;
pub use map::ContactMap;
pub use row::Row;

use crate::session::{Session, session};
use field::Fold;
use hand::Recipe;
use leptos::prelude::*;
use workbook::example::Example;
use workbook::route::Route;

/// What the hand on the plate is built from.
pub fn recipe(session: Session) -> Memo<Option<Recipe>> {
    Memo::new(move |_| {
        session
            .stage
            .with(|h| h.document().hand.as_deref().cloned())
    })
}

/// Builds the hand anew with a change to its recipe: one step of undo. Whether it was made.
pub fn remake(session: Session, change: impl FnOnce(&mut Recipe)) -> bool {
    let made = changed(session, change).is_some_and(|edit| session.hand_edit(&edit));
    if made && !session.framed.get_untracked() {
        crate::plate::fit_now(session);
    }
    made
}

/// The same as a part of a drag: one step of undo with its neighbours, the view left alone.
pub fn remake_live(session: Session, change: impl FnOnce(&mut Recipe)) -> bool {
    changed(session, change).is_some_and(|edit| session.hand_edit_live(&edit))
}

/// Builds the hand anew from this recipe.
pub fn remake_as(session: Session, recipe: Recipe) -> bool {
    remake(session, |r| *r = recipe)
}

fn changed(session: Session, change: impl FnOnce(&mut Recipe)) -> Option<hand::Edit> {
    let recipe = session
        .stage
        .with_untracked(|h| h.document().hand.as_deref().cloned());
    let Some(mut recipe) = recipe else {
        session.notice(
            "This figure was not built from a recipe, so there is none to change.",
            "Open one of the hands.",
        );
        return None;
    };
    change(&mut recipe);
    Some(hand::Edit::Remake {
        recipe: Box::new(recipe),
    })
}

/// The page beside the plate; a sheet on a phone.
#[component]
pub fn HandPage() -> impl IntoView {
    let session = session();
    let sheet = RwSignal::new(false);
    let seek = seek::Seek::new(session, recipe(session));
    let here = move |example| session.route.get() == Route::Hand(example);
    view! {
        <main class="page hand-page" class:open=move || sheet.get() id="page" tabindex="-1">
            <button
                class="sheet-handle"
                aria-expanded=move || sheet.get().to_string()
                aria-controls="page-text"
                on:click=move |_| sheet.update(|s| *s = !*s)
            >
                {move || if sheet.get() { "Close" } else { "The hand" }}
            </button>
            <div class="page-text" id="page-text">
                <h1>"A hand that presses"</h1>
                <p>
                    "The planted digits stay while the wrist lifts, rolls, leans and twists. "
                    "Drag a handle on the plate or a dial under it; the map shows how far the hand goes before something slips."
                </p>
                <nav class="examples" aria-label="Hands to begin with">
                    {Example::all()
                        .map(|example| {
                            view! {
                                <a
                                    href=Route::Hand(example).link()
                                    aria-current=move || here(example).then_some("page")
                                >
                                    {example.name()}
                                </a>
                            }
                        })
                        .collect_view()}
                </nav>
                <poses::Poses/>
                <Fold title="The hand">
                    <maker::Maker/>
                </Fold>
                <Fold title="Pivots and axes">
                    <axes::Axes seek/>
                </Fold>
                <Fold title="Advice">
                    <advice::AdviceFold seek/>
                </Fold>
            </div>
        </main>
    }
}
