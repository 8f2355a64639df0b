//! The user's own gestures, in local storage: one text for all tabs, read anew before each change.
use super::local::{self, put_aside, put_setting, setting};
use hand::gesture::Gesture;
use std::cell::RefCell;
use workbook::gallery;

/// Where they are.
const NAME: &str = "gestures";

thread_local! {
    /// Those that the browser did not take: they are there until the page goes.
    static UNKEPT: RefCell<Vec<Gesture>> = const { RefCell::new(Vec::new()) };
}

/// How it stands with the store.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kept {
    Well,
    /// What lay there could not be read and was moved aside.
    Aside,
    /// The browser takes nothing; they are kept in this page alone.
    NotAtAll,
}

/// The user's own gestures.
pub fn gestures() -> (Vec<Gesture>, Kept) {
    let (mut all, how) = stored();
    UNKEPT.with_borrow(|unkept| {
        let new = |one: &&Gesture| all.iter().all(|known| known.name != one.name);
        let more: Vec<_> = unkept.iter().filter(new).cloned().collect();
        all.extend(more);
    });
    (all, how)
}

/// Changes them, and what other tabs list with the next look; gives what they are then.
pub fn change_gestures(
    change: impl FnOnce(&mut Vec<Gesture>) -> Result<(), String>,
) -> Result<(Vec<Gesture>, Kept), String> {
    let (mut all, how) = gestures();
    change(&mut all)?;
    let kept = how != Kept::NotAtAll && put_setting(NAME, &gallery::write(&all));
    UNKEPT.set(if kept { Vec::new() } else { all.clone() });
    Ok((all, if kept { how } else { Kept::NotAtAll }))
}

/// Whether a key of the store is where they are.
pub fn is_gestures(key: &str) -> bool {
    local::is_setting(key, NAME)
}

fn stored() -> (Vec<Gesture>, Kept) {
    let Some(text) = setting(NAME) else {
        return (Vec::new(), Kept::Well);
    };
    match gallery::read(&text) {
        Some(known) => (known, Kept::Well),
        None if put_aside(NAME, &text) => (Vec::new(), Kept::Aside),
        None => (Vec::new(), Kept::NotAtAll),
    }
}
