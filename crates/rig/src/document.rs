//! What a document holds: a rig of nodes, anchors, dials and plants, and how it is set.
use crate::index::Index;
use crate::setting::Setting;
use crate::shared::Shared;
use kinematics::{Channel, Order, Rotation, Transform, Vec3};
use recipe::{DialRole, Part, Recipe};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::ops::{Deref, DerefMut};

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        /// Given out once per document and never again, so a stale id finds nothing.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub u32);
    };
}
id!(
    /// Names a node.
    NodeId
);
id!(
    /// Names an anchor.
    AnchorId
);
id!(
    /// Names a dial.
    DialId
);

/// A rig and how it is set: all that a file holds.
///
/// It reads as its rig, so whatever asks for a rig's structure takes a document too.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Document {
    /// The structure. Documents that differ in their settings only share it.
    pub rig: Shared<Rig>,
    /// Where its dials and switches stand: as many as the rig has of each.
    pub setting: Setting,
}

impl Deref for Document {
    type Target = Rig;
    fn deref(&self) -> &Rig {
        &self.rig
    }
}

impl DerefMut for Document {
    fn deref_mut(&mut self) -> &mut Rig {
        &mut self.rig
    }
}

/// The structure: everything but where dials and switches stand. Node order is free; parents
/// are found by id.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rig {
    /// Shown on screen and used as a file name.
    pub name: String,
    /// Height of the bench's top, mm along world +y; none: no bench.
    pub bench: Option<f64>,
    /// Joints and mounts.
    pub nodes: Vec<Shared<Node>>,
    /// Anchors.
    pub anchors: Vec<Shared<Anchor>>,
    /// Dials. Everything that moves is moved by a dial.
    pub dials: Vec<Shared<Dial>>,
    /// Contacts kept.
    pub plants: Vec<Plant>,
    /// What the hand was built from, if it was: kept so that its proportions and its planting
    /// can be edited afterwards.
    pub hand: Option<Box<Recipe>>,
    /// The next id to give out, for all three kinds.
    pub next_id: u32,
}

/// Whether a node has a bone of its own: part of the skeleton (joint) or of the controls (mount).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Part of the skeleton: a bone is drawn from a joint to each of its child joints.
    Joint,
    /// A plain frame: a pivot, a carrier, a target. Part of the controls.
    Mount,
}

/// What dragging a node does.
#[derive(Clone, Debug, PartialEq)]
pub enum Grip {
    /// Nothing.
    None,
    /// Turns these dials (one or two) so that the node follows the pointer.
    Dials(Vec<DialId>),
    /// Moves the node's own rest position, children keeping their world places.
    /// The handle is drawn this far (world mm) from the node.
    Place([f64; 3]),
}

/// A joint or a mount.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Its id.
    pub id: NodeId,
    /// Unique in the document.
    pub name: String,
    /// Joint or mount.
    pub kind: Kind,
    /// Who carries it.
    pub parent: Option<NodeId>,
    /// Rest offset from the parent, mm.
    pub translation: [f64; 3],
    /// Rest rotation relative to the parent, unit quaternion x, y, z, w.
    pub rotation: [f64; 4],
    /// Order of its turn channels.
    pub order: Order,
    /// Bounds by channel index, degrees or mm.
    pub limits: [Option<(f64, f64)>; 6],
    /// Drawn thickness at this node, mm.
    pub width: f64,
    /// What a drag does.
    pub grip: Grip,
    /// Left out of the figure and the lineage (an exercise's secret).
    pub hidden: bool,
    /// What surface the node carries, in its own frame.
    pub surface: Option<Form>,
    /// What of a hand it is, whatever its name.
    pub part: Option<Part>,
}

impl Node {
    /// A mount that turns with its parent.
    pub fn mount(id: NodeId, name: &str, parent: Option<NodeId>, at: [f64; 3]) -> Self {
        Self {
            id,
            name: name.to_owned(),
            kind: Kind::Mount,
            parent,
            translation: at,
            rotation: [0.0, 0.0, 0.0, 1.0],
            order: Order::default(),
            limits: [None; 6],
            width: 0.0,
            grip: Grip::None,
            hidden: false,
            surface: None,
            part: None,
        }
    }

