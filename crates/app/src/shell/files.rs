//! New, open, save: documents from and to files.
use crate::browser;
use crate::state::{Session, Shell, session};
use leptos::prelude::*;
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
            <label class="tool file">
                "Open file"
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
            <button class="tool" on:click=move |_| save_file(session)>"Save file"</button>
        </div>
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

/// Hands a text to the reader as a file to save.
pub fn save_text(shell: Shell, name: &str, text: &str) {
    if browser::save_file(name, text).is_err() {
        shell.notice(
            "The browser would not save the file.",
            "Try again, or from a normal window.",
        );
    }
}
