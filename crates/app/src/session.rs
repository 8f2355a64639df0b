//! The one place where state lives. Every view is derived from these signals.
use crate::hand::AxisShown;
use crate::pencil::Pencil;
use crate::route::{Place, Route};
use crate::storage::{self, Saved, Why};
use course::{Attempt, Lesson, Mark, Step, Task, Truth, Verdict};
use figure::{Look, Sight, View};
use leptos::prelude::*;
use rig::{DialId, Document, Edit, History, NodeId, Posed, Vec3};
use std::collections::BTreeSet;
use std::sync::Arc;

/// What is being moved, for the roles.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Moving {
    #[default]
    Nothing,
    Dials(Vec<DialId>),
    Place(NodeId),
}

/// What a press on the plate does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tool {
    /// Drags movers.
    #[default]
    Hand,
    /// Draws predictions.
    Pencil,
    AddJoint,
    AddMount,
}

/// A sentence for the reader.
#[derive(Clone, Debug, PartialEq)]
pub struct Notice {
    pub id: u32,
    pub text: String,
    pub mend: String,
    pub lasting: bool,
}

/// All state. Copy: it is a bundle of signals.
#[derive(Clone, Copy)]
pub struct Session {
    pub route: RwSignal<Route>,
    pub lessons: RwSignal<Vec<Entry>>,
    pub lesson: RwSignal<Option<Arc<Lesson>>>,
    step: Memo<Option<Arc<Step>>>,
    pub history: RwSignal<History>,
    pub posed: RwSignal<Option<Posed>>,
    pub moving: RwSignal<Moving>,
    pub selected: RwSignal<Option<NodeId>>,
    pub ghost: RwSignal<Option<Posed>>,
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
    pub keeps: RwSignal<bool>,
    /// Where the document on the plate is kept, and what is kept there. It belongs to the document,
    /// not to the route: the route changes first, while the next lesson is still on its way.
    pub kept: RwSignal<Option<Kept>>,
    /// Raised when another document is put on the plate.
    pub opened: RwSignal<u32>,
    /// Raised when an animation should stop.
    pub playing: RwSignal<u32>,
}

/// A slot, and what it holds if this tab knows.
#[derive(Clone, Debug)]
pub struct Kept {
    pub slot: String,
    pub body: Option<String>,
}

