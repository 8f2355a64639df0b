//! The shape of a `*.hand.json` file. Its field names are public: the schema is made from these.
use super::bounds::*;
use crate::anchor::is_zero;
use crate::{Form, Kind, Plant, Ramp, Solver, Unit};
use recipe::Recipe;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

fn no(flag: &bool) -> bool {
    !flag
}

fn yes() -> bool {
    true
}

fn is_yes(flag: &bool) -> bool {
    *flag
}

fn one() -> f64 {
    1.0
}

/// A Handstand document: a chain or a hand with its controls. Lengths in mm, angles in degrees.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(
    deny_unknown_fields,
    bound(serialize = "H: Serialize", deserialize = "H: Deserialize<'de>")
)]
#[schemars(title = "Handstand document")]
pub struct File<H = Box<Recipe>> {
    /// The format and its version: "handstand/2".
    pub format: String,
    /// Shown on screen and used as a file name.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[schemars(length(max = MOST_NAME))]
    pub name: String,
    /// Height of the bench's top along world y, mm; left out: no bench.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bench: Option<f64>,
    /// What the hand is built from. Where `nodes` is left out, everything is built from it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<H>,
    /// Joints and mounts, in any order; left out: those of the hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = MOST_NODES))]
    pub nodes: Option<Vec<Node>>,
    /// What keeps chains' ends where they are.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = MOST_ANCHORS))]
    pub anchors: Vec<Anchor>,
    /// Named channels: everything that moves is moved by a dial.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = MOST_DIALS))]
    pub dials: Vec<Dial>,
    /// What dials make of channels, passed on to others.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = MOST_LINKS))]
    pub links: Vec<Link>,
    /// Contacts kept.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = MOST_PLANTS))]
    pub plants: Vec<Plant<String>>,
    /// Values of dials by name, in place of their own. Never written.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    #[schemars(extend("maxProperties" = MOST_DIALS))]
    pub set: BTreeMap<String, f64>,
    /// Moves of nodes by name, world mm, all dials neutral and what they carry kept in place: a
    /// pivot away from where the hand's recipe has it. Never written.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    #[schemars(extend("maxProperties" = MOST_SHIFTS))]
    pub shift: BTreeMap<String, [f64; 3]>,
    /// Grips by node in place of all there were. Never written.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("maxProperties" = MOST_NODES))]
    pub grips: Option<BTreeMap<String, Grip>>,
}

/// A joint or a mount.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Node {
    /// Unique among nodes.
    #[schemars(length(max = MOST_NAME))]
    pub name: String,
    /// Whether it has a bone.
    pub kind: Kind,
    /// Name of the node that carries it; left out: none does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub parent: Option<String>,
    /// Rest offset from the parent, mm.
    pub translation: [f64; 3],
    /// Rest rotation against the parent: unit quaternion x, y, z, w; left out: none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rotation: Option<[f64; 4]>,
    /// Order of the turn channels, outermost first.
    #[serde(default, skip_serializing_if = "is_usual", with = "Order")]
    pub order: kinematics::Order,
    /// Bounds by channel.
    #[serde(default, skip_serializing_if = "Limits::is_empty")]
    pub limits: Limits,
    /// Bounds of its turns under load: what pressing may bend it to. Left out: its own limits.
    #[serde(default, skip_serializing_if = "Loaded::is_empty")]
    pub loaded: Loaded,
    /// Drawn thickness, mm.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub width: f64,
    /// What a drag does; left out: nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grip: Option<Grip>,
    /// Left out of the figure and the lineage.
    #[serde(default, skip_serializing_if = "no")]
    pub hidden: bool,
    /// A surface it carries: its origin on it, y off it, an edge or a rail along z.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface: Option<Form>,
    /// What of a hand it is, whatever its name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<recipe::Part>,
}

/// Order of turns: "XYZ" is Rx · Ry · Rz.
#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(remote = "kinematics::Order", rename_all = "UPPERCASE")]
#[allow(missing_docs)]
pub enum Order {
    Xyz,
    Xzy,
    Yxz,
    Yzx,
    Zxy,
    Zyx,
}

fn is_usual(order: &kinematics::Order) -> bool {
    *order == kinematics::Order::default()
}

/// Least and greatest value by channel, degrees or mm. Equal ones lock a turn for the solvers.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn_x: Option<(f64, f64)>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn_y: Option<(f64, f64)>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn_z: Option<(f64, f64)>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub move_x: Option<(f64, f64)>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub move_y: Option<(f64, f64)>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub move_z: Option<(f64, f64)>,
}

