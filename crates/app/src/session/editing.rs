//! Everything that changes the document, and the pose with it.
use super::{Moving, Nudged, Session, Tool};
use crate::keeping::Place;
use course::{Attempt, Task};
use figure::View;
use leptos::prelude::*;
use rig::{Document, Edit, History, NodeId, Posed, Setting, Vec3};
use std::time::Duration;
use workbook::notice::Passed;
use workbook::scene::Pencil;
use workbook::stage::Stage;

/// How long a run of presses waits for the next.
const RUN: Duration = Duration::from_millis(900);

/// What the edit is called that builds a hand anew.
const REMAKE: &str = "rebuild the hand";

impl Session {
    /// Puts a document with its past on the plate. `view` is where it was last seen from.
    pub fn open(&self, history: History, place: Option<Place>, view: View, framed: bool) {
        self.stop();
        self.place.set(place);
        self.view.set(view);
        self.framed.set(framed);
        self.moving.set(Moving::first(history.document()));
        self.set_stage.set(Stage::new(history));
        self.forget_doings();
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

    /// As [`replace`](Self::replace), where there is nothing worth a copy. Whether anything changed.
    pub fn swap(&self, document: Document, label: &str) -> bool {
        // It was asked for here, and would be kept there.
        if !self.at_place() {
            return false;
        }
        self.stop();
        let same = self.stage.with_untracked(|h| *h.document() == document);
        let mut refused = None;
        if !same {
            self.change(|h| refused = h.replace(document, label).err());
        }
        if refused.is_none() {
            self.begin_anew();
        }
        match refused {
            None => {
                self.pass(Passed::Act);
                !same
            }
            Some(refusal) => {
                self.notice(
                    refusal.why,
                    format!(
                        "{}. Nothing was opened; what you had is still here",
                        refusal.mend
                    ),
                );
                false
            }
        }
    }

    /// Another figure stands in this place.
    fn begin_anew(&self) {
        self.framed.set(false);
        self.moving
            .set(self.stage.with_untracked(|h| Moving::first(h.document())));
        self.forget_doings();
    }

    /// A figure begins with nothing chosen, tried, drawn or marked.
    fn forget_doings(&self) {
        self.selected.set(None);
        self.set_stage.update(Stage::drop_ghost);
        self.trail.set(Vec::new());
        self.lever.set(None);
        self.attempt.set(Attempt::default());
        self.mark.set(None);
        self.nudged.set_value(Nudged::default());
        self.clear_prediction();
        self.opened.update(|n| *n += 1);
    }

    /// Throws the drawing away; the pencil is out again when the step asks for one.
    pub fn clear_prediction(&self) {
        let tool = Tool::for_step(self.step_now().as_deref());
        self.truth.set(None);
        self.pencil.set(Pencil::default());
        self.tool.set(tool);
    }

    /// Makes an edit; a refusal becomes a notice. Whether it was made.
    pub fn edit(&self, edit: &Edit) -> bool {
        self.try_edit(edit, History::edit)
    }

    /// As [`edit`](Self::edit), of a hand.
    pub fn hand_edit(&self, edit: &::hand::Edit) -> bool {
        self.try_hand_edit(edit, false)
    }

    /// As [`edit_live`](Self::edit_live), of a hand.
    pub fn hand_edit_live(&self, edit: &::hand::Edit) -> bool {
        self.try_hand_edit(edit, true)
    }

    fn try_hand_edit(&self, edit: &::hand::Edit, live: bool) -> bool {
        let lost = self.lost_by(edit);
        let made = self.attempt_edit(|history| {
            let make = |posed: &Posed, to: &mut Document| edit.make(posed, to);
            if live {
                history.change_live(make)
            } else {
                history.change(make)
            }
        });
        if made && let Some(lost) = lost {
            self.keep_copy(lost, "before the hand was built anew");
        }
        made
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
        let made = self.attempt_edit(|history| how(history, edit));
        if !made && let Edit::Rehang { node, parent } = edit {
            self.note_refused_rehang(*node, *parent);
        }
        made
    }

    fn attempt_edit(&self, how: impl FnOnce(&mut History) -> Result<(), rig::Refusal>) -> bool {
        // Before the first figure has come there is nothing to edit.
        if self.place.with_untracked(Option::is_none) {
            return false;
        }
        let mut outcome = Ok(());
        self.change(|history| outcome = how(history));
        match outcome {
            Ok(()) => {
                self.forget_mark();
                self.pass(Passed::Act);
                true
            }
            Err(refusal) => {
                self.notice(refusal.why, refusal.mend);
                false
            }
        }
    }

    fn note_refused_rehang(&self, node: NodeId, parent: Option<NodeId>) {
        let names = self.stage.with_untracked(|h| {
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

    /// What building the hand anew would do away with: the text of a hand that is not as its
    /// recipe builds it, unless this is one of a run of buildings.
    fn lost_by(&self, edit: &::hand::Edit) -> Option<String> {
        if !matches!(edit, ::hand::Edit::Remake { .. }) {
            return None;
        }
        self.stage.with_untracked(|h| {
            if h.undo_label() == Some(REMAKE) {
                return None;
            }
            let document = h.document();
            let text = rig::write(document);
            let built = document.hand.as_deref().and_then(|recipe| {
                let mut built = ::hand::document(recipe).ok()?;
                built.name.clone_from(&document.name);
                Some(rig::write(&built))
            });
            (built.as_ref() != Some(&text)).then_some(text)
        })
    }

    /// Begins a motion by pointer, keys or slider: what was there becomes the ghost, and the trail
    /// starts anew.
    pub fn begin(&self, moving: Moving) {
        self.settle();
        self.nudged.update_value(|n| n.what.clear());
        self.moving.set(moving);
        self.keep_ghost();
        self.trail.set(Vec::new());
        self.attempt.update(|a| a.trail.clear());
        self.record();
    }

    /// Keeps the pose as it is as the ghost.
    pub fn keep_ghost(&self) {
        self.set_stage.update(Stage::keep_ghost);
    }

    /// Adds the pose to the trail, for the figure and for exercises that follow the way taken.
    pub fn record(&self) {
        let moving = self.moving.get_untracked();
        let (setting, point) = self.stage.with_untracked(|stage| {
            let mover = moving.mover(stage.document());
            let mover = mover.filter(|mover| stage.posed().has(*mover));
            (
                stage.document().setting.clone(),
                mover.map(|mover| stage.posed().point(mover)),
            )
        });
        if let Some(point) = point {
            self.trail.update(|t| t.push(point));
        }
        self.attempt.update(|a| {
            if a.trail.last() != Some(&setting) {
                a.trail.push(setting);
            }
        });
    }

    /// Gives the step going on, of several edits, a name of its own.
    pub fn name_step(&self, label: &str) {
        self.set_stage.update(|stage| stage.name_step(label));
    }

    /// Ends a drag.
    pub fn settle(&self) {
        self.set_stage.update(Stage::settle);
    }

    /// A press of an arrow key is about to move something: presses that follow each other on the
    /// same thing, and a key held down, are one step of undo.
    pub fn nudge(&self, what: impl Into<String>) {
        let what = what.into();
        let goes_on = self.nudged.with_value(|n| n.what == what);
        if !goes_on {
            self.settle();
        }
        self.nudged.update_value(|n| {
            n.what = what;
            n.presses += 1;
        });
    }

    /// The key is up: the step ends unless it is pressed again soon.
    pub fn nudge_ends(&self) {
        let session = *self;
        let presses = self.nudged.with_value(|n| n.presses);
        set_timeout(
            move || {
                // Something else may be going on by then, which is not to be cut in two.
                let still = session
                    .nudged
                    .with_value(|n| n.presses == presses && !n.what.is_empty());
                if still {
                    session.nudged.update_value(|n| n.what.clear());
                    session.settle();
                }
            },
            RUN,
        );
    }

    pub fn undo(&self) {
        self.travel(History::undo, "Undone");
    }

    pub fn redo(&self) {
        self.travel(History::redo, "Made again");
    }

    fn travel(&self, way: impl FnOnce(&mut History) -> Option<String>, word: &str) {
        // The front page has no figure; what was left is not undone unseen from there.
        if !self.at_place() {
            return;
        }
        self.stop();
        self.nudged.update_value(|n| n.what.clear());
        let before = self.stage.with_untracked(|h| h.document().clone());
        let mut label = None;
        self.change(|h| label = way(h));
        if label.is_some() {
            self.set_stage.update(Stage::drop_ghost);
            self.trail.set(Vec::new());
            self.forget_mark();
            // Another figure is another view; the same one with a joint more is not.
            if self
                .stage
                .with_untracked(|h| another_figure(&before, h.document()))
            {
                self.begin_anew();
            }
        }
        if let Some(label) = label {
            self.pass(Passed::Act);
            self.say(format!("{word}: {label}"));
        }
    }

    /// Changes the document; what was kept of an attempt is the changed rig's from then on.
    fn change(&self, how: impl FnOnce(&mut History)) {
        let before = self.stage.with_untracked(|s| s.document().rig.clone());
        self.set_stage.update(|stage| stage.change(how));
        let after = self.stage.with_untracked(|s| s.document().rig.clone());
        if !before.is_same(&after) {
            self.attempt.update(|a| a.carry(&before, &after));
        }
    }

    /// Shows the figure set otherwise without touching the document, as an animation does.
    pub fn show(&self, setting: &Setting) {
        self.set_stage.update(|stage| stage.show(setting));
    }

    /// A mark speaks of the rig as it was checked.
    fn forget_mark(&self) {
        if self.mark.with_untracked(Option::is_some) {
            self.mark.set(None);
        }
    }
}

/// Whether hardly anything of the one is in the other: another hand, or a sketch that was opened.
fn another_figure(before: &Document, after: &Document) -> bool {
    let kept = before
        .nodes
        .iter()
        .filter(|n| {
            after
                .node(n.id)
                .is_some_and(|other| other.name == n.name && other.kind == n.kind)
        })
        .count();
    let most = before.nodes.len().max(after.nodes.len());
    before.hand != after.hand || 2 * kept < most
}
