//! Sentences for the reader. Each leaves when what it speaks of has passed.
use crate::route::Route;
use crate::session::Session;
use leptos::prelude::*;

/// A sentence for the reader, with what can be done about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Notice {
    pub id: u32,
    pub text: String,
    pub mend: String,
    until: Until,
    /// Where it was said.
    at: Route,
}

/// What ends it, other than closing it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Until {
    /// The next act that succeeds, here or elsewhere: a refusal is answered by then.
    NextAct,
    /// Leaving the place that it speaks of.
    Leaving,
    /// Work being kept again.
    KeptAgain,
}

/// What has happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Passed {
    Act,
    Arrived(Route),
    KeptAgain,
}

impl Notice {
    fn stands(&self, after: Passed) -> bool {
        match (self.until, after) {
            (Until::KeptAgain, Passed::KeptAgain) | (Until::NextAct, Passed::Act) => false,
            (Until::NextAct | Until::Leaving, Passed::Arrived(route)) => route == self.at,
            _ => true,
        }
    }
}

impl Session {
    /// Says something about the last act.
    pub fn notice(&self, text: impl Into<String>, mend: impl Into<String>) {
        self.notice_until(Until::NextAct, text, mend);
    }

    /// Says something; two of the same text do not pile up.
    pub fn notice_until(&self, until: Until, text: impl Into<String>, mend: impl Into<String>) {
        let (text, mend) = (sentence(&text.into()), sentence(&mend.into()));
        let at = self.route.get_untracked();
        self.notices.update(|all| {
            // One refusal at a time: the last is the one to answer.
            all.retain(|n| n.text != text && (n.until != until || until != Until::NextAct));
            let id = all.iter().map(|n| n.id + 1).max().unwrap_or(0);
            all.push(Notice {
                id,
                text,
                mend,
                until,
                at,
            });
        });
    }

    /// Takes away what has been overtaken.
    pub fn pass(&self, passed: Passed) {
        if self
            .notices
            .with_untracked(|all| all.iter().any(|n| !n.stands(passed)))
        {
            self.notices.update(|all| all.retain(|n| n.stands(passed)));
        }
    }
}

/// A clause as a sentence. A file's name at its beginning keeps its own letters.
fn sentence(text: &str) -> String {
    let first_word = text.split([' ', ':']).next().unwrap_or_default();
    let is_file = first_word.trim_end_matches('.').contains('.');
    let mut letters = text.chars();
    let Some(first) = letters.next() else {
        return String::new();
    };
    let stop = if text.ends_with(['.', '!', '?']) {
        ""
    } else {
        "."
    };
    if is_file {
        return format!("{text}{stop}");
    }
    format!("{}{}{stop}", first.to_uppercase(), letters.as_str())
}

/// The notices, newest last.
#[component]
pub fn Notices() -> impl IntoView {
    let session = crate::session::session();
    view! {
        <div class="notices" role="alert">
            <For each=move || session.notices.get() key=|n| (n.id, n.text.clone()) let:notice>
                <div class="notice">
                    <p>
                        <b>{notice.text.clone()}</b>
                        " "
                        {notice.mend.clone()}
                    </p>
                    <button
                        aria-label="Close this notice"
                        on:click=move |_| session.notices.update(|all| all.retain(|n| n.id != notice.id))
                    >
                        "Close"
                    </button>
                </div>
            </For>
        </div>
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hand::Example;

    #[test]
    fn n1_a_notice_leaves_when_its_subject_has_passed() {
        let (here, there) = (Route::Sketch, Route::Hand(Example::default()));
        let notice = |until| Notice {
            id: 0,
            text: String::new(),
            mend: String::new(),
            until,
            at: here,
        };
        let after = |until| {
            [
                Passed::Act,
                Passed::Arrived(here),
                Passed::Arrived(there),
                Passed::KeptAgain,
            ]
            .map(|passed| notice(until).stands(passed))
        };
        assert_eq!(after(Until::NextAct), [false, true, false, true]);
        assert_eq!(after(Until::Leaving), [true, true, false, true]);
        assert_eq!(after(Until::KeptAgain), [true, true, true, false]);
    }

    #[test]
    fn clauses_become_sentences() {
        assert_eq!(sentence("no such dial"), "No such dial.");
        assert_eq!(sentence("mine.hand.json: bad"), "mine.hand.json: bad.");
        assert_eq!(sentence(""), "");
    }
}
