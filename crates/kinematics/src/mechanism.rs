//! Structure: a flat arena of nodes, parents before children, evaluated by the
//! plan of the `plan` module.
use crate::plan::{Plan, Step};
use crate::pose::{Changed, DirtySteps, Held, Scratch};
use crate::solve::Digit;
use crate::{Anchor, Order, Outcome, Pose, Rotation, Transform, Vec3, solve};
use alloc::boxed::Box;
use alloc::vec;
use alloc::vec::Vec;

/// A joint or a mount. Local transform =
/// `rest · translate(move) · turn(order)`, with the turns about the rest frame's axes.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Index of the parent; must be smaller than the node's own index.
    pub parent: Option<usize>,
    /// Offset from the parent when all channels are zero; its quaternion must be a unit.
    pub rest: Transform,
    /// Channel order.
    pub order: Order,
    /// Bounds (min, max) in radians or mm by [`crate::Channel`] index; used by the solvers
    /// and by [`Pose::set_channel`] never: dials clamp themselves.
    /// min == max locks a turn for the solvers, at whatever value its channel has.
    /// Infinite bounds mean none.
    pub limits: [(f64, f64); 6],
}

impl Node {
    /// Whether a solver may turn the node at all.
    pub fn can_turn(&self) -> bool {
        (0..3).any(|axis| self.is_free(axis))
    }

    /// Whether a solver may turn the node about one of its axes.
    pub(crate) fn is_free(&self, axis: usize) -> bool {
        self.limits[axis].0 < self.limits[axis].1
    }

    /// The translation of the local transform: channels move the node along its rest axes.
    pub(crate) fn offset(&self, channels: &[f64; 6]) -> Vec3 {
        let moved = Vec3::new(channels[3], channels[4], channels[5]);
        if moved == Vec3::zeros() {
            return self.rest.translation.vector;
        }
        self.rest.translation.vector + self.rest.rotation * moved
    }

    /// The local transform its channels give.
    #[inline]
    pub(crate) fn local(&self, channels: &[f64; 6]) -> Transform {
        let turn = [channels[0], channels[1], channels[2]];
        let rotation = self.order.compose_onto(self.rest.rotation, turn);
        Transform::from_parts(self.offset(channels).into(), rotation)
    }
}

/// Why a mechanism cannot be built. Indices are those of the caller's nodes and anchors.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BuildError {
    /// A parent index is not smaller than its child's.
    ParentAfterChild {
        /// The child.
        node: usize,
    },
    /// `end` is not below `base` (or, for an anchor that only turns its base, is not the base),
    /// or an index is out of range.
    NotAChain {
        /// The anchor.
        anchor: usize,
    },
    /// A two-bone anchor's chain does not have exactly two bones, a finger's or thumb's three, an aim's
    /// one, or any other's none. Bones are counted between joints that can turn. None for an
    /// anchor that only turns its base, if the base cannot turn as it must.
    WrongBoneCount {
        /// The anchor.
        anchor: usize,
        /// Bones found.
        bones: usize,
    },
    /// A finger's or thumb's anchor's joints are not a knuckle with two free turns, next to each other in
    /// its order, and then two joints with one each; or its numbers are not
    /// finite, or its give is negative.
    NotAFinger {
        /// The anchor.
        anchor: usize,
    },
    /// Two anchors would turn the same joint.
    SharedJoint {
        /// The anchor met first.
        first: usize,
        /// The other anchor.
        second: usize,
        /// The joint.
        node: usize,
    },
    /// The anchor's target (or pole) `reads` is carried, directly or through other
    /// anchors, by `moved`, a node of the anchor's own chain.
    Cycle {
        /// The anchor.
        anchor: usize,
        /// Its target or pole.
        reads: usize,
        /// The node of its chain that carries `reads`.
        moved: usize,
    },
    /// A number of a node or of the anchor based there is not finite, or a limit's minimum is
    /// above its maximum.
    NotFinite {
        /// The node.
        node: usize,
    },
}

/// The structure: nodes, anchors and the evaluation plan. It never changes: what can be set is
/// in the [`Pose`], so any number of poses may share one.
#[derive(Clone, Debug)]
pub struct Mechanism {
    pub(crate) nodes: Vec<Node>,
    pub(crate) anchors: Vec<Anchor>,
    pub(crate) plan: Plan,
}

impl Mechanism {
    /// Checks the structure and builds the plan.
    ///
    /// # Errors
    /// The first fault found, as [`BuildError`] says.
    pub fn new(nodes: Vec<Node>, anchors: Vec<Anchor>) -> Result<Self, BuildError> {
        for (index, node) in nodes.iter().enumerate() {
            if node.parent.is_some_and(|parent| parent >= index) {
                return Err(BuildError::ParentAfterChild { node: index });
            }
            let (shift, turn) = (&node.rest.translation.vector, &node.rest.rotation.coords);
            let finite = shift
                .iter()
                .chain(turn.iter())
                .all(|number| number.is_finite());
            // Written so that a NaN limit fails too.
            if !finite || !node.limits.iter().all(|(min, max)| min <= max) {
                return Err(BuildError::NotFinite { node: index });
            }
        }
        let plan = Plan::new(&nodes, &anchors)?;
        Ok(Self {
            nodes,
            anchors,
            plan,
        })
    }

