//! 'Other copies': what is kept of this place beside what is on the plate.
use super::files::save_text;
use crate::keep::{self, Listed};
use crate::state::{Keeping, Session, Shell, session};
use leptos::prelude::*;
use wasm_bindgen_futures::spawn_local;

/// The list, folded; nothing where there are no copies.
#[component]
pub fn Copies() -> impl IntoView {
    let keeping = expect_context::<Keeping>();
    let copies = RwSignal::new(Vec::<Listed>::new());
    let slot = Memo::new(move |_| keeping.place.with(|p| p.as_ref().map(|p| p.slot.clone())));
    Effect::new(move |before: Option<Option<String>>| {
        keeping.copies_changed.track();
        let here = slot.get();
        // Another place's are not to be opened here while this place's are looked for.
        if before.is_some_and(|before| before != here) {
            copies.set(Vec::new());
        }
        let Some(asked) = here.clone() else {
            return here;
        };
        spawn_local(async move {
            let found = keep::copies(&asked).await;
            // The reader may have gone on, and the list with the page.
            if slot.try_get_untracked().flatten().as_deref() == Some(&asked) {
                copies.set(found);
            }
        });
        here
    });
    let title = move || format!("Other copies ({})", copies.with(Vec::len));
    view! {
        <Show when=move || !copies.with(Vec::is_empty)>
            <details class="copies">
                <summary>{title}</summary>
                <ul>
                    <For each=move || copies.get() key=|c| (c.name.clone(), c.at.to_bits()) let:copy>
                        <Row copy/>
                    </For>
                </ul>
            </details>
        </Show>
    }
}

#[component]
fn Row(copy: Listed) -> impl IntoView {
    let session = session();
    let Session { shell, .. } = session;
    let Listed { name, label, at } = copy;
    let when = moment(at);
    let shown = if when.is_empty() {
        label.clone()
    } else {
        format!("{label}, {when}")
    };
    let open = {
        let name = name.clone();
        move |_| open_copy(session, name.clone())
    };
    let save = move |_| save_copy(shell, name.clone());
    view! {
        <li>
            <span class="copy-label">{shown.clone()}</span>
            <button class="tool" aria-label=format!("Open the copy {shown}") on:click=open>"Open"</button>
            <button class="tool" aria-label=format!("Save file of the copy {shown}") on:click=save>"Save file"</button>
        </li>
    }
}

/// Puts a copy of this place's on the plate, as one step to undo.
fn open_copy(session: Session, name: String) {
    let here = session.here();
    spawn_local(async move {
        let text = keep::copy_text(&name).await;
        if session.here() != here {
            return;
        }
        match text {
            Ok(Some(text)) => match ::hand::read(&text) {
                Ok(document) => session.replace(document, "open a copy"),
                Err(fault) => session.shell.notice(
                    format!("This copy cannot be opened: {fault}"),
                    "'Save file' beside it saves it as it is.",
                ),
            },
            Ok(None) => session.shell.notice(
                "This copy is not there any more.",
                "Another tab may have taken it away; reload the page to see what there is.",
            ),
            Err(_) => copy_not_read(session.shell),
        }
    });
}

/// Saves a copy's text to a file, whatever it is.
fn save_copy(shell: Shell, name: String) {
    spawn_local(async move {
        match keep::copy_text(&name).await {
            Ok(Some(text)) => save_text(shell, "copy", &text),
            _ => copy_not_read(shell),
        }
    });
}

fn copy_not_read(shell: Shell) {
    shell.notice(
        "This copy cannot be read now.",
        "Try again in a moment, or reload the page.",
    );
}

/// A time as the reader writes it; the day only when it is not today.
fn moment(at: f64) -> String {
    if at <= 0.0 {
        return String::new();
    }
    let then = js_sys::Date::new(&at.into());
    let today = js_sys::Date::new_0();
    let time = format!("{:02}:{:02}", then.get_hours(), then.get_minutes());
    if then.to_date_string() == today.to_date_string() {
        time
    } else {
        format!(
            "{}-{:02}-{:02} {time}",
            then.get_full_year(),
            then.get_month() + 1,
            then.get_date()
        )
    }
}
