//! The top line: brand, lesson leaves, undo, looks.
use crate::session::session;
use figure::Look;
use leptos::prelude::*;
use workbook::example::Example;
use workbook::route::{Place, Route};

/// The top line.
#[component]
pub fn Top() -> impl IntoView {
    let session = session();
    let undo = move || session.stage.with(|h| h.undo_label().map(String::from));
    let redo = move || session.stage.with(|h| h.redo_label().map(String::from));
    let number = move || match session.route.get() {
        Route::Lesson { number, .. } => Some(number),
        _ => None,
    };
    view! {
        <header class="top">
            <a class="brand" href=Route::Front.link()>"Handstand"</a>
            <nav aria-label="Lessons">
                <For each=move || session.lessons.get() key=|e| e.number let:entry>
                    {
                        let this = entry.number;
                        let prefix = format!("lesson-{this}-");
                        view! {
                            <a
                                class="leaf"
                                class:done=move || session.done.with(|d| d.iter().any(|s| s.starts_with(&prefix)))
                                href=Route::Lesson { number: this, place: Place::Step(0) }.link()
                                aria-label=format!("Lesson {this}: {}", entry.title)
                                aria-current=move || (number() == Some(this)).then_some("page")
                            >
                                {this}
                            </a>
                        }
                    }
                </For>
                <a
                    class="leaf wide"
                    href=Route::Hand(Example::default()).link()
                    aria-current=move || matches!(session.route.get(), Route::Hand(_)).then_some("page")
                >
                    "Hand"
                </a>
                <a
                    class="leaf wide"
                    href=Route::Sketch.link()
                    aria-current=move || (session.route.get() == Route::Sketch).then_some("page")
                >
                    "Sketch"
                </a>
            </nav>
            <span class="space"></span>
            <Show when=move || session.unkept.get().is_some()>
                <span class="unkept">"not kept"</span>
            </Show>
            <Show when=move || session.route.get() != Route::Front>
                <button
                    disabled=move || undo().is_none()
                    title=move || undo().map_or("Nothing to undo".into(), |l| format!("Undo: {l}"))
                    on:click=move |_| session.undo()
                >
                    "Undo"
                </button>
                <button
                    disabled=move || redo().is_none()
                    title=move || redo().map_or("Nothing to redo".into(), |l| format!("Redo: {l}"))
                    on:click=move |_| session.redo()
                >
                    "Redo"
                </button>
            </Show>
            <div class="switch" role="group" aria-label="Look">
                {[(Look::Paper, "paper", "Paper"), (Look::Slate, "slate", "Slate")]
                    .map(|(look, kept, name)| {
                        view! {
                            <button
                                aria-pressed=move || (session.look.get() == look).to_string()
                                on:click=move |_| {
                                    session.look.set(look);
                                    crate::keep::set_setting("look", kept);
                                }
                            >
                                {name}
                            </button>
                        }
                    })
                    .collect_view()}
            </div>
            <button
                class="projector"
                aria-pressed=move || session.projector.get().to_string()
                on:click=move |_| {
                    let on = !session.projector.get_untracked();
                    session.projector.set(on);
                    crate::keep::set_setting("projector", if on { "on" } else { "off" });
                }
            >
                "Projector"
            </button>
        </header>
    }
}