fn done_kept() -> BTreeSet<String> {
    storage::setting("done")
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
        let look = match storage::setting("look").as_deref() {
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
            route,
            lessons: RwSignal::default(),
            lesson,
            step,
            history: RwSignal::new(History::new(Document::default())),
            posed: RwSignal::new(None),
            moving: RwSignal::default(),
            selected: RwSignal::new(None),
            ghost: RwSignal::new(None),
            trail: RwSignal::default(),
            lever: RwSignal::new(None),
            axes: RwSignal::default(),
            attempt: RwSignal::default(),
            pencil: RwSignal::default(),
            truth: RwSignal::new(None),
            mark: RwSignal::new(None),
            done: RwSignal::new(done_kept()),
            tool: RwSignal::default(),
            view: RwSignal::new(View {
                sight: Sight::Side,
                centre: Vec3::zeros(),
                scale: 3.0,
                size: (600.0, 400.0),
            }),
            framed: RwSignal::new(false),
            look: RwSignal::new(look),
            projector: RwSignal::new(storage::setting("projector").is_some_and(|v| v == "on")),
            step_size: RwSignal::new(1.0),
            tolerance: RwSignal::new(0.5),
            notices: RwSignal::default(),
            said: RwSignal::default(),
            keeps: RwSignal::new(true),
            kept: RwSignal::new(None),
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

    /// Puts a document on the plate, with nothing to undo. `known`: it is what the slot holds, or
    /// what a lesson gives where the slot holds nothing; else it is yet to be kept.
    pub fn open(&self, document: Document, sight: Sight, known: bool) {
        match Posed::new(&document) {
            Ok(posed) => {
                self.save();
                self.stop();
                let slot = self.route.get_untracked().slot();
                let body = known.then(|| rig::write(&document));
                self.kept.set(slot.map(|slot| Kept { slot, body }));
                batch(|| {
                    self.view.update(|v| v.sight = sight);
                    self.framed.set(false);
                    self.moving.set(first_grip(&document));
                    self.selected.set(None);
                    self.ghost.set(None);
                    self.trail.set(Vec::new());
                    self.lever.set(None);
                    self.attempt.set(Attempt::default());
                    self.mark.set(None);
                    self.tool.set(Tool::Hand);
                    self.posed.set(Some(posed));
                    self.history.set(History::new(document));
                    self.opened.update(|n| *n += 1);
                });
                self.clear_prediction();
            }
            Err(fault) => self.notice(
                fault.to_string(),
                "Nothing was opened; what you had is still here.",
            ),
        }
    }

    /// Throws the drawing away; the pencil is out again when the step asks for one.
    pub fn clear_prediction(&self) {
        let drawing = self
            .step_now()
            .is_some_and(|step| step.task.is_prediction());
        self.truth.set(None);
        self.pencil.set(Pencil::default());
        self.tool
            .set(if drawing { Tool::Pencil } else { Tool::Hand });
    }

    /// Makes an edit; a refusal becomes a notice. Whether it was made.
    pub fn edit(&self, edit: &Edit) -> bool {
        self.try_edit(edit, History::edit)
    }

    /// An edit that is part of a drag: one undo with its neighbours until [`settle`](Self::settle).
    pub fn edit_live(&self, edit: &Edit) -> bool {
        self.try_edit(edit, History::edit_live)
    }

    /// Moves what is placed by hand. A lesson is about where a pivot belongs, so there the figure
    /// answers at once; on the sketch page a pivot moved in mid-turn leaves the pose as it is.
    pub fn place_live(&self, node: NodeId, to: Vec3) {
        let edit = if self.lesson.with_untracked(Option::is_some) {
            Edit::MovePivot { node, to }
        } else {
            Edit::Move {
                node,
                to,
                keep_children: true,
            }
        };
        self.edit_live(&edit);
    }

    fn try_edit(
        &self,
        edit: &Edit,
        how: impl FnOnce(&mut History, &Edit) -> Result<(), rig::Refusal>,
    ) -> bool {
        let mut outcome = Ok(());
        self.history.update(|history| outcome = how(history, edit));
        match outcome {
            Ok(()) => {
                self.repose();
                self.forget_mark();
                true
            }
            Err(refusal) => {
                if let Edit::Rehang { node, parent } = edit {
                    self.note_refused_rehang(*node, *parent);
                }
                self.notice(refusal.why, refusal.mend);
                false
            }
        }
    }

    fn note_refused_rehang(&self, node: NodeId, parent: Option<NodeId>) {
        let names = self.history.with_untracked(|h| {
            let name = |id| h.document().node(id).map(|n| n.name.clone());
            Some((name(node)?, name(parent?)?))
        });
        if let Some(names) = names {
            self.attempt.update(|a| a.refused.push(names));
            if self
                .step_now()
                .is_some_and(|s| matches!(s.task, Task::TryRehang { .. }))
            {
                self.check();
            }
        }
    }

    /// Begins a motion by pointer, keys or slider: what was there becomes the ghost, and the trail
    /// starts anew.
    pub fn begin(&self, moving: Moving) {
        batch(|| {
            self.moving.set(moving);
            self.ghost.set(self.posed.get_untracked());
            self.trail.set(Vec::new());
            self.attempt.update(|a| a.trail.clear());
        });
        self.record();
    }

    /// Adds the pose to the trail, for the figure and for exercises that follow the way taken.
    pub fn record(&self) {
        let (values, mover) = self.history.with_untracked(|h| {
            let document = h.document();
            let moving = self.moving.get_untracked();
            (
                document
                    .dials
                    .iter()
                    .map(|d| (d.id, d.value))
                    .collect::<Vec<_>>(),
                crate::scene::mover_of(document, &moving),
            )
        });
        let point = self.posed.with_untracked(|p| {
            mover.and_then(|m| Some(p.as_ref().filter(|p| p.has(m))?.point(m)))
        });
        if let Some(point) = point {
            self.trail.update(|t| t.push(point));
        }
        self.attempt.update(|a| {
            if a.trail.last() != Some(&values) {
                a.trail.push(values);
            }
        });
    }

    /// Ends a drag.
    pub fn settle(&self) {
        self.history.update(History::settle);
    }

    pub fn undo(&self) {
        let mut label = None;
        self.history.update(|h| label = h.undo());
        self.after_travel(label, "Undone");
    }

    pub fn redo(&self) {
        let mut label = None;
        self.history.update(|h| label = h.redo());
        self.after_travel(label, "Made again");
    }

    fn after_travel(&self, label: Option<String>, word: &str) {
        if let Some(label) = label {
            self.stop();
            self.ghost.set(None);
            self.trail.set(Vec::new());
            self.repose();
            self.forget_mark();
            self.say(format!("{word}: {label}"));
        }
    }

    /// Brings the pose up to the document.
    pub fn repose(&self) {
        let mut fault = None;
        self.history.with_untracked(|history| {
            self.posed.update(|posed| {
                if !posed
                    .as_mut()
                    .is_some_and(|p| p.refresh(history.document()))
                {
                    match Posed::new(history.document()) {
                        Ok(new) => *posed = Some(new),
                        Err(why) => fault = Some(why),
                    }
                }
            });
        });
        if let Some(fault) = fault {
            self.notice(fault.to_string(), "Undo takes it back.");
        }
    }

    /// A mark speaks of the rig as it was checked.
    fn forget_mark(&self) {
        if self.mark.with_untracked(Option::is_some) {
            self.mark.set(None);
        }
    }

    /// Checks the exercise of this step.
    pub fn check(&self) {
        let Some(step) = self.step_now() else { return };
        let outcome = self.history.with_untracked(|h| {
            self.attempt
                .with_untracked(|a| course::check(h.document(), &step.task, a))
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
            storage::set_setting("done", &all);
        }
    }

    /// Shows a notice. Two of the same text do not pile up.
    pub fn notice(&self, text: impl Into<String>, mend: impl Into<String>) {
        self.post(text.into(), mend.into(), false);
    }

    /// A notice that stays until closed.
    pub fn lasting_notice(&self, text: impl Into<String>, mend: impl Into<String>) {
        self.post(text.into(), mend.into(), true);
    }

    fn post(&self, text: String, mend: String, lasting: bool) {
        let (text, mend) = (sentence(&text), sentence(&mend));
        self.notices.update(|all| {
            all.retain(|n| n.text != text && n.lasting);
            let id = all.iter().map(|n| n.id + 1).max().unwrap_or(0);
            all.push(Notice {
                id,
                text,
                mend,
                lasting,
            });
        });
    }

    /// Speaks to screen readers.
    pub fn say(&self, text: impl Into<String>) {
        self.said.set(text.into());
    }

    /// Stops any animation; the figure shows the document again.
    pub fn stop(&self) {
        self.playing.update(|n| *n += 1);
        if self.posed.with_untracked(Option::is_some) {
            self.repose();
        }
    }

    /// Keeps the document on the plate, if it is not kept as it is.
    pub fn save(&self) {
        let Some(Kept { slot, body: known }) = self.kept.get_untracked() else {
            return;
        };
        let body = self.history.with_untracked(|h| rig::write(h.document()));
        if known.as_ref() == Some(&body) {
            return;
        }
        match storage::save(&slot, &body) {
            Saved::Here => {
                self.keeps.set(true);
                self.kept.set(Some(Kept {
                    slot,
                    body: Some(body),
                }));
            }
            Saved::Copy => {
                self.kept.set(Some(Kept {
                    slot,
                    body: Some(body),
                }));
                self.lasting_notice(
                    "Another tab has newer work here, so this tab's work is kept beside it.",
                    "Nothing is overwritten, and 'Other copies' under the plate opens it from any tab.",
                );
            }
            Saved::Not(why) => {
                if self.keeps.get_untracked() {
                    self.keeps.set(false);
                    self.nothing_kept(why);
                }
            }
        }
    }

    pub fn nothing_kept(&self, why: Why) {
        let (text, mend) = match why {
            Why::Denied => (
                "This browser window does not allow saving, so nothing will be kept when it closes.",
                "Everything else works. Save a file to keep your work, or open a normal window.",
            ),
            Why::Full => (
                "The browser's storage is full, so new work will not be kept.",
                "Free some space or save a file; what was kept before is untouched.",
            ),
        };
        self.lasting_notice(text, mend);
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

/// The first thing that can be grabbed, so that roles and the path show before any drag.
fn first_grip(document: &Document) -> Moving {
    document
        .nodes
        .iter()
        .filter(|n| !n.hidden)
        .find_map(|n| grip_of(document, n.id))
        .unwrap_or_default()
}

/// What dragging this node would move.
pub fn grip_of(document: &Document, node: NodeId) -> Option<Moving> {
    match &document.node(node)?.grip {
        rig::Grip::None => None,
        rig::Grip::Dials(dials) if dials.is_empty() => None,
        rig::Grip::Dials(dials) => Some(Moving::Dials(dials.clone())),
        rig::Grip::Place(_) => Some(Moving::Place(node)),
    }
}

/// A sight by its name in lesson files.
pub fn sight_named(name: &str) -> Sight {
    match name {
        "front" => Sight::Front,
        "top" => Sight::Top,
        "oblique" => Sight::Oblique {
            yaw: 0.6,
            pitch: 0.45,
        },
        _ => Sight::Side,
    }
}

pub fn session() -> Session {
    expect_context()
}
