//! Channel values and everything derived from them.
use crate::dirty::{Changed, DirtySteps};
use crate::solve::{Digit, Scratch, inside};
use crate::{Channel, Outcome, Transform};
use alloc::boxed::Box;
use alloc::vec::Vec;

/// Everything that can be set of one [`crate::Mechanism`] without building it anew (channel
/// values, and how each anchor holds), and the transforms and outcomes that follow.
///
/// Only the mechanism that made it may evaluate it. All scratch space is
/// allocated when the pose is made.
///
/// A bar of 50 mm that points at what it is anchored to, then half as far, then let go:
///
/// ```
/// use kinematics::{Anchor, Channel, Mechanism, Node, Order, Rotation, Solver, Transform, Vec3};
///
/// let free = (f64::NEG_INFINITY, f64::INFINITY);
/// let node = |parent, x: f64| Node {
///     parent,
///     rest: Transform::from_parts(Vec3::new(x, 0.0, 0.0).into(), Rotation::identity()),
///     order: Order::Xyz,
///     limits: [(0.0, 0.0), (0.0, 0.0), free, free, free, free],
/// };
/// let nodes = vec![node(None, 0.0), node(Some(0), 50.0), node(None, 0.0)];
/// let anchor = Anchor { base: 0, end: 1, target: 2, solver: Solver::Aim };
/// let mechanism = Mechanism::new(nodes, vec![anchor])?;
/// let mut pose = mechanism.pose();
/// pose.set_channel(2, Channel::MoveY, 80.0);
/// mechanism.evaluate(&mut pose);
/// let turn = |pose: &_| mechanism.turns(pose, 0)[2].to_degrees();
/// assert!((turn(&pose) - 90.0).abs() < 1e-9);
/// assert!((pose.outcome(0).residual - 30.0).abs() < 1e-9);
///
/// pose.set_hold(0, 0.5);
/// mechanism.evaluate(&mut pose);
/// assert!((turn(&pose) - 45.0).abs() < 1e-9);
///
/// pose.set_active(0, false);
/// mechanism.evaluate(&mut pose);
/// assert_eq!(turn(&pose), 0.0);
/// # Ok::<(), kinematics::BuildError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Pose {
    pub(crate) channels: Vec<[f64; 6]>,
    pub(crate) local: Vec<Transform>,
    pub(crate) world: Vec<Transform>,
    pub(crate) outcomes: Vec<Outcome>,
    /// By anchor.
    pub(crate) held: Vec<Held>,
    /// Nodes whose channels changed since the last evaluation.
    pub(crate) nodes: Changed,
    /// Anchors whose [`Held`] changed since the last evaluation.
    pub(crate) anchors: Changed,
    pub(crate) dirty: DirtySteps,
    pub(crate) scratch: Scratch,
    /// By anchor, for those that hold a finger or a thumb.
    pub(crate) digits: Vec<Option<Box<Digit>>>,
}

/// How an anchor holds its chain.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Held {
    pub(crate) active: bool,
    pub(crate) hold: f64,
    /// Read by a finger's solver only.
    pub(crate) collapse: f64,
}

impl Default for Held {
    fn default() -> Self {
        Self {
            active: true,
            hold: 1.0,
            collapse: 0.0,
        }
    }
}

impl Pose {
    /// Sets one channel (radians or mm) and marks the node dirty if the value changed.
    /// A value that is not finite is refused: the channel keeps what it had.
    ///
    /// # Panics
    /// If `node` is out of range.
    #[inline]
    pub fn set_channel(&mut self, node: usize, channel: Channel, value: f64) {
        let slot = &mut self.channels[node][channel.index()];
        if !value.is_finite() || *slot == value {
            return;
        }
        // A zero has no sign here, so that a pose does not depend on how it was reached.
        *slot = value + 0.0;
        self.nodes.insert(node);
    }

    /// Turns an anchor on or off. Off: the chain keeps its channel pose and the outcome is still
    /// measured. A new pose has every anchor on.
    ///
    /// # Panics
    /// If `anchor` is out of range, as all that take one do.
    pub fn set_active(&mut self, anchor: usize, active: bool) {
        if self.held[anchor].active != active {
            self.held[anchor].active = active;
            self.anchors.insert(anchor);
        }
    }

    /// Sets how far an anchor brings its chain from its channel pose (0) to the solved one (1,
    /// as in a new pose), turn by turn: channel + hold · (solved − channel). 0 is as if not
    /// active. Not finite: nothing happens; outside: the nearer end.
    pub fn set_hold(&mut self, anchor: usize, to: f64) {
        if !to.is_finite() {
            return;
        }
        let to = inside(to, 0.0, 1.0);
        if self.held[anchor].hold != to {
            self.held[anchor].hold = to;
            self.anchors.insert(anchor);
        }
    }

    /// Sets how much load takes off the coupling of a finger's last joint: 0, as in a new pose,
    /// nothing; as much as the coupling, the last joint stays straight; more, it bows back. Not
    /// finite: nothing happens. No other solver reads it.
    pub fn set_collapse(&mut self, anchor: usize, to: f64) {
        if to.is_finite() && self.held[anchor].collapse != to {
            self.held[anchor].collapse = to;
            self.anchors.insert(anchor);
        }
    }

    /// Whether an anchor is on.
    pub fn is_active(&self, anchor: usize) -> bool {
        self.held[anchor].active
    }

    /// How far an anchor that is on brings its chain, 0 to 1.
    pub fn hold(&self, anchor: usize) -> f64 {
        self.held[anchor].hold
    }

    /// How much load has taken off the coupling of a finger's last joint.
    pub fn collapse(&self, anchor: usize) -> f64 {
        self.held[anchor].collapse
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
