//! The one place where state lives. Every view is derived from these signals.
mod editing;

use crate::hand::AxisShown;
use crate::keep::{self, Why};
use crate::keeping::Place;
use crate::visit::Shelf;
use course::{Attempt, Lesson, Mark, Step, Truth, Verdict};
use figure::{Look, View};
use leptos::prelude::*;
use rig::{Document, NodeId, Vec3};
use std::collections::BTreeSet;
use std::sync::Arc;
use workbook::notice::Notice;
use workbook::route::{self, Route};
use workbook::scene::{Pencil, TOLERANCE, unframed};
use workbook::stage::Stage;

pub use workbook::scene::{Moving, Tool, sight};

/// All state. Copy: it is a bundle of signals.
#[derive(Clone, Copy)]
pub struct Session {
    pub route: RwSignal<Route>,
    pub lessons: RwSignal<Vec<Entry>>,
    pub lesson: RwSignal<Option<Arc<Lesson>>>,
    step: Memo<Option<Arc<Step>>>,
    /// The figure with its past, the pose shown of it and its ghost. Only `editing` writes it.
    pub stage: ReadSignal<Stage>,
    set_stage: WriteSignal<Stage>,
    pub moving: RwSignal<Moving>,
    pub selected: RwSignal<Option<NodeId>>,
    pub trail: RwSignal<Vec<Vec3>>,
    pub lever: RwSignal<Option<(Vec3, Vec3)>>,
    /// The axes a hand could press about, while they are looked at.
    pub axes: RwSignal<Vec<AxisShown>>,
    pub attempt: RwSignal<Attempt>,
    pub pencil: RwSignal<Pencil>,
    pub truth: RwSignal<Option<(Truth, Verdict)>>,
    pub mark: RwSignal<Option<Mark>>,
    pub done: RwSignal<BTreeSet<String>>,
    pub tool: RwSignal<Tool>,
    pub view: RwSignal<View>,
    /// Set while the reader has panned or zoomed, so that a resize leaves the view alone.
    pub framed: RwSignal<bool>,
    pub look: RwSignal<Look>,
    pub projector: RwSignal<bool>,
    pub step_size: RwSignal<f64>,
    /// The slip that still counts as none where no lesson says, mm.
    pub tolerance: RwSignal<f64>,
    pub notices: RwSignal<Vec<Notice>>,
    pub said: RwSignal<String>,
    /// Why nothing is kept at present.
    pub unkept: RwSignal<Option<Why>>,
    /// Where the document on the plate is kept.
    pub place: RwSignal<Option<Place>>,
    /// Raised when there may be another list of copies.
    pub copies_changed: RwSignal<u32>,
    /// Whether what is kept of this place could not be read.
    pub unread: StoredValue<bool>,
    /// Raised when it is worth reading it again.
    pub arrive_again: RwSignal<u32>,
    /// Whether another try to keep something is waiting.
    pub retrying: StoredValue<bool>,
    /// Figures left lately, with their past.
    pub shelf: StoredValue<Shelf>,
    /// Counts the places gone to: a figure that comes late finds another one there.
    pub arrivals: StoredValue<u32>,
    /// What arrow keys turned last; presses that follow each other are one step of undo.
    nudged: StoredValue<Nudged>,
    /// Raised when another document is put on the plate.
    pub opened: RwSignal<u32>,
    /// Raised when an animation should stop.
    pub playing: RwSignal<u32>,
}

/// A run of presses: what they move, and how many there were.
#[derive(Clone, Debug, Default, PartialEq)]
struct Nudged {
    what: String,
    presses: u32,
}

fn done_kept() -> BTreeSet<String> {
    keep::setting("done")
        .map(|t| t.split_whitespace().map(String::from).collect())
        .unwrap_or_default()
}

/// A lesson in the index.
#[derive(Clone, Debug, PartialEq, serde::Deserialize)]
pub struct Entry {
    pub file: String,
    pub number: u32,
    pub title: String,
    #[serde(default)]
    pub idea: String,
}