    /// Its rest transform against its parent.
    pub fn rest(&self) -> Transform {
        let [x, y, z, w] = self.rotation;
        Transform::from_parts(
            Vec3::from(self.translation).into(),
            Rotation::new_unchecked(nalgebra::Quaternion::new(w, x, y, z)),
        )
    }

    /// Hangs it there; renormalised, so that many edits do not wear the quaternion down.
    pub fn set_rest(&mut self, rest: &Transform) {
        self.translation = rest.translation.vector.into();
        let turn = rest.rotation.into_inner().normalize();
        self.rotation = [turn.i, turn.j, turn.k, turn.w];
    }
}

/// The shape of a surface that can be pressed on. In the frame that carries it the origin lies
/// on it, y points off it, and an edge or a rail runs along z.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Form {
    /// Flat: y = 0.
    Plane,
    /// A bench's edge, the bench behind it (x < 0), rounded.
    Edge {
        /// Of the rounding, mm.
        radius: f64,
    },
    /// A round rail.
    Rail {
        /// mm
        radius: f64,
    },
}

/// How an anchor turns its chain. Same meanings as [`kinematics::Solver`]; nodes are given by id
/// in a document, by name in a file.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Solver<N = NodeId> {
    /// One bone, by the smallest turn.
    Aim,
    /// Two bones, in closed form.
    TwoBone {
        /// Node that the bend leans towards.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        pole: Option<N>,
        /// Width of the knee before full reach, mm; 0 allowed.
        #[serde(default)]
        softness: f64,
        /// Axis the chain bends about when straight, in the base's frame.
        #[serde(default = "z_axis")]
        bend: [f64; 3],
    },
    /// Any chain, by damped least squares.
    DampedLeastSquares,
    /// Any chain, by forward and backward reaching.
    Fabrik,
    /// A finger by its pad: a knuckle of two axes, then two hinges that flex together.
    Finger {
        /// Turn of the last joint by that of the middle one.
        #[serde(default = "two_thirds")]
        coupling: f64,
        /// A flexion, degrees, on the side of straight to be kept.
        #[serde(default = "rest_flexion")]
        rest: f64,
        /// Taken off the coupling by load.
        #[serde(default, skip_serializing_if = "is_zero")]
        collapse: f64,
        /// Degrees by which load pushes the last joint's lower limit back.
        #[serde(default, skip_serializing_if = "is_zero")]
        give: f64,
    },
    /// A thumb by its pad: a joint of two axes, then two hinges.
    Thumb {
        /// Flexions of the two hinges to keep near, degrees.
        rest: [f64; 2],
    },
    /// Turns one joint as its target is turned. Base and end are that joint.
    #[serde(rename = "turn-with")]
    TurnWith,
    /// Turns one joint about its y axis by a share of its target's twist. Base and end are that joint.
    Twist {
        /// 0 to 1.
        share: f64,
    },
}

impl<N> Solver<N> {
    /// The same with its node given in another way.
    pub(crate) fn with<M, E>(self, node: impl FnOnce(N) -> Result<M, E>) -> Result<Solver<M>, E> {
        Ok(match self {
            Self::TwoBone {
                pole,
                softness,
                bend,
            } => Solver::TwoBone {
                pole: pole.map(node).transpose()?,
                softness,
                bend,
            },
            Self::Aim => Solver::Aim,
            Self::DampedLeastSquares => Solver::DampedLeastSquares,
            Self::Fabrik => Solver::Fabrik,
            Self::Finger {
                coupling,
                rest,
                collapse,
                give,
            } => Solver::Finger {
                coupling,
                rest,
                collapse,
                give,
            },
            Self::Thumb { rest } => Solver::Thumb { rest },
            Self::TurnWith => Solver::TurnWith,
            Self::Twist { share } => Solver::Twist { share },
        })
    }
}

fn z_axis() -> [f64; 3] {
    [0.0, 0.0, 1.0]
}

fn two_thirds() -> f64 {
    2.0 / 3.0
}

fn rest_flexion() -> f64 {
    12.0
}

/// Whether it is 0, and not its negative.
pub(crate) fn is_zero(number: &f64) -> bool {
    number.to_bits() == 0
}

/// Keeps a chain's end at a target mount.
#[derive(Clone, Debug, PartialEq)]
pub struct Anchor {
    /// Its id.
    pub id: AnchorId,
    /// Unique among anchors.
    pub name: String,
    /// First joint that turns.
    pub base: NodeId,
    /// Node held.
    pub end: NodeId,
    /// Where it is held.
    pub target: NodeId,
    /// How.
    pub solver: Solver,
}

