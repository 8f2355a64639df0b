//! The sandbox in the browser.
//!
//! State lives in [`session::Session`]; everything on screen is derived from it.
//! `plate` is the figure, `desk` the dials and gauges, `page` the text, `lineage` the mobile.
mod desk;
mod front;
mod hand;
mod lineage;
mod page;
mod paint;
mod pencil;
mod plate;
mod play;
mod route;
mod scene;
mod session;
mod sketch;
mod storage;
mod text;
mod tools;
mod top;

use leptos::prelude::*;
use route::{Place, Route};
use session::{Entry, Session, sight_named};
use std::sync::Arc;
use std::time::Duration;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, spawn_local};

#[wasm_bindgen]
extern "C" {
    #[wasm_bindgen(js_namespace = window, js_name = handstandPanic, catch)]
    fn handstand_panic(message: &str) -> Result<(), JsValue>;
}

/// Called by the page once the module is loaded.
#[wasm_bindgen(start)]
pub fn start() {
    std::panic::set_hook(Box::new(|info| {
        console_error_panic_hook::hook(info);
        let _ = handstand_panic(&info.to_string());
    }));
    mount_to_body(App);
}

/// A document's pose as JSON: the same bytes as `handstand pose --json`. Fails with the sentence it prints.
#[wasm_bindgen]
pub fn pose(document: &str) -> Result<String, String> {
    let document = rig::read(document).map_err(|f| f.to_string())?;
    let posed = rig::Posed::new(&document).map_err(|f| f.to_string())?;
    Ok(rig::report::pose_json(&document, &posed))
}

/// Milliseconds that a survey of lift (0 to 35°) and lean takes here, `count` poses a side: for
/// the benchmark. Fails with a sentence.
#[wasm_bindgen(js_name = surveyForBench)]
pub fn survey_for_bench(document: &str, count: usize, lean: f64) -> Result<f64, String> {
    use rig::survey::{Survey, Sweep};
    let said = |f: rig::Fault| f.to_string();
    let document = rig::read(document).map_err(said)?;
    let posed = rig::Posed::new(&document).map_err(said)?;
    let sweep = |name: &str, from: f64, to: f64| {
        let dial = document.dial_named(name).ok_or("no press dials")?.id;
        Ok::<_, String>(Sweep {
            dial,
            from,
            to,
            count,
        })
    };
    let (across, up) = (sweep("lift", 0.0, 35.0)?, sweep("lean", -lean, lean)?);
    let clock = window().performance().ok_or("no clock")?;
    let began = clock.now();
    Survey::run(&document, &posed, across, up).map_err(said)?;
    Ok(clock.now() - began)
}

/// Panics, so that a test can see what the page does about it.
#[wasm_bindgen(js_name = panicForTest)]
pub fn panic_for_test() {
    panic!("asked for by a test");
}

#[derive(Clone, Copy, PartialEq)]
enum Screen {
    Front,
    Lesson,
    Sketch,
    Hand,
}

