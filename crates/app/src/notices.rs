//! Notices on the page.
use crate::session::Session;
use leptos::prelude::*;
use workbook::notice::{Notice, Passed, Until, sentence};

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