/// A dial's unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[allow(missing_docs)]
pub enum Unit {
    #[serde(rename = "deg")]
    Degrees,
    #[serde(rename = "mm")]
    Millimetres,
    #[serde(rename = "%")]
    Percent,
}

/// Which side of neutral a drive answers to (docs/mathematics.md 6): both, above it only, below it
/// only, or above it from a second stage on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Ramp {
    /// Both sides, linear.
    #[default]
    Whole,
    /// `ramp(value − neutral)`.
    Rising,
    /// `ramp(neutral − value)`.
    Falling,
    /// `ramp(ramp(value − neutral) − this)`: what comes in a second stage, from here in the dial's
    /// unit.
    RisingPast(f64),
}

impl Ramp {
    pub(crate) fn is_whole(&self) -> bool {
        *self == Self::Whole
    }
}

/// What a drive acts on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Target {
    /// A channel of a node, degrees or mm.
    Channel(NodeId, Channel),
    /// How far load has collapsed a finger anchor's last joint.
    Collapse(AnchorId),
    /// How fully an anchor holds: 1 at neutral.
    Hold(AnchorId),
}

/// One thing a dial drives: target += gain · shaped(value − neutral).
#[derive(Clone, Debug, PartialEq)]
pub struct Drive {
    /// What.
    pub target: Target,
    /// In the target's unit per dial unit.
    pub gain: f64,
    /// Shape.
    pub ramp: Ramp,
}

/// One named channel with a unit, a neutral value and limits.
#[derive(Clone, Debug, PartialEq)]
pub struct Dial {
    /// Its id.
    pub id: DialId,
    /// Unique among dials.
    pub name: String,
    /// Unit of all its numbers.
    pub unit: Unit,
    /// Where it does nothing.
    pub neutral: f64,
    /// Least value.
    pub min: f64,
    /// Greatest value.
    pub max: f64,
    /// Changeover width w of its ramps, in its unit; 0: a kink. None: not editable on the desk (0).
    pub softness: Option<f64>,
    /// What it moves.
    pub drives: Vec<Drive>,
    /// What it does of a hand, whatever its name.
    pub role: Option<DialRole>,
}

impl Dial {
    /// A value within its limits.
    pub fn clamped(&self, value: f64) -> f64 {
        if value < self.min {
            self.min
        } else if value > self.max {
            self.max
        } else {
            value
        }
    }
}

/// A contact kept: the node's origin was planted here. Nodes are given by id in a document, by
/// name in a file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Plant<N = NodeId> {
    /// What is planted.
    pub node: N,
    /// Where, in the surface's coordinates, mm.
    pub at: [f64; 3],
    /// The node whose frame is the surface; left out: the world.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface: Option<N>,
}

impl Drive {
    /// The node it moves by itself, if it moves one.
    pub fn node(&self) -> Option<NodeId> {
        match self.target {
            Target::Channel(node, _) => Some(node),
            Target::Collapse(_) | Target::Hold(_) => None,
        }
    }
    /// Whether it turns a node.
    pub fn turns(&self) -> bool {
        matches!(self.target, Target::Channel(_, channel) if channel.is_turn())
    }
    /// The anchor it acts on, if it acts on one.
    pub fn anchor(&self) -> Option<AnchorId> {
        match self.target {
            Target::Channel(..) => None,
            Target::Collapse(anchor) | Target::Hold(anchor) => Some(anchor),
        }
    }
}

