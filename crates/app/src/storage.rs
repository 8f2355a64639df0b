//! Work kept in the browser. Each slot carries the tab that wrote it and a revision, so that
//! a tab never overwrites what another has saved since: it moves to a copy and says so.
use serde::{Deserialize, Serialize};
use std::cell::RefCell;
use std::collections::BTreeMap;

const PREFIX: &str = "handstand/1/";

#[derive(Serialize, Deserialize)]
struct Kept {
    revision: u64,
    tab: String,
    body: String,
}

/// What became of a save.
#[derive(Debug, PartialEq, Eq)]
pub enum Saved {
    /// Kept where it belongs.
    Here,
    /// Another tab had saved there since; kept under this name instead.
    Copy(String),
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
    // The revision of each slot as this tab last read or wrote it, and where this tab's copy went.
    static SEEN: RefCell<BTreeMap<String, u64>> = const { RefCell::new(BTreeMap::new()) };
    static MOVED: RefCell<BTreeMap<String, String>> = const { RefCell::new(BTreeMap::new()) };
    static TAB: String = format!("{:x}", (js_sys::Math::random() * 9e15) as u64);
}

fn area() -> Option<web_sys::Storage> {
    leptos::prelude::window().local_storage().ok().flatten()
}

/// Whether the browser lets us keep anything.
pub fn available() -> bool {
    let Some(area) = area() else { return false };
    let key = format!("{PREFIX}probe");
    let kept = area.set_item(&key, "1").is_ok();
    let _ = area.remove_item(&key);
    kept
}

fn get(slot: &str) -> Option<Kept> {
    let text = area()?.get_item(&format!("{PREFIX}{slot}")).ok()??;
    serde_json::from_str(&text).ok()
}

/// What is kept in a slot.
pub fn load(slot: &str) -> Option<String> {
    let slot = MOVED
        .with_borrow(|moved| moved.get(slot).cloned())
        .unwrap_or_else(|| slot.into());
    let kept = get(&slot)?;
    SEEN.with_borrow_mut(|seen| seen.insert(slot, kept.revision));
    Some(kept.body)
}

/// Keeps `body`.
pub fn save(slot: &str, body: &str) -> Saved {
    let Some(area) = area() else {
        return Saved::Not(Why::Denied);
    };
    let tab = TAB.with(Clone::clone);
    let mut name = MOVED
        .with_borrow(|moved| moved.get(slot).cloned())
        .unwrap_or_else(|| slot.into());
    let mut moved = false;
    let there = get(&name);
    let seen = SEEN
        .with_borrow(|seen| seen.get(&name).copied())
        .unwrap_or(0);
    let mut revision = seen;
    if let Some(there) = &there
        && there.tab != tab
        && there.revision != seen
        && there.body != body
    {
        name = format!("{slot}~{tab}");
        MOVED.with_borrow_mut(|m| m.insert(slot.into(), name.clone()));
        moved = true;
        revision = 0;
    }
    revision = revision.max(there.map_or(0, |t| t.revision)) + 1;
    let kept = Kept {
        revision,
        tab,
        body: body.into(),
    };
    let Ok(text) = serde_json::to_string(&kept) else {
        return Saved::Not(Why::Full);
    };
    if area.set_item(&format!("{PREFIX}{name}"), &text).is_err() {
        return Saved::Not(Why::Full);
    }
    SEEN.with_borrow_mut(|seen| seen.insert(name.clone(), revision));
    if moved {
        Saved::Copy(name)
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
