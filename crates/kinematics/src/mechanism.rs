//! Structure: a flat arena of nodes, parents before children, evaluated by the
//! plan of the `plan` module.
use crate::dirty::{Changed, DirtySteps};
use crate::plan::Plan;
use crate::pose::Held;
use crate::solve::{Digit, Scratch, nearest};
use crate::{Anchor, BuildError, Node, Outcome, Pose, Rotation, Transform};
use alloc::boxed::Box;
use alloc::vec;
use alloc::vec::Vec;
use core::f64::consts::TAU;

/// The structure: nodes, anchors and the evaluation plan. It never changes: what can be set is
/// in the [`Pose`], so any number of poses may share one.
///
/// ```
/// use kinematics::{Channel, Mechanism, Node, Order, Rotation, Transform, Vec3};
///
/// let node = |parent, x: f64| Node {
///     parent,
///     rest: Transform::from_parts(Vec3::new(x, 0.0, 0.0).into(), Rotation::identity()),
///     order: Order::Xyz,
///     limits: [(f64::NEG_INFINITY, f64::INFINITY); 6],
/// };
/// // A wrist and, 90 mm on, a knuckle.
/// let mechanism = Mechanism::new(vec![node(None, 0.0), node(Some(0), 90.0)], vec![])?;
/// let (mut flat, mut raised) = (mechanism.pose(), mechanism.pose());
/// raised.set_channel(0, Channel::TurnZ, 30_f64.to_radians());
/// for pose in [&mut flat, &mut raised] {
///     mechanism.evaluate(pose);
/// }
/// assert_eq!(flat.world(1).translation.vector.y, 0.0);
/// assert!((raised.world(1).translation.vector.y - 45.0).abs() < 1e-12);
/// # Ok::<(), kinematics::BuildError>(())
/// ```
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
    /// its channels, or what an anchor made of them. Of the two sets of turns that make one rotation
    /// it is the one nearer to the joint's limits: a hinge bent past a right angle is still a hinge.
    pub fn turns(&self, pose: &Pose, node: usize) -> [f64; 3] {
        if !self.plan.anchored[node] {
            let channels = &pose.channels[node];
            return [channels[0], channels[1], channels[2]];
        }
        let turn: Rotation = self.nodes[node].rest.rotation.inverse() * pose.local[node].rotation;
        let (order, limits) = (self.nodes[node].order, &self.nodes[node].limits);
        let first = order.decompose(&turn);
        let second = order.folded(first).map(|turn| libm::remainder(turn, TAU));
        let excess = |turns: [f64; 3]| {
            let by = turns.iter().zip(limits);
            let by = by.map(|(&turn, &limit)| nearest(turn, limit).1);
            by.fold(0.0, |sum, by| sum + by * by)
        };
        if excess(second) < excess(first) {
            second
        } else {
            first
        }
    }

    /// A pose with every channel zero, everything dirty, and all scratch space allocated.
    pub fn pose(&self) -> Pose {
        let count = self.nodes.len();
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
            dirty: DirtySteps::all(self.plan.steps.len(), [count, self.anchors.len()]),
            scratch: Scratch::room(longest),
            digits: self
                .anchors
                .iter()
                .zip(&self.plan.chains)
                .map(digit)
                .collect(),
        }
    }
}
