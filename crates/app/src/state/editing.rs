//! Everything that changes the document, and the pose with it.
use super::{Place, Session};
use course::Attempt;
use figure::View;
use leptos::prelude::*;
use rig::fault::Explain;
use rig::{Document, Edit, History, NodeId, Refusal, Vec3};
use workbook::moving::{Moving, first_grip, mover_of};
use workbook::notice::Passed;
use workbook::pencil::{Pencil, Tool};
use workbook::stage::Stage;

impl Session {
    /// Puts a document with its past on the plate. `view` is where it was last seen from.
    pub fn open(&self, history: History, place: Option<Place>, view: View, framed: bool) {
        self.stage.stop();
        self.keeping.place.set(place);
        self.camera.view.set(view);
        self.camera.framed.set(framed);
        self.stage.moving.set(first_grip(history.document()));
        self.stage.put(Stage::new(history));
        self.forget_doings();
    }

    /// Puts another document in this place, as one step to undo. Whether anything changed.
    pub fn swap(&self, document: Document, label: &str) -> bool {
        // It was asked for here, and would be kept there.
        if !self.at_place() {
            return false;
        }
        self.stage.stop();
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
                self.shell.pass(Passed::Act);
                !same
            }
            Some(refusal) => {
                self.shell.notice(
                    refusal.why(),
                    format!(
                        "{}. Nothing was opened; what you had is still here",
                        refusal.mend()
                    ),
                );
                false
            }
        }
    }

    /// Another figure stands in this place.
    fn begin_anew(&self) {
        self.camera.framed.set(false);
        self.stage
            .moving
            .set(self.stage.with_untracked(|h| first_grip(h.document())));
        self.forget_doings();
    }

    /// A figure begins with nothing chosen, tried, drawn or marked.
    fn forget_doings(&self) {
        self.stage.selected.set(None);
        self.stage.update(Stage::drop_ghost);
        self.stage.trail.set(Vec::new());
        self.stage.lever.set(None);
        self.course.attempt.set(Attempt::default());
        self.course.mark.set(None);
        self.course.forget_refused();
        self.stage.forget_runs();
        self.clear_prediction();
        self.stage.opened.update(|n| *n += 1);
    }

    /// Throws the drawing away and puts the pencil down: the figure can be tried.
    fn clear_prediction(&self) {
        self.course.truth.set(None);
        self.course.outdated.set(false);
        self.course.pencil.set(Pencil::default());
        self.camera.tool.set(Tool::Hand);
    }

    /// Makes an edit; a refusal becomes a notice. Whether it was made.
    pub fn edit(&self, edit: &Edit) -> bool {
        self.try_edit(edit, History::edit)
    }

    /// An edit that is part of a drag: one undo with its neighbours until the
    /// stage settles.
    pub fn edit_live(&self, edit: &Edit) -> bool {
        self.try_edit(edit, History::edit_live)
    }

    /// Makes edits as one step of undo with a name of its own.
    pub fn edit_named(&self, edits: &[Edit], label: &str) {
        self.stage.settle();
        // What is done by now stays, and is undone as one.
        if edits.iter().all(|edit| self.edit_live(edit)) && !edits.is_empty() {
            self.stage.name_step(label);
        }
        self.stage.settle();
    }

    /// Moves what is placed by hand. A lesson is about where a pivot belongs, so there the figure
    /// answers at once; on the sketch page a pivot moved in mid-turn leaves the pose as it is.
    pub fn place_live(&self, node: NodeId, to: Vec3) {
        let edit = if self.course.lesson.with_untracked(Option::is_some) {
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
        how: impl FnOnce(&mut History, &Edit) -> Result<(), Refusal>,
    ) -> bool {
        self.attempt_edit(|history| how(history, edit))
    }

    /// Tries a change of the document; a refusal becomes a notice. Whether it was made.
    pub fn attempt_edit<R: Explain>(
        &self,
        how: impl FnOnce(&mut History) -> Result<(), R>,
    ) -> bool {
        match self.outcome_of(how) {
            Some(Err(refusal)) => {
                let (why, mend) = refusal.explain();
                self.shell.notice(why, mend);
                false
            }
            made => made.is_some(),
        }
    }

    /// Tries a change of the document. None where nothing can be changed now.
    pub(super) fn outcome_of<R>(
        &self,
        how: impl FnOnce(&mut History) -> Result<(), R>,
    ) -> Option<Result<(), R>> {
        // Before the first figure has come there is nothing to edit.
        if self.keeping.place.with_untracked(Option::is_none) {
            return None;
        }
        if self.camera.tool.get_untracked() == Tool::Pencil {
            self.shell.say("The figure is held while you predict.");
            return None;
        }
        let mut outcome = Ok(());
        self.change(|history| outcome = how(history));
        if outcome.is_ok() {
            self.course.outdate();
            self.course.forget_refused();
            self.shell.pass(Passed::Act);
        }
        Some(outcome)
    }

    /// Begins a motion by pointer, keys or slider: what was there becomes the ghost, and the trail
    /// starts anew.
    pub fn begin(&self, moving: Moving) {
        self.stage.settle();
        self.stage.end_run();
        self.stage.moving.set(moving);
        self.stage.keep_ghost();
        self.stage.trail.set(Vec::new());
        self.course.attempt.update(|a| a.trail.clear());
        self.record();
    }

    /// Whether such a motion goes on.
    pub fn goes_on(&self, moving: &Moving) -> bool {
        self.stage.moving.with_untracked(|m| m == moving)
            && self.course.attempt.with_untracked(|a| !a.trail.is_empty())
    }

    /// Adds the pose to the trail, for the figure and for exercises that follow the way taken.
    pub fn record(&self) {
        let moving = self.stage.moving.get_untracked();
        let (setting, point) = self.stage.with_untracked(|stage| {
            let mover = mover_of(stage.document(), &moving);
            let mover = mover.filter(|mover| stage.posed().has(*mover));
            (
                stage.document().setting.clone(),
                mover.map(|mover| stage.posed().point(mover)),
            )
        });
        if let Some(point) = point {
            self.stage.trail.update(|t| t.push(point));
        }
        self.course.attempt.update(|a| {
            if a.trail.last() != Some(&setting) {
                a.trail.push(setting);
            }
        });
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
        self.stage.stop();
        self.stage.end_run();
        // What is undone was done before the figure was held.
        if self.camera.tool.get_untracked() == Tool::Pencil {
            self.clear_prediction();
        }
        let before = self.stage.with_untracked(|h| h.document().clone());
        let mut label = None;
        self.change(|h| label = way(h));
        if label.is_some() {
            self.stage.update(Stage::drop_ghost);
            self.stage.trail.set(Vec::new());
            self.course.outdate();
            self.course.forget_refused();
            // Another figure is another view; the same one with a joint more is not.
            if self
                .stage
                .with_untracked(|h| another_figure(&before, h.document()))
            {
                self.begin_anew();
            }
        }
        if let Some(label) = label {
            self.shell.pass(Passed::Act);
            self.shell.say(format!("{word}: {label}"));
            self.mind_acts(true);
        }
    }

    /// Changes the document; what was kept of an attempt is the changed rig's from then on.
    fn change(&self, how: impl FnOnce(&mut History)) {
        let before = self.stage.with_untracked(|s| s.document().rig.clone());
        self.stage.update(|stage| stage.change(how));
        let after = self.stage.with_untracked(|s| s.document().rig.clone());
        if !before.is_same(&after) {
            self.course.attempt.update(|a| a.carry(&before, &after));
            // Of what is built a mark is of the rig: of another it would be false.
            if self.builds() {
                self.course.mark.set(None);
            }
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
