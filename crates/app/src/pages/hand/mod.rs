//! The hand page: a whole hand that presses, made by its recipe, surveyed and explained; three faces
//! of one page. What is not re-exported here nobody else reaches.
mod advice;
mod axes;
mod axis_handles;
mod axis_search;
mod costs;
mod desk;
mod digits;
mod edits;
mod faces;
mod gallery;
mod gauges;
mod joints;
mod live_survey;
mod map;
mod map_text;
mod pace;
mod poses;
mod recipe_form;
mod stance;
mod strip;
mod surveyor;
mod turn_order;
mod worst;

pub use axis_handles::AxisHandles;
pub use desk::HandDesk;
pub use faces::Faces;
pub use map::ContactMap;

use crate::acts::visit::start_again;
use crate::browser::media_matches;
use crate::shell::copies::Copies;
use crate::shell::files::HandFiles;
use crate::state::{Session, Shell, session};
use crate::widgets::sheet::SheetHandle;
use advice::Advice;
use axes::Axes;
use axis_search::AxisSearch;
use edits::recipe;
use gallery::{Gallery, Thumbs};
use leptos::prelude::*;
use live_survey::LiveSurvey;
use map::{Map, measured};
use recipe_form::RecipeForm;
use stance::Standing;
use wasm_bindgen::JsCast;
use workbook::example::Example;
use workbook::face::Face;
use workbook::route::Route;

/// The page beside the plate; a sheet under it on a phone.
#[component]
pub fn HandPage() -> impl IntoView {
    let Session {
        stage, shell, hand, ..
    } = session();
    let sheet = RwSignal::new(false);
    let name = Memo::new(move |_| stage.with(|h| h.document().name.clone()));
    let live = LiveSurvey::new(stage, shell, hand, move || hand.face.get() == Face::Press);
    let measured = measured(stage);
    // Kept while another face is up: it takes seconds.
    let search = AxisSearch::new(shell, recipe(stage));
    Effect::new(move || hand.measured.set(measured.get()));
    let thumbs = Thumbs::new(stage);
    let handle = move |open| {
        let face = hand.face.get();
        if open {
            "Close".to_string()
        } else {
            face.sheet().to_string()
        }
    };
    // The sheet comes up to the plate's foot, which is then at the top of the window.
    Effect::new(move || {
        let bench = document().query_selector(".bench").ok().flatten();
        if sheet.get()
            && media_matches("(max-width: 760px), (max-height: 500px)")
            && let Some(bench) = bench.and_then(|b| b.dyn_into::<web_sys::HtmlElement>().ok())
        {
            window().scroll_to_with_x_and_y(0.0, f64::from(bench.offset_top()));
        }
    });
    view! {
        <main class="page hand-page" class:open=move || sheet.get() id="page" tabindex="-1">
            <SheetHandle open=sheet controls=faces::TEXT named=handle/>
            <div
                class="page-inside"
                id=faces::TEXT
                role="tabpanel"
                aria-labelledby=move || faces::id(hand.face.get())
            >
                <div class="page-text">
                    <h1>{move || name.get()}</h1>
                    <HandFiles>
                        <button class="tool" on:click=move |_| start_again(session())>"Start again"</button>
                    </HandFiles>
                    <p>{move || hand.face.get().says()}</p>
                </div>
                <div class="page-more">
                    <Copies/>
                    {move || match hand.face.get() {
                        Face::Fingers => view! { <Gallery thumbs/> }.into_any(),
                        Face::Press => view! { <PressPage live measured/> }.into_any(),
                        Face::Plan => view! { <PlanPage search/> }.into_any(),
                    }}
                </div>
            </div>
        </main>
    }
}

/// How far it goes, and what it stands on.
#[component]
fn PressPage(live: LiveSurvey, measured: Memo<Option<::hand::survey::Cell>>) -> impl IntoView {
    view! {
        <section aria-label="Contact map">
            <h2>"How far it goes"</h2>
            <Map live measured/>
        </section>
        <section aria-label="Stance">
            <h2>"Stands on"</h2>
            <Standing/>
        </section>
    }
}

/// Which hand it is, and about which axis it presses.
#[component]
fn PlanPage(search: AxisSearch) -> impl IntoView {
    let shell = expect_context::<Shell>();
    let here = move |example| shell.route.get() == Route::Hand(example);
    view! {
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
        <section aria-label="The hand">
            <h2>"The hand"</h2>
            <RecipeForm/>
        </section>
        <section aria-label="The knuckle axis">
            <h2>"The knuckle axis"</h2>
            <Axes search/>
        </section>
        <section aria-label="Advice">
            <h2>"Advice"</h2>
            <Advice search/>
        </section>
    }
}