#[component]
fn App() -> impl IntoView {
    let session = Session::new();
    provide_context(session);
    if !storage::available() {
        session.keeps.set(false);
        session.nothing_kept(storage::Why::Denied);
    }
    follow_hash(session);
    load_index(session);
    keep_saving(session);
    look_after_shortcuts(session);
    Effect::new(move || route_changed(session));
    Effect::new(move || {
        let root = document().document_element();
        if let Some(root) = root {
            let look = match session.look.get() {
                figure::Look::Paper => "paper",
                figure::Look::Slate => "slate",
            };
            let _ = root.set_attribute("data-look", look);
            let _ = root.set_attribute(
                "data-projector",
                if session.projector.get() { "on" } else { "off" },
            );
        }
    });
    // Which page stands beside the plate: another lesson is still a lesson's page.
    let screen = Memo::new(move |_| match session.route.get() {
        Route::Front => Screen::Front,
        Route::Lesson { .. } => Screen::Lesson,
        Route::Sketch => Screen::Sketch,
        Route::Hand(_) => Screen::Hand,
    });
    view! {
        <a class="skip" href="#page" on:click=move |e| skip(&e)>"Skip to the page"</a>
        <top::Top/>
        <top::Notices/>
        <Show when=move || screen.get() == Screen::Front>
            <front::Front/>
        </Show>
        <Show when=move || screen.get() != Screen::Front>
            <div class="bench" class:sketching=move || screen.get() == Screen::Sketch>
                {move || match screen.get() {
                    Screen::Lesson => view! { <page::Page/> }.into_any(),
                    Screen::Hand => view! { <hand::HandPage/> }.into_any(),
                    _ => view! { <main id="page" tabindex="-1" class="sketch-title"><h1>"Sketch"</h1></main> }.into_any(),
                }}
                <div class="right">
                    <div class="stage">
                        <plate::Plate/>
                        <lineage::Lineage/>
                    </div>
                    <Show when=move || screen.get() == Screen::Hand fallback=|| view! { <desk::Desk/> }>
                        <hand::HandDesk/>
                    </Show>
                </div>
            </div>
        </Show>
        <div class="spoken" role="status" aria-live="polite">{move || session.said.get()}</div>
    }
}

fn skip(e: &web_sys::MouseEvent) {
    use wasm_bindgen::JsCast;
    e.prevent_default();
    if let Some(page) = document()
        .get_element_by_id("page")
        .and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok())
    {
        let _ = page.focus();
    }
}

fn follow_hash(session: Session) {
    let handle = window_event_listener_untyped("hashchange", move |_| {
        session.save();
        session.route.set(Route::parse(
            &window().location().hash().unwrap_or_default(),
        ));
    });
    on_cleanup(move || handle.remove());
}

fn load_index(session: Session) {
    spawn_local(async move {
        match fetch_text("lessons/index.json")
            .await
            .and_then(|t| serde_json::from_str::<Vec<Entry>>(&t).map_err(|e| e.to_string()))
        {
            Ok(mut entries) => {
                entries.sort_by_key(|e| e.number);
                session.lessons.set(entries);
            }
            Err(what) => session.notice(
                format!("The list of lessons could not be loaded: {what}."),
                "Reload the page.",
            ),
        }
    });
}

/// Loads what the route asks for.
fn route_changed(session: Session) {
    let route = session.route.get();
    let entries = session.lessons.get();
    match route {
        Route::Front => untrack(|| session.stop()),
        Route::Sketch => untrack(|| {
            session.lesson.set(None);
            open_sketch(session);
        }),
        Route::Hand(example) => untrack(|| {
            session.lesson.set(None);
            hand::open(session, example, true);
        }),
        Route::Lesson { number, place } => {
            let Some(entry) = entries.into_iter().find(|e| e.number == number) else {
                if !session.lessons.with_untracked(Vec::is_empty) {
                    session.notice(
                        format!("There is no lesson {number} yet."),
                        "The front page lists the lessons there are.",
                    );
                    let _ = window().location().set_hash("#/");
                }
                return;
            };
            let loaded = session
                .lesson
                .with_untracked(|l| l.as_ref().is_some_and(|l| l.number == number));
            if loaded {
                untrack(|| show_place(session, place, true));
                return;
            }
            spawn_local(async move {
                let file = format!("lessons/{}", entry.file.trim_start_matches("lessons/"));
                let read = match fetch_text(&file).await {
                    Ok(text) => course::read(&text).map_err(|f| f.to_string()),
                    Err(what) => Err(what),
                };
                match read {
                    Ok(lesson) => {
                        session.lesson.set(Some(Arc::new(lesson)));
                        // The reader may have gone on meanwhile.
                        if session.route.get_untracked() == route {
                            show_place(session, place, true);
                        }
                    }
                    Err(what) => {
                        session.notice(format!("{file}: {what}"), "The other lessons still work.")
                    }
                }
            });
        }
    }
}

fn open_sketch(session: Session) {
    let kept = storage::load("sketch").and_then(|text| rig::read(&text).ok());
    session.open(
        kept.unwrap_or_else(sketch::blank),
        figure::Sight::Side,
        true,
    );
}

