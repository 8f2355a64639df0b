//! The top line: brand, lesson leaves, undo, looks.
use crate::state::{Entry, Session, session};
use crate::widgets::switch::Switch;
use figure::Look;
use leptos::prelude::*;
use workbook::example::Example;
use workbook::route::{Place, Route};

/// The top line.
#[component]
pub fn Top() -> impl IntoView {
    let session = session();
    let Session {
        stage,
        course,
        shell,
        keeping,
        ..
    } = session;
    let undo = move || stage.with(|h| h.undo_label().map(String::from));
    let redo = move || stage.with(|h| h.redo_label().map(String::from));
    let here = move || match shell.route.get() {
        Route::Lesson { lesson, .. } => Some(lesson),
        _ => None,
    };
    view! {
        <header class="top">
            <a class="brand" href=Route::Front.link()>"Handstand"</a>
            <nav aria-label="Lessons">
                <For each=move || shell.lessons.get() key=|e| e.number let:entry>
                    {
                        let Entry { number, name: lesson, .. } = entry;
                        view! {
                            <a
                                class="leaf"
                                class:done=move || course.steps_done(lesson) != 0
                                href=Route::Lesson { lesson, place: Place::Step(0) }.link()
                                aria-label=format!("Lesson {number}: {}", entry.title)
                                aria-current=move || (here() == Some(lesson)).then_some("page")
                            >
                                {number}
                            </a>
                        }
                    }
                </For>
                <a
                    class="leaf wide"
                    href=Route::Hand(Example::default()).link()
                    aria-current=move || matches!(shell.route.get(), Route::Hand(_)).then_some("page")
                >
                    "Hand"
                </a>
                <a
                    class="leaf wide"
                    href=Route::Sketch.link()
                    aria-current=move || (shell.route.get() == Route::Sketch).then_some("page")
                >
                    "Sketch"
                </a>
                <a
                    class="leaf wide"
                    href=Route::Glossary.link()
                    aria-current=move || (shell.route.get() == Route::Glossary).then_some("page")
                >
                    "Words"
                </a>
            </nav>
            <span class="space"></span>
            <Show when=move || keeping.unkept.get().is_some()>
                <span class="unkept">"not kept"</span>
            </Show>
            <Show when=move || shell.route.get().has_plate()>
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
            <Switch
                label="Look"
                choices=vec![(Look::Paper, "Paper"), (Look::Slate, "Slate")]
                chosen=Signal::derive(move || Some(shell.look.get()))
                set=Callback::new(move |look| shell.choose_look(look))
            />
            <button
                class="projector"
                aria-pressed=move || shell.projector.get().to_string()
                on:click=move |_| shell.toggle_projector()
            >
                "Projector"
            </button>
        </header>
    }
}
