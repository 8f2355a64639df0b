//! What this page knows of itself: its number, the names it keeps places under, and what it has seen
//! lie there.
use super::local;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use workbook::record::{Origin, Record, Seen, belongs};

thread_local! {
    /// Places where this tab's last word came too late to stand under their own name.
    static BESIDE: RefCell<BTreeSet<String>> = const { RefCell::new(BTreeSet::new()) };
    /// What lay under each name when this page last read or wrote it.
    static SEEN: RefCell<BTreeMap<String, Seen>> = const { RefCell::new(BTreeMap::new()) };
    /// Where this page is at, should the browser keep nothing for the tab itself.
    static AT: RefCell<BTreeMap<String, String>> = const { RefCell::new(BTreeMap::new()) };
    /// Drawn when it was loaded: a page brought back from the browser's memory is the same.
    static PAGE: String = format!("{:x}", (js_sys::Math::random() * 9e15) as u64);
}

/// Its number.
pub fn page() -> String {
    PAGE.with(String::clone)
}

/// Tells names made in the same moment apart.
pub fn salt() -> u32 {
    (js_sys::Math::random() * f64::from(u32::MAX)) as u32
}

/// The name this page keeps a place's work under: the slot's own, or a copy's.
pub fn name_of(slot: &str) -> String {
    AT.with_borrow(|at| at.get(slot).cloned())
        .or_else(|| local::name_of_tab(slot))
        .filter(|name| belongs(name, slot))
        .unwrap_or_else(|| slot.into())
}

/// This page, and the tab, keep a place's work under that name from now on.
pub fn go_on_with(slot: &str, name: &str) {
    AT.with_borrow_mut(|at| at.insert(slot.into(), name.into()));
    local::set_name_of_tab(slot, name);
}

/// What lay under a name when this page last read or wrote it.
pub fn seen(name: &str) -> Seen {
    SEEN.with_borrow(|seen| seen.get(name).cloned().unwrap_or_default())
}

/// What lies under a name now.
pub fn note_seen(name: &str, seen: Seen) {
    SEEN.with_borrow_mut(|all| all.insert(name.into(), seen));
}

/// A record of this page's, of now.
pub fn record(body: String, origin: Origin, label: String) -> Record {
    Record {
        revision: 1,
        body,
        origin,
        label,
        at: js_sys::Date::now(),
        writer: page(),
    }
}

/// This tab's last word came too late to stand under the place's own name.
pub fn note_beside(slot: &str) {
    BESIDE.with_borrow_mut(|all| all.insert(slot.into()));
}

/// Whether it did; told once.
pub fn take_beside(slot: &str) -> bool {
    BESIDE.with_borrow_mut(|all| all.remove(slot))
}
