//! For each dial that turns both hands: the same way about on the other one, or the opposite.
use crate::state::{Session, session};
use course::signs::{Sided, sides, turned};
use leptos::prelude::*;
use rig::DialId;

/// A two-way switch for each such dial.
#[component]
pub fn Signs(under: String) -> impl IntoView {
    let session = session();
    let Session { stage, .. } = session;
    let name = under.clone();
    let all = Memo::new(move |_| {
        stage.with(|stage| {
            let rig = &stage.document().rig;
            rig.node_named(&under)
                .map(|under| sides(rig, under.id))
                .unwrap_or_default()
        })
    });
    let dials = Memo::new(move |_| {
        let each = all.get().into_iter();
        each.map(|Sided { dial, name, .. }| (dial, name))
            .collect::<Vec<_>>()
    });
    let node = StoredValue::new(name.clone());
    let turn = move |dial: DialId, called: &str, opposite: bool| {
        let edits = stage.with_untracked(|stage| {
            let rig = &stage.document().rig;
            let under = node.with_value(|name| rig.node_named(name).map(|node| node.id));
            under.map_or_else(Vec::new, |under| turned(rig, under, dial, opposite))
        });
        let way = if opposite { "the opposite" } else { "the same" };
        session.edit_named(&edits, &format!("turn {called} {way} way about"));
    };
    view! {
        <div class="acts" role="group" aria-label=format!("On the {name}")>
            <For each=move || dials.get() key=Clone::clone let:found>
                {
                    let (dial, called) = found;
                    let is = move |opposite: bool| {
                        all.with(|all| {
                            all.iter().any(|s| s.dial == dial && s.opposite == opposite)
                        })
                    };
                    let label = format!("{called} on the {}", node.get_value());
                    let button = move |opposite: bool, text: &'static str, called: String| {
                        view! {
                            <button
                                aria-label=format!("{text}, {called}")
                                aria-pressed=move || is(opposite).to_string()
                                on:click=move |_| {
                                    if !is(opposite) {
                                        turn(dial, &called, opposite);
                                    }
                                }
                            >
                                {text}
                            </button>
                        }
                    };
                    view! {
                        <div class="tool-row">
                            <span class="act-of">{called.clone()}</span>
                            <div class="switch" role="group" aria-label=label>
                                {button(false, "same", called.clone())}
                                {button(true, "opposite", called)}
                            </div>
                        </div>
                    }
                }
            </For>
        </div>
    }
}
