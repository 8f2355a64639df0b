//! The browser's small synchronous stores: settings; a page's last word, written as it goes away,
//! when nothing slower would be heard; and what earlier builds kept there.
use serde::{Deserialize, Serialize};
use web_sys::Storage;

const PREFIX: &str = "handstand/1/";
const SETTING: &str = "set/";
const LAST_WORD: &str = "last/";

fn area() -> Option<Storage> {
    leptos::prelude::window().local_storage().ok().flatten()
}

fn area_of_tab() -> Option<Storage> {
    leptos::prelude::window().session_storage().ok().flatten()
}

/// A small setting, last writer wins.
pub fn setting(name: &str) -> Option<String> {
    area()?.get_item(&format!("{PREFIX}{SETTING}{name}")).ok()?
}

/// Keeps a small setting.
pub fn set_setting(name: &str, value: &str) {
    if let Some(area) = area() {
        let _ = area.set_item(&format!("{PREFIX}{SETTING}{name}"), value);
    }
}

/// The name under which this tab, reloads included, keeps a place's work.
pub fn name_of_tab(slot: &str) -> Option<String> {
    area_of_tab()?.get_item(&format!("{PREFIX}{slot}")).ok()?
}

/// This tab keeps a place's work under that name from now on.
pub fn set_name_of_tab(slot: &str, name: &str) {
    if let Some(area) = area_of_tab() {
        let _ = area.set_item(&format!("{PREFIX}{slot}"), name);
    }
}

/// Work that was not yet on the disk when the page went away.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LastWord {
    pub slot: String,
    pub name: String,
    /// The revision that the page had seen under that name.
    pub seen: u64,
    pub body: String,
    /// The name of its [`Origin`](super::Origin), and its label.
    pub origin: String,
    pub label: String,
    /// When, ms since 1970.
    pub at: f64,
}

/// Leaves a page's last words for whoever comes next; none takes them back.
pub fn leave(writer: &str, words: &[LastWord]) {
    let Some(area) = area() else { return };
    let key = format!("{PREFIX}{LAST_WORD}{writer}");
    if words.is_empty() {
        let _ = area.remove_item(&key);
    } else if let Ok(text) = serde_json::to_string(words) {
        let _ = area.set_item(&key, &text);
    }
}

/// The pages that left last words, with them.
pub fn last_words() -> Vec<(String, Vec<LastWord>)> {
    let read = |key: String| {
        let writer = key.strip_prefix(LAST_WORD)?.to_string();
        let text = area()?.get_item(&format!("{PREFIX}{key}")).ok()??;
        Some((writer, serde_json::from_str(&text).unwrap_or_default()))
    };
    keys().into_iter().filter_map(read).collect()
}

/// What earlier builds kept here: names and texts.
pub fn earlier() -> Vec<(String, String)> {
    let read = |key: String| {
        let ours = key.starts_with(SETTING) || key.starts_with(LAST_WORD) || key == "probe";
        let text = area()?.get_item(&format!("{PREFIX}{key}")).ok()??;
        (!ours).then_some((key, text))
    };
    keys().into_iter().filter_map(read).collect()
}

/// Forgets what has been taken over.
pub fn forget_earlier(name: &str) {
    if let Some(area) = area() {
        let _ = area.remove_item(&format!("{PREFIX}{name}"));
    }
}

/// Every key of ours, without what they begin with.
fn keys() -> Vec<String> {
    let Some(area) = area() else {
        return Vec::new();
    };
    let count = area.length().unwrap_or(0);
    (0..count)
        .filter_map(|at| area.key(at).ok()?)
        .filter_map(|key| key.strip_prefix(PREFIX).map(String::from))
        .collect()
}

/// A record of an earlier build: its body, or none when it is no such record.
pub fn earlier_body(text: &str) -> Option<String> {
    #[derive(Deserialize)]
    struct Stored {
        #[expect(dead_code, reason = "a record without it is none")]
        revision: u64,
        body: String,
    }
    serde_json::from_str::<Stored>(text).ok().map(|s| s.body)
}
