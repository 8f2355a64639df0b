//! The glossary: what each word means here, and what the trade at large calls it.
use leptos::prelude::*;
use workbook::glossary::{COLUMNS, GLOSSARY, INTRO, TITLE};

/// The glossary.
#[component]
pub fn Glossary() -> impl IntoView {
    view! {
        <main class="front" id="page" tabindex="-1">
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
                                <tr>
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
