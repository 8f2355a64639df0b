//! The sandbox in the browser.
//!
//! `keep` stores work, `state` is all there is to show, `acts` does what takes time; these know no
//! view. `widgets` are shared by `plate`, the figure, `shell`, what stands everywhere, and `pages`.
mod acts;
mod browser;
mod keep;
mod knuckle_row;
mod pages;
mod plate;
mod scene;
mod shell;
mod state;
mod timing;
mod widgets;

use acts::{drawing, saving, visit};
use leptos::prelude::*;
use pages::Pages;
use shell::{Notices, Top};
use state::Session;
use std::cell::Cell;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;

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

#[component]
fn App() -> impl IntoView {
    let session = Session::new();
    session.provide();
    RUNNING.set(Some(session));
    visit::follow(session);
    saving::keep_saving(session);
    drawing::keep_drawings(session);
    look_after_shortcuts(session);
    let shell = session.shell;
    Effect::new(move || {
        let worn = shell.worn();
        if let Some(root) = document().document_element() {
            for (name, value) in worn {
                let _ = root.set_attribute(name, value);
            }
        }
    });
    view! {
        <a class="skip" href="#page" on:click=move |e| skip(&e)>"Skip to the page"</a>
        <Top/>
        <Notices/>
        <Pages/>
        <div class="spoken" role="status" aria-live="polite">{move || shell.said.get()}</div>
    }
}

fn skip(e: &web_sys::MouseEvent) {
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
