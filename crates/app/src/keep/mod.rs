//! Work kept in the browser.
//!
//! Each place (a *slot*: a step of a lesson, a hand, the sketch) has a record in IndexedDB, and
//! copies beside it. A change is written within a second, by one writer at a time, in a durable
//! transaction that first looks whether another tab has written since; if so, this page goes on in
//! a copy. What a page had not written when it went away it leaves as a last word in local storage.
//! Nothing that cannot be read is written over: it is set aside.
mod database;
mod gestures;
mod local;
mod opening;
mod page;
mod reading;
mod writer;

pub use gestures::{Kept, change_gestures, gestures, is_gestures};
pub use local::{set_setting, set_setting_of_tab, setting, setting_of_tab};
pub use opening::is_ready;
pub use reading::{Found, Listed, copies, copy_text, load};
pub use writer::{Outcome, ask, ask_copy, leave_last_words, take_back_last_words, write};
