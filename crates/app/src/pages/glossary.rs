//! The glossary: what each word means here, and what the trade at large calls it.
use leptos::html::Main;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use workbook::glossary::{COLUMNS, GLOSSARY, INTRO, TITLE};

/// The glossary.
#[component]
pub fn Glossary() -> impl IntoView {
    let page = NodeRef::<Main>::new();
    // `#/glossary/slip` leads to that word.
    Effect::new(move || {
        if page.get().is_none() {
            return;
        }
        let hash = window().location().hash().unwrap_or_default();
        let word = hash.rsplit('/').next().unwrap_or_default();
        let row = document().get_element_by_id(&format!("word-{word}"));
        if let Some(row) = row.and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok()) {
            // It scrolls there, too.
            let _ = row.focus();
        }
    });
    view! {
        <main class="front" id="page" tabindex="-1" node_ref=page>
            <h1>{TITLE}</h1>
            <p>{INTRO}</p>
            <table class="glossary">
                <thead>
                    <tr>{COLUMNS.map(|name| view! { <th scope="col">{name}</th> }).collect_view()}</tr>
                </thead>
                <tbody>
                    {GLOSSARY
                        .map(|entry| {
                            view! {
                                <tr id=format!("word-{}", entry.word.replace(' ', "-")) tabindex="-1">
                                    <th scope="row">{entry.word}</th>
                                    <td>{entry.meaning}</td>
                                    <td>{entry.trade}</td>
                                </tr>
                            }
                        })
                        .collect_view()}
                </tbody>
            </table>
        </main>
    }
}