    /// The nodes, parents first.
    pub fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// The anchors.
    pub fn anchors(&self) -> &[Anchor] {
        &self.anchors
    }

    /// Joints an anchor turns, base first, then the end node: `[base, …, end]`.
    /// Mounts between them are left out.
    pub fn chain(&self, anchor: usize) -> &[usize] {
        &self.plan.chains[anchor].joints
    }

    /// The turns by axis, radians, that a node's evaluated local rotation amounts to:
    /// its channels, or what an anchor made of them.
    pub fn turns(&self, pose: &Pose, node: usize) -> [f64; 3] {
        if !self.plan.anchored[node] {
            let channels = &pose.channels[node];
            return [channels[0], channels[1], channels[2]];
        }
        let turn: Rotation = self.nodes[node].rest.rotation.inverse() * pose.local[node].rotation;
        self.nodes[node].order.decompose(&turn)
    }

    /// A pose with every channel zero, everything dirty, and all scratch space allocated.
    pub fn pose(&self) -> Pose {
        let (count, steps) = (self.nodes.len(), self.plan.steps.len());
        let digit = |(anchor, chain)| Digit::room(anchor, chain, &self.nodes).map(Box::new);
        let longest = self
            .plan
            .chains
            .iter()
            .map(|chain| chain.joints.len())
            .max()
            .unwrap_or(0);
        Pose {
            channels: vec![[0.0; 6]; count],
            local: self.nodes.iter().map(|node| node.rest).collect(),
            world: vec![Transform::identity(); count],
            outcomes: vec![Outcome::default(); self.anchors.len()],
            held: vec![Held::default(); self.anchors.len()],
            nodes: Changed::room(count),
            anchors: Changed::room(self.anchors.len()),
            dirty: DirtySteps {
                bits: vec![0; steps.div_ceil(64)],
                stack: Vec::with_capacity(steps),
                all: true,
                ..DirtySteps::default()
            },
            scratch: Scratch {
                links: Vec::with_capacity(longest),
                points: Vec::with_capacity(longest),
                columns: Vec::with_capacity(3 * longest),
                best: Vec::with_capacity(longest),
            },
            digits: self
                .anchors
                .iter()
                .zip(&self.plan.chains)
                .map(digit)
                .collect(),
        }
    }

    /// Brings `pose` up to date. Only steps that depend on changed channels run;
    /// nothing is allocated.
    pub fn evaluate(&self, pose: &mut Pose) {
        if pose.dirty.all {
            return self.evaluate_all(pose);
        }
        self.compose(pose);
        for &node in pose.nodes.list() {
            self.plan.mark_node(&mut pose.dirty, node);
        }
        for &anchor in pose.anchors.list() {
            self.plan
                .mark(&mut pose.dirty, self.plan.anchor_step[anchor]);
        }
        let mut last = Placed::default();
        for word in pose.dirty.first..pose.dirty.end {
            let mut bits = pose.dirty.bits[word];
            while bits != 0 {
                let step = word * 64 + bits.trailing_zeros() as usize;
                bits &= bits - 1;
                self.run(pose, self.plan.steps[step], &mut last);
            }
        }
        self.settle(pose);
    }

    /// Recomputes every node and anchor.
    pub fn evaluate_all(&self, pose: &mut Pose) {
        self.compose(pose);
        let mut last = Placed::default();
        for &step in &self.plan.steps {
            self.run(pose, step, &mut last);
        }
        self.settle(pose);
    }

    /// Brings the local transforms of changed nodes up to date, anchored ones left to
    /// their anchors. Apart from placing: these do not wait for each other.
    fn compose(&self, pose: &mut Pose) {
        for &node in pose.nodes.list() {
            if !self.plan.anchored[node] {
                pose.local[node] = self.nodes[node].local(&pose.channels[node]);
            }
        }
    }

    fn settle(&self, pose: &mut Pose) {
        pose.nodes.clear();
        pose.anchors.clear();
        pose.dirty.clear();
    }

    #[inline(always)]
    fn run(&self, pose: &mut Pose, step: Step, last: &mut Placed) {
        let (node, world) = match step {
            Step::Node { node, parent } => {
                let above = if parent == last.node {
                    last.world
                } else {
                    pose.world[parent]
                };
                (node, above * pose.local[node])
            }
            Step::Root(node) => (node, pose.local[node]),
            Step::Anchor(anchor) => return solve::run(self, pose, anchor),
            Step::Placed => return,
        };
        pose.world[node] = world;
        *last = Placed { node, world };
    }
}

/// The node placed last, most often the next one's parent. Kept in registers, where
/// reading it back from memory at once would take as long as the products themselves.
struct Placed {
    node: usize,
    world: Transform,
}

impl Default for Placed {
    fn default() -> Self {
        Self {
            node: usize::MAX,
            world: Transform::identity(),
        }
    }
}
