//! What is on the plate and what is being done to it: changes every frame.
use leptos::prelude::*;
use rig::{NodeId, Setting, Vec3};
use std::time::Duration;
use workbook::axis::AxisShown;
use workbook::moving::{Moving, grip_of};
use workbook::pull::Trials;
use workbook::stage::Stage;

/// How long a run of presses waits for the next.
const RUN: Duration = Duration::from_millis(900);

/// The stage as signals. The figure is read by [`with`](Self::with) and written by `editing` alone.
#[derive(Clone, Copy)]
pub struct OnStage {
    figure: ReadSignal<Stage>,
    set_figure: WriteSignal<Stage>,
    pub moving: RwSignal<Moving>,
    pub selected: RwSignal<Option<NodeId>>,
    pub trail: RwSignal<Vec<Vec3>>,
    pub lever: RwSignal<Option<(Vec3, Vec3)>>,
    /// The axes a hand could press about, while they are looked at.
    pub axes: RwSignal<Vec<AxisShown>>,
    /// Raised when another document is put on the plate.
    pub opened: RwSignal<u32>,
    /// Raised when a drag or another act has ended.
    pub settled: RwSignal<u32>,
    /// Raised when an animation should stop.
    playing: RwSignal<u32>,
    /// What arrow keys turned last; presses that follow each other are one step of undo.
    nudged: StoredValue<Nudged>,
    /// What a drag tries its poses on.
    pub trials: StoredValue<Trials>,
}

/// A run of presses: what they move, and how many there were.
#[derive(Clone, Debug, Default, PartialEq)]
struct Nudged {
    what: String,
    presses: u32,
}

impl OnStage {
    pub(super) fn new() -> Self {
        let (figure, set_figure) = signal(Stage::default());
        Self {
            figure,
            set_figure,
            moving: RwSignal::default(),
            selected: RwSignal::new(None),
            trail: RwSignal::default(),
            lever: RwSignal::new(None),
            axes: RwSignal::default(),
            opened: RwSignal::new(0),
            settled: RwSignal::new(0),
            playing: RwSignal::new(0),
            nudged: StoredValue::default(),
            trials: StoredValue::default(),
        }
    }

    /// Looks at the figure, and again when it changes.
    pub fn with<T>(&self, of: impl FnOnce(&Stage) -> T) -> T {
        self.figure.with(of)
    }

    /// Looks at the figure as it is now.
    pub fn with_untracked<T>(&self, of: impl FnOnce(&Stage) -> T) -> T {
        self.figure.with_untracked(of)
    }

    /// Comes back when the figure changes.
    pub fn track(&self) {
        self.figure.track();
    }

    pub(super) fn put(&self, stage: Stage) {
        self.set_figure.set(stage);
    }

    pub(super) fn update(&self, how: impl FnOnce(&mut Stage)) {
        self.set_figure.update(how);
    }

    /// What dragging this node would move.
    pub fn grip(&self, node: NodeId) -> Option<Moving> {
        self.with_untracked(|s| grip_of(s.document(), node))
    }

    /// What is moved, or would be: set only if it is something else.
    pub fn point_at(&self, moving: Moving) {
        if self.moving.with_untracked(|m| *m != moving) {
            self.moving.set(moving);
        }
    }

    /// The name of a node.
    pub fn name(&self, node: NodeId) -> Option<String> {
        self.with_untracked(|s| Some(s.document().node(node)?.name.clone()))
    }

    /// The node of that name.
    pub fn named(&self, name: &str) -> Option<NodeId> {
        self.with_untracked(|s| Some(s.document().node_named(name)?.id))
    }

    /// Where a node is, as the figure is shown.
    pub fn point(&self, node: NodeId) -> Vec3 {
        self.with_untracked(|s| s.posed().point(node))
    }

    /// How the document is set.
    pub fn setting(&self) -> Setting {
        self.with_untracked(|s| s.document().setting.clone())
    }

    /// Keeps the pose as it is as the ghost.
    pub fn keep_ghost(&self) {
        self.update(Stage::keep_ghost);
    }

    /// Gives the step going on, of several edits, a name of its own.
    pub fn name_step(&self, label: &str) {
        self.update(|stage| stage.name_step(label));
    }

    /// Ends a drag.
    pub fn settle(&self) {
        self.update(Stage::settle);
        self.settled.update(|n| *n = n.wrapping_add(1));
    }

    /// Shows the figure set otherwise without touching the document, as an animation does.
    pub fn show(&self, setting: &Setting) {
        self.update(|stage| stage.show(setting));
    }

    /// Stops any animation; the figure shows the document again.
    pub fn stop(&self) {
        self.playing.update(|n| *n += 1);
        if self.with_untracked(Stage::is_played) {
            self.update(Stage::stop);
        }
    }

    /// Which animation may go on: another number, once this one should stop.
    pub fn playing(&self) -> u32 {
        self.playing.get_untracked()
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
        let stage = *self;
        let presses = self.nudged.with_value(|n| n.presses);
        set_timeout(
            move || {
                // Something else may be going on by then, which is not to be cut in two.
                let still = stage
                    .nudged
                    .with_value(|n| n.presses == presses && !n.what.is_empty());
                if still {
                    stage.end_run();
                    stage.settle();
                }
            },
            RUN,
        );
    }

    /// The next press begins a run of its own.
    pub(super) fn end_run(&self) {
        self.nudged.update_value(|n| n.what.clear());
    }

    /// As [`end_run`](Self::end_run), for another figure.
    pub(super) fn forget_runs(&self) {
        self.nudged.set_value(Nudged::default());
    }
}
