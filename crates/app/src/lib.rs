//! The sandbox in the browser.
//!
//! State lives in [`session::Session`]; everything on screen is derived from it.
//! `plate` is the figure, `desk` the dials and gauges, `page` the text, `lineage` the mobile.
mod copies;
mod desk;
mod files;
mod front;
mod hand;
mod keep;
mod keeping;
mod lineage;
mod notices;
mod page;
mod paint;
mod parts;
mod pencil;
mod plate;
mod play;
mod scene;
mod session;
mod sketch;
mod text;
mod tools;
mod top;
mod visit;

use leptos::prelude::*;
use session::Session;
use std::cell::Cell;
use wasm_bindgen::prelude::*;
use workbook::route::Route;

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

thread_local! {
    static RUNNING: Cell<Option<Session>> = const { Cell::new(None) };
}

/// The document on the plate as a file has it, for tests; none before the address has its own.
#[wasm_bindgen(js_name = documentForTest)]
pub fn document_for_test() -> Option<String> {
    let session = RUNNING.get().filter(Session::at_place)?;
    Some(session.stage.with_untracked(|h| rig::write(h.document())))
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
    RUNNING.set(Some(session));
    visit::follow(session);
    keeping::keep_saving(session);
    look_after_shortcuts(session);
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
        <notices::Notices/>
        <Show when=move || screen.get() == Screen::Front>
            <front::Front/>
        </Show>
        <Show when=move || screen.get() != Screen::Front>
            <div class="bench" class:sketching=move || screen.get() == Screen::Sketch>
                {move || match screen.get() {
                    Screen::Lesson => view! { <page::Page/> }.into_any(),
                    Screen::Hand => session.parts.hand.show(|hand| (hand.page)()).into_any(),
                    _ => view! { <main id="page" tabindex="-1" class="sketch-title"><h1>"Sketch"</h1></main> }.into_any(),
                }}
                <div class="right">
                    <div class="stage">
                        <plate::Plate/>
                        <lineage::Lineage/>
                    </div>
                    <Show when=move || screen.get() == Screen::Hand fallback=|| view! { <desk::Desk/> }>
                        {session.parts.hand.show(|hand| (hand.desk)())}
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
