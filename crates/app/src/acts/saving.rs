//! When work is kept: within a moment of every change, however long the changing goes on, and when
//! the page goes away.
use crate::keep::{self, Outcome};
use crate::state::{Place, Session};
use crate::timing::timed;
use leptos::ev;
use leptos::prelude::*;
use rig::Document;
use std::time::Duration;
use wasm_bindgen_futures::spawn_local;
use workbook::notice::{Passed, Until};
use workbook::unkept::Why;

/// From a change to its being written, at the latest. Well under the second that is promised, since
/// the writing itself takes time on a busy machine.
const SOON: Duration = Duration::from_millis(300);
/// From a failure to the next try.
const AGAIN: Duration = Duration::from_secs(3);

/// Begins to keep what is done.
pub fn keep_saving(session: Session) {
    let waiting = StoredValue::new(false);
    Effect::new(move |first: Option<()>| {
        session.stage.track();
        // Not put off by further changes: a long drag is kept while it goes on.
        if first.is_none() || waiting.get_value() {
            return;
        }
        waiting.set_value(true);
        set_timeout(
            move || {
                waiting.set_value(false);
                session.save();
            },
            SOON,
        );
    });
    let hides = window_event_listener(ev::pagehide, move |e| {
        session.note_work();
        let left = keep::leave_last_words();
        // A page that is being frozen would hold the database shut for all others, whether it opens
        // it or writes to it; if it comes back, it writes then.
        if keep::is_ready() && !(left && e.persisted()) {
            session.write();
        }
    });
    // Brought back from the browser's memory.
    let shows = window_event_listener_untyped("pageshow", move |_| {
        keep::take_back_last_words();
        session.write();
    });
    let hidden = document().clone();
    let visibility = move |_: web_sys::Event| {
        if hidden.hidden() {
            session.save();
        }
    };
    let turns = window_event_listener_untyped("visibilitychange", visibility);
    // Another tab may have kept a copy meanwhile.
    let looks = window_event_listener(ev::focus, move |_| {
        session.keeping.look_for_copies();
    });
    on_cleanup(move || {
        hides.remove();
        shows.remove();
        turns.remove();
        looks.remove();
    });
}

impl Session {
    /// Keeps the document on the plate, if it is not kept as it is.
    pub fn save(&self) {
        timed("save", || {
            if self.note_work() {
                self.write();
            }
        });
    }

    /// Asks for what is on the plate to be kept. Whether there was something to ask for.
    fn note_work(&self) -> bool {
        let Some(Place { slot, body: known }) = self.keeping.place.get_untracked() else {
            return false;
        };
        let body = self.stage.with_untracked(|h| rig::write(h.document()));
        if known.as_ref() == Some(&body) {
            return false;
        }
        keep::ask(&slot, body.clone());
        self.keeping.place.set(Some(Place {
            slot,
            body: Some(body),
        }));
        true
    }

    /// Puts another document in this place, as one step to undo; what stood here is kept as a copy
    /// under that label as well.
    pub fn replace(&self, document: Document, label: &str) {
        let lost = self.stage.with_untracked(|h| {
            let document = h.document();
            (!document.nodes.is_empty()).then(|| rig::write(document))
        });
        if self.swap(document, label)
            && let Some(lost) = lost
        {
            self.keep_copy(lost, &format!("before '{label}'"));
        }
    }

    /// Keeps a copy of what has been replaced.
    pub fn keep_copy(&self, body: String, label: &str) {
        if let Some(slot) = self.keeping.slot() {
            keep::ask_copy(&slot, body, label);
            self.write();
        }
    }

    fn write(self) {
        spawn_local(async move {
            keep::write(move |slot, outcome| self.heard(slot, outcome)).await;
        });
    }

    fn heard(&self, slot: &str, outcome: Outcome) {
        match outcome {
            Outcome::Kept => self.keeps_again(),
            Outcome::Copied => {
                self.keeps_again();
                self.keeping.look_for_copies();
            }
            Outcome::Beside => {
                self.keeps_again();
                self.kept_beside(slot);
                self.keeping.look_for_copies();
            }
            Outcome::Not(why) => self.nothing_kept(why),
        }
    }

    /// Says that other work has a place's name.
    pub fn kept_beside(&self, slot: &str) {
        let here = self.shell.route.get_untracked().slot().as_deref() == Some(slot);
        let text = if here {
            "Other work has been kept here meanwhile, so this tab's work is kept beside it."
        } else {
            "Other work has been kept where you were before, so this tab's work there is kept beside it."
        };
        self.shell.notice_until(
            Until::Leaving,
            text,
            "Nothing is overwritten, and 'Other copies' under the plate opens either from any tab.",
        );
    }

    fn keeps_again(&self) {
        if self.keeping.unkept.get_untracked().is_some() {
            self.keeping.unkept.set(None);
            self.shell.pass(Passed::KeptAgain);
            self.keeping.look_for_copies();
        }
        // What could not be read may be readable now.
        if self.keeping.unread.get_value() {
            self.keeping.unread.set_value(false);
            if self.stage.with_untracked(|h| h.undo_label().is_none()) {
                self.keeping.arrive_again.update(|n| *n += 1);
            }
        }
    }

    /// Says why nothing is kept, once, and tries again from time to time.
    pub fn nothing_kept(&self, why: Why) {
        let session = *self;
        if !self.keeping.retrying.get_value() {
            self.keeping.retrying.set_value(true);
            set_timeout(
                move || {
                    session.keeping.retrying.set_value(false);
                    session.write();
                },
                AGAIN,
            );
        }
        if self.keeping.unkept.get_untracked() == Some(why) {
            return;
        }
        self.keeping.unkept.set(Some(why));
        self.shell.pass(Passed::KeptAgain);
        let (text, mend) = why.told();
        self.shell.notice_until(Until::KeptAgain, text, mend);
    }
}
