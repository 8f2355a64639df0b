//! The browser's small synchronous stores: settings; a page's last word, written as it goes away,
//! when nothing slower would be heard; and what earlier builds kept there.
use web_sys::Storage;
use workbook::last_word::{LastWord, words};

const PREFIX: &str = "handstand/1/";
const SETTING: &str = "set/";
const LAST_WORD: &str = "last/";
/// Copies of one setting that are set aside, at most and one.
const ASIDE: u32 = 100;

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

/// Keeps what must not be lost unsaid. Whether it lies there now.
pub fn put_setting(name: &str, value: &str) -> bool {
    set_setting(name, value);
    setting(name).as_deref() == Some(value)
}

/// Whether a key of the store is this setting's.
pub fn is_setting(key: &str, name: &str) -> bool {
    let key = key.strip_prefix(PREFIX);
    key.and_then(|key| key.strip_prefix(SETTING)) == Some(name)
}

/// Moves a setting that nobody understands to a free name beside its own. Whether it lies there now;
/// if not, it is left where it was.
pub fn put_aside(name: &str, value: &str) -> bool {
    let mut names = (1..ASIDE).map(|at| format!("{name}~aside-{at}"));
    let Some(free) = names.find(|name| setting(name).is_none()) else {
        return false;
    };
    let kept = put_setting(&free, value);
    if kept && let Some(area) = area() {
        let _ = area.remove_item(&format!("{PREFIX}{SETTING}{name}"));
    }
    kept
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

/// A small setting of this tab alone, reloads included.
pub fn setting_of_tab(name: &str) -> Option<String> {
    area_of_tab()?
        .get_item(&format!("{PREFIX}{SETTING}{name}"))
        .ok()?
}

/// Keeps it.
pub fn set_setting_of_tab(name: &str, value: &str) {
    if let Some(area) = area_of_tab() {
        let _ = area.set_item(&format!("{PREFIX}{SETTING}{name}"), value);
    }
}

/// The page that was in this tab before, by the number it drew.
pub fn page_of_tab() -> Option<String> {
    setting_of_tab("page")
}

/// This tab's next page will want to know which it follows.
pub fn set_page_of_tab(page: &str) {
    set_setting_of_tab("page", page);
}

/// Leaves a page's last words for whoever comes next; none takes them back. Whether they are there.
pub fn leave(writer: &str, words: &[LastWord]) -> bool {
    let Some(area) = area() else { return false };
    let key = format!("{PREFIX}{LAST_WORD}{writer}");
    if words.is_empty() {
        return area.remove_item(&key).is_ok();
    }
    serde_json::to_string(words).is_ok_and(|text| area.set_item(&key, &text).is_ok())
}

/// What a page had still to say, and as what text it lies there.
pub struct LastWords {
    pub writer: String,
    pub words: Vec<LastWord>,
    text: String,
}

/// All last words. Those that cannot be understood, a newer build's perhaps, are left to it.
pub fn last_words() -> Vec<LastWords> {
    let read = |key: String| {
        let writer = key.strip_prefix(LAST_WORD)?.to_string();
        let text = area()?.get_item(&format!("{PREFIX}{key}")).ok()??;
        let words = words(&text)?;
        Some(LastWords {
            writer,
            words,
            text,
        })
    };
    keys().into_iter().filter_map(read).collect()
}

/// Takes away last words that were heard, unless their page has come back and said others.
pub fn forget_last_words(heard: &LastWords) {
    let Some(area) = area() else { return };
    let key = format!("{PREFIX}{LAST_WORD}{}", heard.writer);
    if area.get_item(&key).ok().flatten().as_ref() == Some(&heard.text) {
        let _ = area.remove_item(&key);
    }
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
