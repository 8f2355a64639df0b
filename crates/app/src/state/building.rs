//! Building in a lesson: the acts of its step, done and looked at.
use super::Session;
use course::{Act, Finding, Step, build};
use leptos::prelude::*;
use rig::fault::Explain;
use rig::{NodeId, Posed, Refusal, Vec3};
use std::sync::Arc;
use workbook::building::{Spot, spot};
use workbook::moving::Moving;
use workbook::notice::sentence;
use workbook::pencil::Tool;
use workbook::stage::Stage;

impl Session {
    /// The step, if it builds, tracked.
    pub fn building(&self) -> Option<Arc<Step>> {
        let step = self.course.step()?;
        (!step.task.acts().is_empty()).then_some(step)
    }

    fn building_now(&self) -> Option<Arc<Step>> {
        untrack(|| self.building())
    }

    /// Whether this step builds.
    pub fn builds(&self) -> bool {
        self.building_now().is_some()
    }

    /// What is found of each act, tracked: those that are done, and the first that is not. The last
    /// is told by its mark, which is of then.
    pub fn found(&self) -> Vec<Finding> {
        let Some(step) = self.building() else {
            return Vec::new();
        };
        let acts = step.task.acts();
        let before = acts.iter().take_while(|act| !matches!(act, Act::Turn(_)));
        let before = &acts[..before.count()];
        let found = self
            .stage
            .with(|stage| build::findings(stage.history().posed(), before));
        let mut found = found.unwrap_or_default();
        let mark = self.course.mark.get().filter(|mark| mark.passed);
        if let Some(mark) = mark {
            found.extend(mark.findings.into_iter().skip(found.len()));
        }
        found
    }

    /// How many acts are done, tracked.
    fn done(&self) -> usize {
        self.found().iter().filter(|it| it.ok()).count()
    }

    /// Whether something is to be hung now, tracked.
    pub fn hangs(&self) -> bool {
        let step = self.building();
        step.is_some_and(|step| matches!(step.task.acts().get(self.done()), Some(Act::Hang(_))))
    }

    /// Whether this node is to be hung, now or once there is what it hangs from; tracked.
    pub fn hangs_now(&self, node: NodeId) -> bool {
        let Some(step) = self.building() else {
            return false;
        };
        let acts = step.task.acts();
        let at = acts.iter().position(|act| matches!(act, Act::Hang(_)));
        let named = self.stage.name(node);
        build::hang_of(acts).is_some_and(|hang| named.as_ref() == Some(&hang.node))
            && at.is_some_and(|at| self.done() <= at)
    }

    /// What is in the hand already, and what to press next; tracked.
    pub fn taken(&self) -> Option<String> {
        if self.camera.tool.get() == Tool::AddMount {
            return Some("Now press a place on the figure.".into());
        }
        let chosen = self.stage.selected.get()?;
        let name = self.stage.name(chosen)?;
        let hung = self.hangs_now(chosen);
        hung.then(|| format!("The {name} is taken. Now press the bead that it should hang from."))
    }

    /// Where a mount would be put for a press at a world point.
    pub fn spot(&self, at: Vec3) -> Spot {
        let view = self.camera.view.get_untracked();
        self.stage.with_untracked(|s| spot(s.posed(), &view, at))
    }

    /// Puts the step's mount at a world place, and the tool away.
    pub fn put_mount(&self, at: Vec3) {
        let Some(step) = self.building_now() else {
            return;
        };
        let acts = step.task.acts();
        let Some(put) = build::put_of(acts) else {
            return;
        };
        self.stage.stop();
        let made = self.outcome_of(|history| history.change(|_, to| build::put(to, acts, put, at)));
        if self.is_made(made, None)
            && let Some(node) = self.stage.named(&put.mount)
        {
            self.camera.tool.set(Tool::Hand);
            self.course.pencil.update(|pencil| pencil.cursor = None);
            self.stage.moving.set(Moving::Place(node));
            self.after_act();
        }
    }

    /// Hangs a node from another as the step's act does. Whether it was done.
    pub fn hang_from(&self, node: NodeId, under: NodeId) -> bool {
        let Some(step) = self.building_now() else {
            return false;
        };
        let acts = step.task.acts();
        let Some(hang) = build::hang_of(acts) else {
            return false;
        };
        if self.stage.name(node).as_ref() != Some(&hang.node) {
            self.refuse(format!(
                "In this step only the {} is hung anew. Hang that.",
                hang.node
            ));
            return false;
        }
        self.stage.stop();
        let made =
            self.outcome_of(|history| history.change(|_, to| build::hang(to, acts, hang, under)));
        if !self.is_made(made, Some(&hang.mend)) {
            return false;
        }
        self.stage.selected.set(None);
        self.stage
            .moving
            .set(self.stage.grip(node).unwrap_or_default());
        self.after_act();
        true
    }

    /// A refusal is told where the acts are, with the lesson's own mend of a circle.
    fn is_made(&self, made: Option<Result<(), Refusal>>, mend: Option<&str>) -> bool {
        let Some(Err(refusal)) = made else {
            return made.is_some();
        };
        let (why, general) = refusal.explain();
        let circle = matches!(refusal, Refusal::Circle { .. });
        let mend = mend.filter(|_| circle).unwrap_or(&general);
        self.refuse(format!("{} {}", sentence(&why), sentence(mend)));
        false
    }

    fn refuse(&self, told: String) {
        self.shell.say(format!("Refused. {told}"));
        self.course.refused.set(Some(told));
    }

    fn after_act(&self) {
        self.stage.lever.set(None);
        self.stage.trail.set(Vec::new());
        let told = untrack(|| self.found()).last().map(ToString::to_string);
        self.shell.say(told.unwrap_or_default());
        self.stage.settle();
    }

    /// Checks what is built once its last act is reached, and once only of the same rig: lifting
    /// again to look is no other try. `anew`: the figure has just come, and was checked before.
    pub fn mind_acts(&self, anew: bool) {
        let Some(step) = self.building_now() else {
            return;
        };
        let acts = step.task.acts();
        let marked = self.course.mark.with_untracked(Option::is_some);
        let reached = |posed: &Posed| build::is_reached(posed, acts);
        let reached = || self.stage.with_untracked(|s| reached(s.history().posed()));
        if marked || !self.at_place() || !reached() {
            return;
        }
        if anew {
            self.recheck();
        } else {
            self.check();
        }
    }

    /// What was found before the figure was left, without counting it again.
    fn recheck(&self) {
        let Some(step) = self.course.step_now() else {
            return;
        };
        let attempt = course::Attempt::default();
        let found = |s: &Stage| course::check(s.history().posed(), &step.task, &attempt);
        if let Ok(mark) = self.stage.with_untracked(found) {
            let slot = self.here().unwrap_or_default();
            self.course.restore_mark(&slot, mark);
        }
    }
}
