//! The glossary: the page's `glossary.rs`.
use crate::html::escaped;
use workbook::glossary::{COLUMNS, GLOSSARY, INTRO, TITLE};

pub fn glossary() -> String {
    let heads: String = COLUMNS
        .map(|name| format!(r#"<th scope="col">{}</th>"#, escaped(name)))
        .concat();
    let rows: String = GLOSSARY
        .map(|entry| {
            let [word, meaning, trade] = [entry.word, entry.meaning, entry.trade].map(escaped);
            format!(r#"<tr><th scope="row">{word}</th><td>{meaning}</td><td>{trade}</td></tr>"#)
        })
        .concat();
    format!(
        r#"<main class="front"><h1>{TITLE}</h1><p>{INTRO}</p><table class="glossary"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></main>"#
    )
}
