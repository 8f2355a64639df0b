//! The hand page: a whole hand that presses, made by its recipe, surveyed and explained. What is not
//! re-exported here nobody else reaches.
mod advice;
mod axes;
mod axis_handles;
mod axis_search;
mod desk;
mod digits;
mod edits;
mod gauges;
mod live_survey;
mod map;
mod map_text;
mod pace;
mod poses;
mod recipe_form;
mod surveyor;
mod turn_order;

pub use axis_handles::AxisHandles;
pub use desk::HandDesk;
pub use map::ContactMap;

use crate::state::Shell;
use crate::widgets::fields::Fold;
use crate::widgets::sheet::SheetHandle;
use advice::Advice;
use axes::Axes;
use axis_search::AxisSearch;
use edits::recipe;
use leptos::prelude::*;
use poses::Poses;
use recipe_form::RecipeForm;
use workbook::example::Example;
use workbook::route::Route;

/// The page beside the plate; a sheet on a phone.
#[component]
pub fn HandPage() -> impl IntoView {
    let (stage, shell) = (expect_context(), expect_context::<Shell>());
    let sheet = RwSignal::new(false);
    let search = AxisSearch::new(shell, recipe(stage));
    let here = move |example| shell.route.get() == Route::Hand(example);
    view! {
        <main class="page hand-page" class:open=move || sheet.get() id="page" tabindex="-1">
            <SheetHandle
                open=sheet
                controls="page-text"
                named=|open| if open { "Close" } else { "The hand" }.to_string()
            />
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
                <Poses/>
                <Fold title="The hand">
                    <RecipeForm/>
                </Fold>
                <Fold title="Pivots and axes">
                    <Axes search/>
                </Fold>
                <Fold title="Advice">
                    <Advice search/>
                </Fold>
            </div>
        </main>
    }
}
