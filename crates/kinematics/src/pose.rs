//! Channel values and everything derived from them.
use crate::solve::{Digit, Link};
use crate::{Channel, Outcome, Transform, Vec3};
use alloc::boxed::Box;
use alloc::vec::Vec;

/// Channel values, world transforms and anchor outcomes of one [`crate::Mechanism`].
///
/// Only the mechanism that made it may evaluate it. All scratch space is
/// allocated when the pose is made.
#[derive(Clone, Debug)]
pub struct Pose {
    pub(crate) channels: Vec<[f64; 6]>,
    pub(crate) local: Vec<Transform>,
    pub(crate) world: Vec<Transform>,
    pub(crate) outcomes: Vec<Outcome>,
    /// Nodes whose channels changed since the last evaluation: a flag each, and their list.
    pub(crate) stale: Vec<bool>,
    pub(crate) changed: Vec<usize>,
    pub(crate) dirty: DirtySteps,
    pub(crate) scratch: Scratch,
    /// By anchor, for those that hold a finger or a thumb.
    pub(crate) digits: Vec<Option<Box<Digit>>>,
}

/// Space for the solvers, sized by the longest chain.
#[derive(Clone, Debug, Default)]
pub(crate) struct Scratch {
    pub(crate) links: Vec<Link>,
    pub(crate) points: Vec<Vec3>,
    pub(crate) columns: Vec<Column>,
    pub(crate) best: Vec<[f64; 3]>,
}

/// One free turn channel as the damped solver sees it.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Column {
    pub(crate) link: usize,
    pub(crate) axis: usize,
    /// How the end moves per radian.
    pub(crate) arm: Vec3,
    /// Slope of the descent along this channel.
    pub(crate) pull: f64,
    /// Stopped by a bound in this step.
    pub(crate) held: bool,
    /// The angle the step starts from.
    pub(crate) kept: f64,
    pub(crate) step: f64,
}

/// The steps of the plan to run again, as bits in plan order.
#[derive(Clone, Debug, Default)]
pub(crate) struct DirtySteps {
    pub(crate) bits: Vec<u64>,
    pub(crate) stack: Vec<usize>,
    /// Words `first..end` may hold set bits.
    pub(crate) first: usize,
    pub(crate) end: usize,
    /// Nothing has been evaluated yet.
    pub(crate) all: bool,
}

impl DirtySteps {
    /// Sets a step's bit; true if it was clear.
    pub(crate) fn insert(&mut self, step: usize) -> bool {
        let (word, bit) = (step / 64, 1 << (step % 64));
        if self.bits[word] & bit != 0 {
            return false;
        }
        self.bits[word] |= bit;
        if self.first == self.end {
            (self.first, self.end) = (word, word + 1);
        } else if word < self.first {
            self.first = word;
        } else if word >= self.end {
            self.end = word + 1;
        }
        true
    }

    /// Clears every bit.
    pub(crate) fn clear(&mut self) {
        self.bits[self.first..self.end].fill(0);
        (self.first, self.end, self.all) = (0, 0, false);
    }
}

impl Pose {
    /// Sets one channel (radians or mm) and marks the node dirty if the value changed.
    /// A value that is not finite is refused: the channel keeps what it had.
    ///
    /// # Panics
    /// If `node` is out of range.
    pub fn set_channel(&mut self, node: usize, channel: Channel, value: f64) {
        let slot = &mut self.channels[node][channel.index()];
        if !value.is_finite() || *slot == value {
            return;
        }
        // A zero has no sign here, so that a pose does not depend on how it was reached.
        *slot = value + 0.0;
        if !self.stale[node] {
            self.stale[node] = true;
            self.changed.push(node);
        }
    }

    /// One channel's value.
    pub fn channel(&self, node: usize, channel: Channel) -> f64 {
        self.channels[node][channel.index()]
    }

    /// World transform after the last evaluation.
    pub fn world(&self, node: usize) -> &Transform {
        &self.world[node]
    }

    /// Local transform (relative to the parent) after the last evaluation, anchors included.
    pub fn local(&self, node: usize) -> &Transform {
        &self.local[node]
    }

    /// An anchor's outcome after the last evaluation.
    pub fn outcome(&self, anchor: usize) -> &Outcome {
        &self.outcomes[anchor]
    }
}
