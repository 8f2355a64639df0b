//! New, open, save: documents from and to files; and the figure as a picture.
use crate::browser;
use crate::scene::{self, Kept};
use crate::state::{Session, Shell, session};
use crate::widgets::paint_once::painted;
use leptos::prelude::*;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use workbook::file_name::shortened;
use workbook::sketch::blank;

/// New, open, save.
#[component]
pub fn Files() -> impl IntoView {
    let session = session();
    view! {
        <div class="tool-row">
            <button
                class="tool"
                on:click=move |_| session.replace(blank(), "new sketch")
            >
                "New"
            </button>
            <button class="tool" on:click=move |_| open_example(session)>"Open example"</button>
            <OpenFile/>
            <button class="tool" on:click=move |_| save_file(session)>"Save file"</button>
        </div>
    }
}

/// Open, save, and take the figure away as a picture.
#[component]
pub fn HandFiles(children: Children) -> impl IntoView {
    let session = session();
    view! {
        <div class="tool-row files">
            <OpenFile name="Open"/>
            <button class="tool" aria-label="Save the hand" on:click=move |_| save_file(session)>
                "Save"
            </button>
            <button
                class="tool"
                aria-label="SVG: save the figure as lines"
                on:click=move |_| save_svg(session)
            >
                "SVG"
            </button>
            <button
                class="tool"
                aria-label="PNG: save the figure as pixels"
                on:click=move |_| spawn_local(save_png(session))
            >
                "PNG"
            </button>
            {children()}
        </div>
    }
}

/// A file's document in place of the one on the plate.
#[component]
fn OpenFile(#[prop(default = "Open file")] name: &'static str) -> impl IntoView {
    let session = session();
    view! {
        <label class="tool file">
            {name}
            <input
                type="file"
                accept=".json,application/json"
                on:change=move |e| {
                    let input: web_sys::HtmlInputElement = event_target(&e);
                    if let Some(file) = input.files().and_then(|f| f.get(0)) {
                        open_file(session, file);
                    }
                    input.set_value("");
                }
            />
        </label>
    }
}

/// `here`: where it was asked for.
fn open_text(session: Session, here: &Option<String>, from: &str, text: &str) {
    if session.here() != *here {
        return;
    }
    if here.is_none() {
        session.shell.notice(
            "What is kept here is still being read, so nothing was opened.",
            "Try again in a moment.",
        );
        return;
    }
    match hand::read(text) {
        Ok(document) => {
            session.replace(document, &format!("open {from}"));
            session.shell.say(format!("Opened {from}."));
        }
        Err(fault) => session.shell.notice(
            format!("{from}: {fault}"),
            "Nothing was opened; what you had is still here.",
        ),
    }
}

fn open_file(session: Session, file: web_sys::File) {
    let here = session.here();
    spawn_local(async move {
        let name = shortened(&file.name());
        match content(&file).await {
            Ok(text) => open_text(session, &here, &name, &text),
            Err(why) => session.shell.notice(
                format!("{name}: {why}"),
                "Nothing was opened; what you had is still here.",
            ),
        }
    });
}

/// A file's text; too long a file is refused before it is read.
async fn content(file: &web_sys::File) -> Result<String, String> {
    let told = |fault: rig::Fault| fault.to_string();
    rig::file::bounds::bytes(file.size() as u64).map_err(told)?;
    let buffer = JsFuture::from(file.array_buffer())
        .await
        .map_err(|_| "it could not be read; choose it again.".to_string())?;
    rig::file::bounds::text(js_sys::Uint8Array::new(&buffer).to_vec()).map_err(told)
}

/// The shipped example: a palm on its pivot, fingers anchored.
fn open_example(session: Session) {
    let here = session.here();
    spawn_local(async move {
        match browser::fetch_text("examples/bench-press-chain.hand.json").await {
            Ok(text) => open_text(session, &here, "the example", &text),
            Err(what) => session
                .shell
                .notice(what, "Check the connection and try again."),
        }
    });
}

fn save_file(session: Session) {
    let (name, body) = session
        .stage
        .with_untracked(|h| (h.document().name.clone(), rig::write(h.document())));
    save_text(session.shell, &name, &body);
}

/// Hands a text to the reader as a document's file to save.
pub fn save_text(shell: Shell, name: &str, text: &str) {
    let saved = browser::save_file(name, "hand.json", &text.into());
    told(shell, saved);
}

fn told(shell: Shell, saved: Result<(), JsValue>) {
    if saved.is_err() {
        shell.notice(
            "The browser would not save the file.",
            "Try again, or from a normal window.",
        );
    }
}

/// The plate's shapes as they are shown, its size and the document's name.
fn shown(session: Session) -> (Vec<figure::Shape>, (f64, f64), String) {
    let (shapes, _) = untrack(|| scene::shapes(session, &mut Kept::default()));
    let size = session.camera.view.with_untracked(|view| view.size);
    let name = (session.stage).with_untracked(|h| h.document().name.clone());
    (shapes, size, name)
}

fn save_svg(session: Session) {
    let (shapes, size, name) = shown(session);
    let look = session.shell.look.get_untracked();
    let text = figure::svg(&shapes, size, look, &name);
    let saved = browser::save_file(&name, "svg", &text.into());
    told(session.shell, saved);
}

async fn save_png(session: Session) {
    let (shapes, size, name) = shown(session);
    let saved = match painted(&shapes, size, session.shell.look.get_untracked()).await {
        Some(picture) => browser::save_file(&name, "png", &picture),
        None => Err(JsValue::NULL),
    };
    told(session.shell, saved);
}
