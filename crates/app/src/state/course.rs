//! The lesson and what the reader has made of its step: changes with each step and try.
use crate::keep::{set_setting, setting};
use course::{Attempt, Grade, Lesson, Mark, Rung, Step, Truth, Verdict};
use leptos::prelude::*;
use rig::few;
use std::collections::BTreeSet;
use std::sync::Arc;
use workbook::lesson_name::LessonName;
use workbook::pencil::Pencil;
use workbook::per_step::PerStep;
use workbook::route::{Place, Route};

/// The course as signals.
#[derive(Clone, Copy)]
pub struct Course {
    pub lesson: RwSignal<Option<Arc<Lesson>>>,
    step: Memo<Option<Arc<Step>>>,
    pub attempt: RwSignal<Attempt>,
    pub pencil: RwSignal<Pencil>,
    pub truth: RwSignal<Option<(Truth, Verdict)>>,
    pub mark: RwSignal<Option<Mark>>,
    /// How much of what is amiss is told: a rung more with each wrong try.
    pub rung: RwSignal<Rung>,
    /// Whether the figure has changed since it was marked, or since what happens was seen.
    pub outdated: RwSignal<bool>,
    /// What was refused last of what is built, and its mend; it leaves with the next act that succeeds.
    pub refused: RwSignal<Option<String>>,
    /// Steps that are done, by their place's slot.
    pub done: RwSignal<BTreeSet<String>>,
}

impl Course {
    pub(super) fn new(route: RwSignal<Route>) -> Self {
        let lesson = RwSignal::new(None::<Arc<Lesson>>);
        let step = Memo::new(move |_| {
            let Route::Lesson {
                place: Place::Step(index),
                ..
            } = route.get()
            else {
                return None;
            };
            lesson.with(|l| Some(Arc::new(l.as_ref()?.steps.get(index)?.clone())))
        });
        Self {
            lesson,
            step,
            attempt: RwSignal::default(),
            pencil: RwSignal::default(),
            truth: RwSignal::new(None),
            mark: RwSignal::new(None),
            rung: RwSignal::new(Rung::Where),
            outdated: RwSignal::new(false),
            refused: RwSignal::new(None),
            done: RwSignal::new(done_kept()),
        }
    }

    /// The step shown, if one is.
    pub fn step(&self) -> Option<Arc<Step>> {
        self.step.get()
    }

    /// As [`step`](Self::step), read outside reactive code.
    pub fn step_now(&self) -> Option<Arc<Step>> {
        self.step.get_untracked()
    }

    /// Whether what happens has been shown beside the drawing.
    pub fn is_shown(&self) -> bool {
        self.truth.with(Option::is_some)
    }

    /// How many steps of a lesson are done.
    pub fn steps_done(&self, lesson: LessonName) -> usize {
        let prefix = format!("lesson-{}-", lesson.kept());
        let of_it = |slot: &&String| {
            let step = slot.strip_prefix(&prefix);
            step.is_some_and(|step| step.parse::<u32>().is_ok())
        };
        self.done.with(|done| done.iter().filter(of_it).count())
    }

    /// Takes a mark of the step of this slot. The same checked once more is no other try.
    pub(super) fn take_mark(&self, slot: &str, mark: Mark) {
        let mut tries = kept_per_step("tries");
        let stands = self.mark.with_untracked(Option::is_some) && !self.outdated.get_untracked();
        let so_far = tries.of(slot);
        let now = match mark.passed {
            true => 0,
            false if stands => so_far.max(1),
            false => so_far.saturating_add(1),
        };
        tries.set(slot, now);
        set_setting("tries", &tries.written());
        self.rung.set(Rung::of(now));
        self.outdated.set(false);
        self.mark.set(Some(mark));
    }

    /// A mark that is found again, after a reload: no other try.
    pub(super) fn restore_mark(&self, slot: &str, mark: Mark) {
        self.rung.set(Rung::of(kept_per_step("tries").of(slot)));
        self.outdated.set(false);
        self.mark.set(Some(mark));
    }

    /// How good a step's prediction was; the first one counts.
    pub fn take_verdict(&self, slot: &str, grade: Grade) {
        let mut firsts = kept_per_step(FIRSTS);
        if firsts.of(slot) == 0 {
            firsts.set(slot, grade as u32 + 1);
            set_setting(FIRSTS, &firsts.written());
        }
    }

    /// How many first predictions were right, near, and not so.
    pub fn first_verdicts() -> [usize; 3] {
        let firsts = kept_per_step(FIRSTS);
        [1, 2, 3].map(|grade| firsts.count(grade))
    }

    /// What was found speaks of the figure as it was then: it stays, and says so.
    pub(super) fn outdate(&self) {
        let found =
            self.mark.with_untracked(Option::is_some) || self.truth.with_untracked(Option::is_some);
        if found && !self.outdated.get_untracked() {
            self.outdated.set(true);
        }
    }

    /// What was refused is answered.
    pub(super) fn forget_refused(&self) {
        if self.refused.with_untracked(Option::is_some) {
            self.refused.set(None);
        }
    }

    /// Marks a step as done, with what other tabs have done meanwhile.
    pub(super) fn finish(&self, slot: String) {
        self.done.update(|done| {
            done.extend(done_kept());
            done.insert(slot);
        });
        let all = self
            .done
            .with_untracked(|d| d.iter().cloned().collect::<Vec<_>>().join(" "));
        set_setting("done", &all);
    }
}

/// Under which name the grades of first predictions are kept.
const FIRSTS: &str = "firsts";

fn kept_per_step(name: &str) -> PerStep {
    setting(name).map_or_else(PerStep::default, |text| PerStep::read(&text))
}

fn done_kept() -> BTreeSet<String> {
    setting("done")
        .map(|t| few::set(t.split_whitespace().map(String::from)))
        .unwrap_or_default()
}