impl Session {
    pub fn new() -> Self {
        let dark = window()
            .match_media("(prefers-color-scheme: dark)")
            .ok()
            .flatten()
            .is_some_and(|m| m.matches());
        let look = match keep::setting("look").as_deref() {
            Some("paper") => Look::Paper,
            // The second is what earlier builds called it.
            Some("slate" | "blackboard") => Look::Slate,
            _ if dark => Look::Slate,
            _ => Look::Paper,
        };
        let route = RwSignal::new(Route::parse(
            &window().location().hash().unwrap_or_default(),
        ));
        let lesson = RwSignal::new(None::<Arc<Lesson>>);
        let (stage, set_stage) = signal(Stage::default());
        let step = Memo::new(move |_| {
            let Route::Lesson {
                place: route::Place::Step(index),
                ..
            } = route.get()
            else {
                return None;
            };
            lesson.with(|l| Some(Arc::new(l.as_ref()?.steps.get(index)?.clone())))
        });
        Self {
            route,
            lessons: RwSignal::default(),
            lesson,
            step,
            stage,
            set_stage,
            moving: RwSignal::default(),
            selected: RwSignal::new(None),
            trail: RwSignal::default(),
            lever: RwSignal::new(None),
            axes: RwSignal::default(),
            attempt: RwSignal::default(),
            pencil: RwSignal::default(),
            truth: RwSignal::new(None),
            mark: RwSignal::new(None),
            done: RwSignal::new(done_kept()),
            tool: RwSignal::default(),
            view: RwSignal::new(unframed()),
            framed: RwSignal::new(false),
            look: RwSignal::new(look),
            projector: RwSignal::new(keep::setting("projector").is_some_and(|v| v == "on")),
            step_size: RwSignal::new(1.0),
            tolerance: RwSignal::new(TOLERANCE),
            notices: RwSignal::default(),
            said: RwSignal::default(),
            unkept: RwSignal::new(None),
            place: RwSignal::new(None),
            copies_changed: RwSignal::new(0),
            unread: StoredValue::new(false),
            arrive_again: RwSignal::new(0),
            retrying: StoredValue::new(false),
            shelf: StoredValue::default(),
            arrivals: StoredValue::new(0),
            nudged: StoredValue::default(),
            opened: RwSignal::new(0),
            playing: RwSignal::new(0),
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

    /// Whether the figure on the plate is the address's: it may still be on its way.
    pub fn at_place(&self) -> bool {
        self.here().is_some()
    }

    /// The place whose figure is on the plate, if it is the address's.
    pub fn here(&self) -> Option<String> {
        let slot = self.route.get_untracked().slot()?;
        self.place
            .with_untracked(|p| p.as_ref().is_some_and(|p| p.slot == slot))
            .then_some(slot)
    }

    /// Checks the exercise of this step.
    pub fn check(&self) {
        let Some(step) = self.step_now().filter(|_| self.at_place()) else {
            return;
        };
        let outcome = self.stage.with_untracked(|stage| {
            self.attempt
                .with_untracked(|a| course::check(stage.history().posed(), &step.task, a))
        });
        match outcome {
            Ok(mark) => {
                if mark.passed {
                    self.finish();
                }
                self.say(
                    mark.findings
                        .iter()
                        .map(|f| f.text.clone())
                        .collect::<Vec<_>>()
                        .join(" "),
                );
                self.mark.set(Some(mark));
            }
            Err(what) => self.notice(what, ""),
        }
    }

    /// Marks this step as done, with what other tabs have done meanwhile.
    pub fn finish(&self) {
        if let Some(slot) = self.route.get_untracked().slot() {
            self.done.update(|done| {
                done.extend(done_kept());
                done.insert(slot);
            });
            let all = self
                .done
                .with_untracked(|d| d.iter().cloned().collect::<Vec<_>>().join(" "));
            keep::set_setting("done", &all);
        }
    }

    /// Speaks to screen readers.
    pub fn say(&self, text: impl Into<String>) {
        self.said.set(text.into());
    }

    /// Stops any animation; the figure shows the document again.
    pub fn stop(&self) {
        self.playing.update(|n| *n += 1);
        if self.stage.with_untracked(Stage::is_played) {
            self.set_stage.update(Stage::stop);
        }
    }
}

/// What dragging this node would move.
pub fn grip_of(document: &Document, node: NodeId) -> Option<Moving> {
    Moving::by(document, node)
}

pub fn session() -> Session {
    expect_context()
}
