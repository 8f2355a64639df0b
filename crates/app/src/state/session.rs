//! The handle that holds all state, for what acts on more than one bundle.
use super::{Camera, Course, Keeping, OnHand, OnStage, Shell};
use leptos::prelude::*;
use rig::NodeId;
use workbook::moving::Moving;
use workbook::pencil::Tool;

/// All state. Copy: it is bundles of signals.
#[derive(Clone, Copy)]
pub struct Session {
    pub stage: OnStage,
    pub camera: Camera,
    pub course: Course,
    pub shell: Shell,
    pub keeping: Keeping,
    pub hand: OnHand,
}

impl Session {
    pub fn new() -> Self {
        let shell = Shell::new();
        Self {
            stage: OnStage::new(),
            camera: Camera::new(),
            course: Course::new(shell.route),
            shell,
            keeping: Keeping::new(),
            hand: OnHand::new(),
        }
    }

    /// Gives itself and each bundle to what is built below.
    pub fn provide(self) {
        provide_context(self);
        provide_context(self.stage);
        provide_context(self.camera);
        provide_context(self.course);
        provide_context(self.shell);
        provide_context(self.keeping);
        provide_context(self.hand);
    }

    /// Whether the figure on the plate is the address's: it may still be on its way.
    pub fn at_place(&self) -> bool {
        self.here().is_some()
    }

    /// The place whose figure is on the plate, if it is the address's.
    pub fn here(&self) -> Option<String> {
        let slot = self.shell.route.get_untracked().slot()?;
        (self.keeping.slot()? == slot).then_some(slot)
    }

    /// What dragging this node would move: a joint's own dials where the page offers it, else what
    /// the document says.
    pub fn grip(&self, node: NodeId) -> Option<Moving> {
        match self.hand.knob(node) {
            Some(knob) => Some(Moving::Dials(knob.dials)),
            None => self.stage.grip(node),
        }
    }

    /// What of it goes where the pointer does.
    pub fn pulled(&self, node: NodeId) -> NodeId {
        self.hand.knob(node).map_or(node, |knob| knob.end)
    }

    /// Whether a prediction's figure is tried, before the pencil is taken.
    pub fn tries(&self) -> bool {
        let step = self.course.step();
        let predicts = step.is_some_and(|step| step.task.is_prediction());
        predicts && !self.predicts() && !self.course.is_shown()
    }

    /// Whether a prediction is drawn: the figure is held meanwhile.
    pub fn predicts(&self) -> bool {
        self.camera.tool.get() == Tool::Pencil
    }

    /// Checks the exercise of this step.
    pub fn check(&self) {
        let Some(step) = self.course.step_now().filter(|_| self.at_place()) else {
            return;
        };
        let outcome = self.stage.with_untracked(|stage| {
            self.course
                .attempt
                .with_untracked(|a| course::check(stage.history().posed(), &step.task, a))
        });
        match outcome {
            Ok(mark) => {
                if mark.passed {
                    self.finish();
                }
                let slot = self.here().unwrap_or_default();
                self.course.take_mark(&slot, mark);
                let rung = self.course.rung.get_untracked();
                let told = self.course.mark.with_untracked(|mark| {
                    let findings = mark.iter().flat_map(|mark| &mark.findings);
                    findings.map(|it| it.told(rung)).collect::<Vec<_>>()
                });
                self.shell.say(told.join(" "));
            }
            Err(what) => self.shell.notice(what.to_string(), ""),
        }
    }

    /// Marks this step as done.
    pub fn finish(&self) {
        if let Some(slot) = self.shell.route.get_untracked().slot() {
            self.course.finish(slot);
        }
    }
}

pub fn session() -> Session {
    expect_context()
}
