//! The search for the axis of greatest safe lift, in a worker, while somebody looks at it.
use super::surveyor::Surveyor;
use crate::state::Shell;
use hand::survey::Tolerance;
use hand::{Pivot, Recipe};
use leptos::prelude::*;
use survey_job::{Answer, Found, Lane, Question};

/// The search. Copy: a bundle of signals.
#[derive(Clone, Copy)]
pub struct AxisSearch {
    /// For this hand, wherever its pivot is now; the last one's while it is looked for.
    pub found: RwSignal<Option<Found>>,
    pub busy: RwSignal<bool>,
    /// How many parts of the page look at it.
    pub readers: RwSignal<u32>,
    /// Who searches, and answers what else is asked of a hand as built.
    pub surveyor: Surveyor,
    asked: StoredValue<Option<Asked>>,
}

/// The hand as built, at a tolerance: neither the press dials nor its pivot have a say.
type Asked = (Recipe, Tolerance);

impl AxisSearch {
    pub fn new(shell: Shell, recipe: Memo<Option<Recipe>>) -> Self {
        let search = Self {
            found: RwSignal::new(None),
            busy: RwSignal::new(false),
            readers: RwSignal::new(0),
            surveyor: Surveyor::new(),
            asked: StoredValue::new(None),
        };
        Effect::new(move || {
            let mut asked = recipe.get().map(|recipe| (recipe, shell.tolerance.get()));
            if let Some(planting) = asked.as_mut().and_then(|(r, _)| r.planting.as_mut()) {
                planting.pivot = Pivot::default();
            }
            if search.readers.get() > 0 {
                untrack(|| search.begin(asked));
            }
        });
        search
    }

    /// This part of the page looks at what is found, until it is gone.
    pub fn read(self) {
        self.readers.update(|n| *n += 1);
        on_cleanup(move || {
            let _ = self.readers.try_update(|n| *n -= 1);
        });
    }

    fn begin(self, asked: Option<Asked>) {
        if asked.is_some() && self.asked.with_value(|last| *last == asked) {
            return;
        }
        self.asked.set_value(asked.clone());
        self.busy.set(asked.is_some());
        let Some((recipe, tolerance)) = asked else {
            self.surveyor.leave(Lane::Seek);
            self.found.set(None);
            return;
        };
        let question = Question::Seek {
            recipe: Box::new(recipe),
            tolerance,
        };
        self.surveyor.ask(question, move |reply| {
            if reply.done {
                self.found.set(match reply.answer {
                    Answer::Seek(found) => Some(found),
                    _ => None,
                });
                self.busy.set(false);
            }
        });
    }
}