/// Puts on the plate what is kept for this place under another name, and goes on with that.
pub fn open_copy(session: Session, slot: &str, name: &str) {
    session.save();
    storage::go_on_with(slot, name);
    match session.route.get_untracked() {
        Route::Front => {}
        Route::Sketch => open_sketch(session),
        Route::Hand(example) => hand::open(session, example, true),
        Route::Lesson { place, .. } => show_place(session, place, true),
    }
}

/// Puts a step's figure on the plate, as it was left if `kept`.
fn show_place(session: Session, place: Place, kept: bool) {
    let Some(lesson) = session.lesson.get_untracked() else {
        return;
    };
    let step = match place {
        Place::Step(index) => match lesson.steps.get(index) {
            Some(step) => Some(step),
            None => {
                let _ = window().location().set_hash(
                    &Route::Lesson {
                        number: lesson.number,
                        place: Place::Step(0),
                    }
                    .link(),
                );
                return;
            }
        },
        Place::Play => None,
    };
    let fresh = step
        .and_then(|s| s.document.clone())
        .unwrap_or_else(|| lesson.document.clone());
    let sight = sight_named(step.and_then(|s| s.view.as_deref()).unwrap_or(&lesson.view));
    let slot = session.route.get_untracked().slot();
    let saved = slot
        .filter(|_| kept)
        .and_then(|slot| storage::load(&slot))
        .and_then(|text| rig::read(&text).ok());
    session.open(saved.unwrap_or(fresh), sight, kept);
}

/// The step's figure as the lesson gives it, the hand as its recipe does.
pub fn start_again(session: Session) {
    match session.route.get_untracked() {
        Route::Lesson { place, .. } => {
            show_place(session, place, false);
            session.say("Started again.");
        }
        Route::Hand(example) => {
            hand::open(session, example, false);
            session.say("Started again.");
        }
        _ => session.open(sketch::blank(), figure::Sight::Side, false),
    }
}

/// Saves a moment after each change, and at once when the page goes away.
fn keep_saving(session: Session) {
    let pending = StoredValue::new(None::<TimeoutHandle>);
    Effect::new(move |first: Option<()>| {
        session.history.track();
        if first.is_none() {
            return;
        }
        if let Some(old) = pending.get_value() {
            old.clear();
        }
        let handle =
            set_timeout_with_handle(move || session.save(), Duration::from_millis(300)).ok();
        pending.set_value(handle);
    });
    let handle = window_event_listener_untyped("pagehide", move |_| session.save());
    on_cleanup(move || handle.remove());
}

/// Undo and redo by keys, wherever the focus is (but not while typing).
fn look_after_shortcuts(session: Session) {
    use wasm_bindgen::JsCast;
    let handle = window_event_listener(leptos::ev::keydown, move |e| {
        let typing = e
            .target()
            .and_then(|t| t.dyn_into::<web_sys::HtmlInputElement>().ok())
            .is_some_and(|input| matches!(input.type_().as_str(), "text" | "number"));
        if typing || !(e.ctrl_key() || e.meta_key()) {
            return;
        }
        match (e.key().to_lowercase().as_str(), e.shift_key()) {
            ("z", false) => session.undo(),
            ("z", true) | ("y", _) => session.redo(),
            _ => return,
        }
        e.prevent_default();
    });
    on_cleanup(move || handle.remove());
}

/// A file beside the page, as text. The error is a clause for a notice.
pub async fn fetch_text(path: &str) -> Result<String, String> {
    use wasm_bindgen::JsCast;
    let failed = |_| format!("{path} could not be reached");
    let response: web_sys::Response = JsFuture::from(window().fetch_with_str(path))
        .await
        .map_err(failed)?
        .dyn_into()
        .map_err(failed)?;
    if !response.ok() {
        return Err(format!(
            "{path} could not be reached (status {})",
            response.status()
        ));
    }
    let text = JsFuture::from(response.text().map_err(failed)?)
        .await
        .map_err(failed)?;
    text.as_string()
        .ok_or_else(|| format!("{path} is not text"))
}
