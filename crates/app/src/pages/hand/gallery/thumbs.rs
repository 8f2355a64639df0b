//! Gestures drawn small on the present hand: once for a recipe, a few at a time, and never while
//! the figure moves.
use super::super::edits::recipe;
use crate::browser::now;
use crate::state::OnStage;
use hand::Recipe;
use hand::gesture::Gesture;
use leptos::prelude::*;
use rig::Posed;
use std::time::Duration;
use workbook::gallery::{free, small};

/// A hand that has stood for so long rests, ms.
const REST: f64 = 150.0;
/// A step begins no other drawing after so long, ms: one takes about a ms or two.
const STEP: f64 = 5.0;
/// Between one step and the next a frame goes by.
const BETWEEN: Duration = Duration::from_millis(12);

/// What is drawn; the page keeps it whatever face it shows.
#[derive(Clone, Copy)]
pub struct Thumbs {
    recipe: Memo<Option<Recipe>>,
    drawn: RwSignal<Vec<Drawn>>,
    work: StoredValue<Work>,
}

#[derive(Clone)]
struct Drawn {
    gesture: Gesture,
    /// Of which hand: another number for another recipe.
    of: u32,
    inside: String,
}

#[derive(Default)]
struct Work {
    wanted: Vec<Gesture>,
    of: u32,
    /// The hand that is drawn, once it is built; `Some(None)` where none can be.
    free: Option<Option<Posed>>,
    /// When the figure moved last, ms.
    moved: f64,
    goes: bool,
}

/// The same shape, whatever it is called.
fn alike(a: &Gesture, b: &Gesture) -> bool {
    a.fingers == b.fingers && a.thumb == b.thumb
}

impl Thumbs {
    pub fn new(stage: OnStage) -> Self {
        let thumbs = Self {
            recipe: recipe(stage),
            drawn: RwSignal::default(),
            work: StoredValue::new(Work::default()),
        };
        Effect::new(move || {
            stage.track();
            thumbs.work.update_value(|work| work.moved = now());
        });
        Effect::new(move || {
            thumbs.recipe.track();
            thumbs.work.update_value(|work| {
                work.of += 1;
                work.free = None;
            });
            thumbs.go();
        });
        thumbs
    }

    /// These are to be drawn; none while nobody looks.
    pub fn want(self, gestures: Vec<Gesture>) {
        let _ = self.work.try_update_value(|work| work.wanted = gestures);
        self.go();
    }

    /// What is inside a gesture's SVG; another hand's until this one's is drawn.
    pub fn inside(self, gesture: &Gesture) -> String {
        self.drawn.with(|all| {
            let found = all.iter().find(|drawn| alike(&drawn.gesture, gesture));
            found.map_or_else(String::new, |drawn| drawn.inside.clone())
        })
    }

    fn go(self) {
        let went = self.work.try_update_value(|work| {
            let went = work.goes;
            work.goes = true;
            went
        });
        if went == Some(false) {
            set_timeout(move || self.step(), BETWEEN);
        }
    }

    /// Timers may come after the page has gone.
    fn step(self) {
        let Some(moved) = self.work.try_with_value(|work| work.moved) else {
            return;
        };
        let begun = now();
        if begun - moved < REST {
            set_timeout(move || self.step(), Duration::from_millis(REST as u64));
            return;
        }
        let mut made = Vec::new();
        let more = loop {
            match self.draw_next(&made) {
                Next::Drawn(drawn) => made.push(drawn),
                Next::Built => break true,
                Next::Done => break false,
            }
            if now() - begun > STEP {
                break true;
            }
        };
        if !made.is_empty() {
            self.drawn.update(|all| {
                for new in made {
                    all.retain(|old| !alike(&old.gesture, &new.gesture));
                    all.push(new);
                }
            });
        }
        self.work.update_value(|work| work.goes = more);
        if more {
            set_timeout(move || self.step(), BETWEEN);
        }
    }

    fn draw_next(self, made: &[Drawn]) -> Next {
        let done = |gesture: &Gesture, of: u32| {
            let same = |drawn: &Drawn| drawn.of == of && alike(&drawn.gesture, gesture);
            made.iter().any(same) || self.drawn.with_untracked(|all| all.iter().any(same))
        };
        let mut next = Next::Done;
        self.work.update_value(|work| {
            let of = work.of;
            let Some(gesture) = work.wanted.iter().find(|wanted| !done(wanted, of)) else {
                return;
            };
            let Some(hand) = &work.free else {
                let built = self.recipe.with_untracked(|r| r.as_ref().and_then(free));
                work.free = Some(built);
                next = Next::Built;
                return;
            };
            let inside = hand.as_ref().map(|hand| small(hand, gesture));
            next = Next::Drawn(Drawn {
                gesture: gesture.clone(),
                of,
                inside: inside.unwrap_or_default(),
            });
        });
        next
    }
}

enum Next {
    Drawn(Drawn),
    /// The hand, which takes a step for itself.
    Built,
    Done,
}
