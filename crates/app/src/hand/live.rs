//! A survey kept up with the hand on the plate: a few milliseconds each frame, coarse to fine.
use crate::session::Session;
use hand::survey::{Progress, Survey, Sweep};
use leptos::prelude::*;
use rig::{Document, Posed, Rig, Shared};
use std::sync::Arc;

/// Values along each side of the map.
const VALUES: usize = 61;
/// What a frame gives the survey, ms: the plate needs the rest.
const BUDGET: f64 = 7.0;
/// Cells between two looks at the clock.
const STRIDE: usize = 48;
/// Work shorter than this shows no progress, ms.
const QUIET: f64 = 100.0;

/// Where each press dial is surveyed while the map shows the ground near neutral.
const NEAR: [(&str, f64, f64); 4] = [
    ("lift", -15.0, 60.0),
    ("roll", -30.0, 60.0),
    ("lean", -15.0, 15.0),
    ("twist", -10.0, 10.0),
];

/// What is surveyed.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// Names of the dials across and up.
    pub across: String,
    pub up: String,
    /// The dials' whole ranges, not the ground near neutral.
    pub whole: bool,
}

/// How far it is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum State {
    #[default]
    Done,
    /// The part measured, once it has taken long enough to say so.
    Measuring(Option<f64>),
    /// Left off by the reader.
    Stopped,
}

/// The live survey. Copy: a bundle of signals.
#[derive(Clone, Copy)]
pub struct Live {
    pub wanted: RwSignal<Wanted>,
    /// What is known so far.
    pub shown: RwSignal<Option<Arc<Survey>>>,
    pub state: RwSignal<State>,
    /// Why nothing can be surveyed.
    pub fault: RwSignal<Option<String>>,
    work: StoredValue<Option<Work>, LocalStorage>,
}

struct Work {
    progress: Progress,
    rig: Shared<Rig>,
    wanted: Wanted,
    begun: f64,
}

impl Live {
    pub fn new(session: Session) -> Self {
        let live = Self {
            wanted: RwSignal::new(Wanted {
                across: "lift".into(),
                up: "lean".into(),
                whole: false,
            }),
            shown: RwSignal::new(None),
            state: RwSignal::new(State::Done),
            fault: RwSignal::new(None),
            work: StoredValue::new_local(None),
        };
        Effect::new(move || {
            live.wanted.track();
            session.stage.track();
            untrack(|| live.follow(session));
        });
        live
    }

    /// Begins anew when what is shown is out of date.
    fn follow(self, session: Session) {
        let wanted = self.wanted.get();
        session.stage.with(|stage| {
            let posed = stage.posed();
            let is_of =
                |work: &Option<Work>| work.as_ref().is_some_and(|w| w.is_of(posed, &wanted));
            if !self.work.with_value(is_of) {
                self.begin(posed, wanted);
            }
        });
    }

    fn begin(self, posed: &Posed, wanted: Wanted) {
        let document = posed.document();
        let made = sweep(document, &wanted.across, wanted.whole)
            .zip(sweep(document, &wanted.up, wanted.whole))
            .ok_or_else(|| "This hand has no press dials to survey.".to_string())
            .and_then(|(across, up)| {
                Progress::new(posed, across, up).map_err(|f| format!("{}; {}.", f.what, f.mend))
            });
        match made {
            Ok(progress) => {
                // One frame is asked for at a time.
                let waiting = matches!(self.state.get(), State::Measuring(_));
                self.work.set_value(Some(Work {
                    progress,
                    rig: posed.rig().clone(),
                    wanted,
                    begun: now(),
                }));
                self.fault.set(None);
                self.state.set(State::Measuring(None));
                if !waiting {
                    request_animation_frame(move || self.measure());
                }
            }
            Err(why) => {
                self.work.set_value(None);
                self.shown.set(None);
                self.state.set(State::Done);
                self.fault.set(Some(why));
            }
        }
    }

    /// One frame's work.
    fn measure(self) {
        // The page may be gone, or the reader may have stopped it.
        if !matches!(self.state.try_get_untracked(), Some(State::Measuring(_))) {
            return;
        }
        let until = now() + BUDGET;
        let mut outcome = None;
        self.work.update_value(|work| {
            let Some(work) = work else { return };
            let mut done = false;
            while !done && now() < until {
                done = work.progress.step(STRIDE);
            }
            let survey = work.progress.survey();
            let part = work.progress.measured() as f64 / survey.cells.len() as f64;
            let slow = now() - work.begun > QUIET;
            outcome = Some((done, Arc::new(survey.clone()), slow.then_some(part)));
        });
        let Some((done, survey, part)) = outcome else {
            self.state.set(State::Done);
            return;
        };
        self.shown.set(Some(survey));
        self.state.set(if done {
            State::Done
        } else {
            State::Measuring(part)
        });
        if !done {
            request_animation_frame(move || self.measure());
        }
    }

    /// Leaves off; what is known stays.
    pub fn stop(self) {
        self.state.set(State::Stopped);
    }

    /// Goes on after [`stop`](Self::stop).
    pub fn go_on(self) {
        self.state.set(State::Measuring(None));
        request_animation_frame(move || self.measure());
    }
}

impl Work {
    /// Whether this survey is of the rig as it stands, but for the two dials it sweeps.
    fn is_of(&self, posed: &Posed, wanted: &Wanted) -> bool {
        self.wanted == *wanted
            && self.rig.is_same(posed.rig())
            && self.progress.survey().is_of(posed)
    }
}

/// A dial's sweep, within its limits.
fn sweep(document: &Document, name: &str, whole: bool) -> Option<Sweep> {
    let dial = document.dial_named(name)?;
    let near = NEAR.iter().find(|(of, ..)| *of == name);
    let (from, to) = match near.filter(|_| !whole) {
        Some(&(_, from, to)) => (from.max(dial.min), to.min(dial.max)),
        None => (dial.min, dial.max),
    };
    Some(Sweep {
        dial: dial.id,
        from,
        to,
        count: VALUES,
    })
}

fn now() -> f64 {
    window().performance().map_or(0.0, |p| p.now())
}