impl Rig {
    /// A node by id.
    pub fn node(&self, id: NodeId) -> Option<&Node> {
        self.nodes.iter().map(Deref::deref).find(|n| n.id == id)
    }
    /// A node by name.
    pub fn node_named(&self, name: &str) -> Option<&Node> {
        self.nodes.iter().map(Deref::deref).find(|n| n.name == name)
    }
    /// The node that is this part of a hand.
    pub fn part(&self, part: &Part) -> Option<&Node> {
        let mut nodes = self.nodes.iter().map(Deref::deref);
        nodes.find(|node| node.part.as_ref() == Some(part))
    }
    /// The dial that does this.
    pub fn role(&self, role: &DialRole) -> Option<&Dial> {
        let mut dials = self.dials.iter().map(Deref::deref);
        dials.find(|dial| dial.role.as_ref() == Some(role))
    }
    /// Takes dials that are gone out of every grip.
    pub fn drop_lost_grips(&mut self) {
        let dials = Index::new(self.dials.iter().map(|d| d.id.0));
        for node in &mut self.nodes {
            let Grip::Dials(held) = &node.grip else {
                continue;
            };
            if held.iter().all(|id| dials.get(id.0).is_some()) {
                continue;
            }
            let left = held.iter().copied();
            let left: Vec<_> = left.filter(|id| dials.get(id.0).is_some()).collect();
            node.grip = if left.is_empty() {
                Grip::None
            } else {
                Grip::Dials(left)
            };
        }
    }
    /// Gives out the next id.
    pub fn take_id(&mut self) -> u32 {
        self.next_id += 1;
        self.next_id - 1
    }
    /// An anchor by id.
    pub fn anchor(&self, id: AnchorId) -> Option<&Anchor> {
        self.anchors.iter().map(Deref::deref).find(|a| a.id == id)
    }
    /// An anchor by name.
    pub fn anchor_named(&self, name: &str) -> Option<&Anchor> {
        self.anchors
            .iter()
            .map(Deref::deref)
            .find(|a| a.name == name)
    }
    /// A dial by id.
    pub fn dial(&self, id: DialId) -> Option<&Dial> {
        self.dials.iter().map(Deref::deref).find(|d| d.id == id)
    }
    /// A dial by name.
    pub fn dial_named(&self, name: &str) -> Option<&Dial> {
        self.dials.iter().map(Deref::deref).find(|d| d.name == name)
    }
    /// Children of a node (or the roots), in document order.
    pub fn children(&self, of: Option<NodeId>) -> impl Iterator<Item = &Node> {
        self.nodes
            .iter()
            .map(Deref::deref)
            .filter(move |n| n.parent == of)
    }
    /// Whether `node` is `ancestor` or below it.
    pub fn is_below(&self, node: NodeId, ancestor: NodeId) -> bool {
        let mut at = Some(node);
        while let Some(id) = at {
            if id == ancestor {
                return true;
            }
            at = self.node(id).and_then(|n| n.parent);
        }
        false
    }
}

impl Document {
    /// Where a dial stands; none: there is no such dial.
    pub fn value(&self, dial: DialId) -> Option<f64> {
        self.setting.dial(&self.rig, dial)
    }

    /// Whether an anchor is on; none: there is no such anchor.
    pub fn is_active(&self, anchor: AnchorId) -> Option<bool> {
        self.setting.anchor(&self.rig, anchor)
    }

    /// Puts a dial somewhere, within its limits. A dial that is not there is left out.
    pub fn set_value(&mut self, dial: DialId, value: f64) {
        self.setting.set_dial(&self.rig, dial, value);
    }

    /// Adds a dial that stands there; whether it may is a matter of [`crate::check`].
    pub fn add_dial(&mut self, dial: Dial, value: f64) {
        self.setting.dials.push(value);
        self.rig.dials.push(dial.into());
    }

    /// Adds an anchor that is on or off.
    pub fn add_anchor(&mut self, anchor: Anchor, active: bool) {
        self.setting.active.push(active);
        self.rig.anchors.push(anchor.into());
    }

    /// Keeps the dials, with where they stand, that this says yes to.
    pub fn retain_dials(&mut self, keep: impl FnMut(&mut Shared<Dial>) -> bool) {
        retain(&mut self.rig.dials, &mut self.setting.dials, keep);
    }

    /// Keeps the anchors, with their switches, that this says yes to.
    pub fn retain_anchors(&mut self, keep: impl FnMut(&mut Shared<Anchor>) -> bool) {
        retain(&mut self.rig.anchors, &mut self.setting.active, keep);
    }
}

fn retain<T, S>(items: &mut Vec<T>, settings: &mut Vec<S>, mut keep: impl FnMut(&mut T) -> bool) {
    let kept: Vec<_> = items.iter_mut().map(&mut keep).collect();
    let mut at = kept.iter();
    items.retain(|_| *at.next().expect("one for each"));
    let mut at = kept.iter();
    settings.retain(|_| *at.next().expect("one for each"));
}