/// Least and greatest turn under load by channel, degrees.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Loaded {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn_x: Option<(f64, f64)>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn_y: Option<(f64, f64)>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn_z: Option<(f64, f64)>,
}

impl Loaded {
    fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl Limits {
    fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// What a drag does: turns one or two dials, by name, or moves the node's rest place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(
    untagged,
    expecting = "a grip is a list of one or two dial names, \"place\", or {\"place\": [x, y, z]}"
)]
pub enum Grip {
    /// Turns these dials.
    Dials(Vec<String>),
    /// Moves the rest place.
    Place(Place),
    /// The same, with the handle drawn this far from the node.
    PlaceAt(PlaceAt),
}

/// The word "place".
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    Place,
}

/// A handle beside the node.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlaceAt {
    /// From the node to the handle, world mm.
    pub place: [f64; 3],
}

/// Keeps a chain's end where it is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Anchor {
    /// Unique among anchors.
    #[schemars(length(max = MOST_NAME))]
    pub name: String,
    /// First joint that turns.
    pub base: String,
    /// Node held.
    pub end: String,
    /// Node that it is held to.
    pub target: String,
    /// How the chain is turned.
    pub solver: Solver<String>,
    /// False: let go.
    #[serde(default = "yes", skip_serializing_if = "is_yes")]
    pub active: bool,
}

/// One named channel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Dial {
    /// Unique among dials.
    #[schemars(length(max = MOST_NAME))]
    pub name: String,
    /// Unit of its numbers.
    pub unit: Unit,
    /// Where it does nothing.
    #[serde(default)]
    pub neutral: f64,
    /// Least value.
    pub min: f64,
    /// Greatest value.
    pub max: f64,
    /// Now; left out: neutral.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// Changeover width of its ramps, in its unit; left out: 0, and not set on the desk.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub softness: Option<f64>,
    /// What it moves.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = MOST_DRIVES))]
    pub drives: Vec<Drive>,
    /// What it does of a hand, whatever its name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub role: Option<recipe::DialRole>,
}

/// What a dial drives, a node's channel or an anchor's setting: it gets gain · shape(value − neutral).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Drive {
    /// Whose channel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub node: Option<String>,
    /// Which.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<Channel>")]
    pub channel: Option<ChannelWord>,
    /// Whose setting, in place of node and channel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub anchor: Option<String>,
    /// Which.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub setting: Option<Setting>,
    /// Degrees (or mm, or parts) per unit of the dial.
    #[serde(default = "one")]
    pub gain: f64,
    /// Which side of neutral it answers to.
    #[serde(default, skip_serializing_if = "Ramp::is_whole")]
    pub ramp: Ramp,
}

/// What dials make of one channel reaches others as well.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Link {
    /// Whose channel.
    pub node: String,
    /// Which.
    #[schemars(with = "Channel")]
    pub channel: ChannelWord,
    /// Only what is farther from 0 than this, on its side, is passed on, and taken off the
    /// channel; left out: all that its dials make of it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub past: Option<f64>,
    /// From where all of it counts.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub from: f64,
    /// Width of the changeover there, in the channel's unit.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub softness: f64,
    /// Only what fades while another channel of the node turns is passed on, and taken off the
    /// channel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fades: Option<Fading>,
    /// Who gets it.
    #[schemars(length(max = MOST_PASSED))]
    pub to: Vec<Passed>,
}

/// By what a channel fades, and how far.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Fading {
    /// The other channel of the same node.
    #[schemars(with = "Channel")]
    pub by: ChannelWord,
    /// Where the other channel's dials have brought it when it fades no more, not 0: whole at 0.
    pub until: f64,
    /// The part that is left there.
    #[schemars(range(min = 0, max = 1))]
    pub left: f64,
}

/// A channel that gets gain · what a link passes on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Passed {
    /// Whose channel.
    pub node: String,
    /// Which.
    #[schemars(with = "Channel")]
    pub channel: ChannelWord,
    /// Degrees (or mm) per unit of the link's channel.
    #[serde(default = "one")]
    pub gain: f64,
}

/// A setting of an anchor.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Setting {
    /// How far load has collapsed a finger's last joint.
    Collapse,
    /// How fully the anchor holds: 1 at neutral.
    Hold,
}

/// A channel that is written by its word, where it may be left out.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ChannelWord(#[serde(with = "Channel")] pub kinematics::Channel);

/// One scalar freedom of a node.
#[derive(Serialize, Deserialize, JsonSchema)]
#[serde(remote = "kinematics::Channel", rename_all = "snake_case")]
pub enum Channel {
    TurnX,
    TurnY,
    TurnZ,
    MoveX,
    MoveY,
    MoveZ,
}
