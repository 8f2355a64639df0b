//! The search for the axis of greatest safe lift, a few milliseconds each frame while somebody
//! looks at it.
use crate::session::Session;
use hand::advice::{Placed, Search};
use hand::{Pivot, Recipe};
use leptos::prelude::*;
use rig::Posed;

/// What a frame gives the search, ms.
const BUDGET: f64 = 6.0;

/// The search. Copy: a bundle of signals.
#[derive(Clone, Copy)]
pub struct Seek {
    /// For this hand, wherever its pivot is now; the last one's while it is looked for.
    pub found: RwSignal<Option<Placed>>,
    pub busy: RwSignal<bool>,
    /// How many parts of the page look at it.
    pub readers: RwSignal<u32>,
    work: StoredValue<Option<(Asked, Search)>, LocalStorage>,
}

/// The hand as built, at a tolerance: neither the press dials nor its pivot have a say.
type Asked = (Recipe, f64);

/// A recipe's hand, every press dial at zero.
pub fn built(recipe: &Recipe) -> Option<Posed> {
    let document = hand::document(recipe).ok()?;
    Posed::new(&document).ok()
}

impl Seek {
    pub fn new(session: Session, recipe: Memo<Option<Recipe>>) -> Self {
        let seek = Self {
            found: RwSignal::new(None),
            busy: RwSignal::new(false),
            readers: RwSignal::new(0),
            work: StoredValue::new_local(None),
        };
        Effect::new(move || {
            let mut asked = recipe.get().map(|recipe| (recipe, session.tolerance.get()));
            if let Some(planting) = asked.as_mut().and_then(|(r, _)| r.planting.as_mut()) {
                planting.pivot = Pivot::default();
            }
            if seek.readers.get() > 0 {
                untrack(|| seek.begin(asked));
            }
        });
        seek
    }

    /// This part of the page looks at what is found, until it is gone.
    pub fn read(self) {
        self.readers.update(|n| *n += 1);
        on_cleanup(move || {
            let _ = self.readers.try_update(|n| *n -= 1);
        });
    }

    fn begin(self, asked: Option<Asked>) {
        let same = |work: &Option<(Asked, Search)>| work.as_ref().map(|w| &w.0) == asked.as_ref();
        if asked.is_some() && self.work.with_value(same) {
            return;
        }
        let search = asked.and_then(|asked| {
            let posed = built(&asked.0)?;
            let search = Search::new(&posed, asked.1).ok()?;
            Some((asked, search))
        });
        let waiting = self.busy.get();
        self.busy.set(search.is_some());
        if search.is_none() {
            self.found.set(None);
        }
        self.work.set_value(search);
        if self.busy.get() && !waiting {
            request_animation_frame(move || self.look());
        }
    }

    fn look(self) {
        if self.busy.try_get_untracked() != Some(true) {
            return;
        }
        let now = || window().performance().map_or(0.0, |p| p.now());
        let until = now() + BUDGET;
        let mut done = None;
        self.work.update_value(|work| {
            let Some((_, search)) = work else { return };
            while done.is_none() && now() < until {
                done = search.step(1).then(|| search.best());
            }
        });
        match done {
            Some(found) => {
                self.found.set(Some(found));
                self.busy.set(false);
            }
            None => request_animation_frame(move || self.look()),
        }
    }
}
