//! Work kept in the browser. Each place holds a revision, so that a tab never overwrites what
//! another has saved since: it goes on in a copy and says so. Which copy a tab is at outlives a
//! reload; every copy can be opened from any tab.
use serde::{Deserialize, Serialize};
use std::cell::RefCell;
use std::collections::BTreeMap;

const PREFIX: &str = "handstand/1/";
/// Between a slot's name and a copy's.
const COPY: char = '~';

#[derive(Serialize, Deserialize)]
struct Stored {
    revision: u64,
    body: String,
}

/// What became of a save.
#[derive(Debug, PartialEq, Eq)]
pub enum Saved {
    /// Kept where it belongs.
    Here,
    /// Another tab had saved there since: kept as a copy instead.
    Copy,
    /// Not kept: storage is denied or full.
    Not(Why),
}

/// Why nothing is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    Denied,
    Full,
}

thread_local! {
    // The revision of each name as this tab last read or wrote it.
    static SEEN: RefCell<BTreeMap<String, u64>> = const { RefCell::new(BTreeMap::new()) };
    // Where this tab is at, slot by slot, should the browser keep nothing for the tab itself.
    static AT: RefCell<BTreeMap<String, String>> = const { RefCell::new(BTreeMap::new()) };
}

fn area() -> Option<web_sys::Storage> {
    leptos::prelude::window().local_storage().ok().flatten()
}

fn area_of_tab() -> Option<web_sys::Storage> {
    leptos::prelude::window().session_storage().ok().flatten()
}

/// The name this tab keeps a slot's work under: the slot's own, or a copy's.
pub fn name_of(slot: &str) -> String {
    AT.with_borrow(|at| at.get(slot).cloned())
        .or_else(|| area_of_tab()?.get_item(&format!("{PREFIX}{slot}")).ok()?)
        .unwrap_or_else(|| slot.into())
}

/// This tab goes on with what is kept under `name`.
pub fn go_on_with(slot: &str, name: &str) {
    AT.with_borrow_mut(|at| at.insert(slot.into(), name.into()));
    if let Some(area) = area_of_tab() {
        let _ = area.set_item(&format!("{PREFIX}{slot}"), name);
    }
}

/// All names that hold work of a slot, its own first.
pub fn names_of(slot: &str) -> Vec<String> {
    let Some(area) = area() else {
        return Vec::new();
    };
    let mut names: Vec<String> = (0..area.length().unwrap_or(0))
        .filter_map(|i| area.key(i).ok()?)
        .filter_map(|key| key.strip_prefix(PREFIX).map(String::from))
        .filter(|name| name == slot || name.strip_prefix(slot).is_some_and(|n| n.starts_with(COPY)))
        .collect();
    names.sort();
    names
}

/// Whether the browser lets us keep anything.
pub fn available() -> bool {
    let Some(area) = area() else { return false };
    let key = format!("{PREFIX}probe");
    let kept = area.set_item(&key, "1").is_ok();
    let _ = area.remove_item(&key);
    kept
}

fn get(name: &str) -> Option<Stored> {
    let text = area()?.get_item(&format!("{PREFIX}{name}")).ok()??;
    serde_json::from_str(&text).ok()
}

/// What is kept of a slot, as far as this tab is concerned.
pub fn load(slot: &str) -> Option<String> {
    let name = name_of(slot);
    let stored = get(&name)?;
    SEEN.with_borrow_mut(|seen| seen.insert(name, stored.revision));
    Some(stored.body)
}

/// Keeps `body`.
pub fn save(slot: &str, body: &str) -> Saved {
    let Some(area) = area() else {
        return Saved::Not(Why::Denied);
    };
    let mut name = name_of(slot);
    let there = get(&name);
    let seen = SEEN.with_borrow(|seen| seen.get(&name).copied().unwrap_or(0));
    let mut revision = there.as_ref().map_or(0, |t| t.revision) + 1;
    let copied = there.is_some_and(|t| t.revision != seen && t.body != body);
    if copied {
        name = format!("{slot}{COPY}{:x}", (js_sys::Math::random() * 9e15) as u64);
        revision = 1;
    }
    let stored = Stored {
        revision,
        body: body.into(),
    };
    let Ok(text) = serde_json::to_string(&stored) else {
        return Saved::Not(Why::Full);
    };
    if area.set_item(&format!("{PREFIX}{name}"), &text).is_err() {
        return Saved::Not(Why::Full);
    }
    SEEN.with_borrow_mut(|seen| seen.insert(name.clone(), revision));
    if copied {
        go_on_with(slot, &name);
        Saved::Copy
    } else {
        Saved::Here
    }
}

/// A small setting, last writer wins.
pub fn setting(name: &str) -> Option<String> {
    area()?.get_item(&format!("{PREFIX}set/{name}")).ok()?
}

/// Keeps a small setting.
pub fn set_setting(name: &str, value: &str) {
    if let Some(area) = area() {
        let _ = area.set_item(&format!("{PREFIX}set/{name}"), value);
    }
}
