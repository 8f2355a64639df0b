//! Measures of any rig: how a joint bends, how a node turns.
use crate::{DEGREES, Dial, Kind, Node, NodeId, Order, Posed, RADIANS, Rig, Vec3, lock_margin};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// One of the world's axes, either way: clockwise on a plate can count up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[allow(missing_docs)]
pub enum WorldAxis {
    #[serde(rename = "x")]
    X,
    #[serde(rename = "y")]
    Y,
    #[serde(rename = "z")]
    Z,
    #[serde(rename = "-x")]
    MinusX,
    #[serde(rename = "-y")]
    MinusY,
    #[serde(rename = "-z")]
    MinusZ,
}

impl WorldAxis {
    /// All six, x, y, z first.
    pub const ALL: [Self; 6] = [
        Self::X,
        Self::Y,
        Self::Z,
        Self::MinusX,
        Self::MinusY,
        Self::MinusZ,
    ];

    fn signed(self) -> (usize, f64) {
        match self {
            Self::X => (0, 1.0),
            Self::Y => (1, 1.0),
            Self::Z => (2, 1.0),
            Self::MinusX => (0, -1.0),
            Self::MinusY => (1, -1.0),
            Self::MinusZ => (2, -1.0),
        }
    }
}

/// One of a node's own axes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum OwnAxis {
    X,
    Y,
    Z,
}

impl OwnAxis {
    /// All three.
    pub const ALL: [Self; 3] = [Self::X, Self::Y, Self::Z];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::X => "x",
            Self::Y => "y",
            Self::Z => "z",
        }
    }
}

/// A value with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The number; infinite where its gauge says so, never NaN.
    pub value: f64,
    /// `"mm"`, `"°"`, `"°/mm"` …
    pub unit: &'static str,
    /// Digits shown after the point.
    pub decimals: u8,
}

impl std::fmt::Display for Reading {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let gap = if self.unit == "°" { "" } else { " " };
        if self.value.is_infinite() {
            let sign = if self.value < 0.0 { "−" } else { "" };
            return write!(f, "{sign}∞{gap}{}", self.unit);
        }
        let digits = format!("{:.*}", usize::from(self.decimals), self.value.abs());
        // A value that rounds to zero has no sign.
        let zero = digits.bytes().all(|b| matches!(b, b'0' | b'.'));
        let sign = if self.value < 0.0 && !zero { "−" } else { "" };
        write!(f, "{sign}{digits}{gap}{}", self.unit)
    }
}

/// Half the width of a rate's difference, in the dial's unit.
const NUDGE: f64 = 1e-3;

/// Angle between the bone in and the bone out, degrees. Bones run between joints; mounts on the
/// way are passed over.
pub fn bend(posed: &Posed, node: &Node) -> Result<f64, String> {
    let rig = posed.rig();
    let above = std::iter::successors(node.parent, |&p| rig.node(p).and_then(|n| n.parent));
    let into = above
        .filter_map(|id| rig.node(id))
        .find(|n| n.kind == Kind::Joint);
    let out = first_joint_below(rig, node.id);
    let (Some(into), Some(out)) = (into, out) else {
        return Err(format!(
            "'{}' has no bone on both sides to measure a bend between",
            node.name
        ));
    };
    let here = posed.point(node.id);
    let (bone_in, bone_out) = (here - posed.point(into.id), posed.point(out) - here);
    // By arctangent: an arccosine loses half the digits near a straight chain.
    let turn = libm::atan2(bone_in.cross(&bone_out).norm(), bone_in.dot(&bone_out));
    Ok(turn * DEGREES)
}

fn first_joint_below(rig: &Rig, id: NodeId) -> Option<NodeId> {
    let mut below: Vec<_> = rig.children(Some(id)).collect();
    below.reverse();
    while let Some(node) = below.pop() {
        if node.kind == Kind::Joint {
            return Some(node.id);
        }
        let nearer = below.len();
        below.extend(rig.children(Some(node.id)));
        below[nearer..].reverse();
    }
    None
}

/// The twist about a world axis of the turn from one pose to another, degrees in (−180, 180]:
/// the swing-twist split, whose twist keeps the quaternion's part along the axis.
pub fn tilt(from: &Posed, to: &Posed, node: NodeId, axis: WorldAxis) -> f64 {
    let turn = to.world(node).rotation * from.world(node).rotation.inverse();
    let (axis, sign) = axis.signed();
    let half = libm::atan2(sign * turn.coords[axis], turn.coords.w);
    let twist = 2.0 * half;
    let wrapped = if twist > PI {
        twist - 2.0 * PI
    } else if twist <= -PI {
        twist + 2.0 * PI
    } else {
        twist
    };
    wrapped * DEGREES
}

/// A place as seen in a mirror square to a world axis, `at` mm along it from the origin.
pub fn mirrored(place: &Vec3, axis: WorldAxis, at: f64) -> Vec3 {
    let (axis, sign) = axis.signed();
    let mut image = *place;
    image[axis] = 2.0 * sign * at - place[axis];
    image
}

/// Least distance of a node's order to gimbal lock, degrees, over every pose that its limits allow
/// when they are taken in the order `measured`. No limit: a whole turn.
pub fn lock(node: &Node, measured: Order) -> f64 {
    let ranges = [0, 1, 2].map(|axis| {
        let (min, max) = node.limits[axis].unwrap_or((-180.0, 180.0));
        (min * RADIANS, max * RADIANS)
    });
    lock_margin(measured, ranges, node.order) * DEGREES
}

/// One over the cosine of a joint's middle turn, given in degrees: the most that its outer and inner
/// turns go for one of its own. Infinite within 1e-12 of the lock, as `Order::decompose` has it.
pub fn leap(middle: f64) -> f64 {
    let cosine = libm::fabs(libm::cos(middle * RADIANS));
    if cosine < 1e-12 {
        f64::INFINITY
    } else {
        1.0 / cosine
    }
}

/// Degrees of a node's tilt about a world axis per unit of a dial, by central difference.
pub fn rate(posed: &Posed, node: NodeId, axis: WorldAxis, dial: &Dial) -> f64 {
    let nudged = |by: f64| {
        let mut nudged = posed.clone();
        nudged.set_dial(dial.id, posed.dial(dial.id) + by);
        nudged.evaluate();
        nudged
    };
    let (low, high) = (nudged(-NUDGE), nudged(NUDGE));
    let width = high.dial(dial.id) - low.dial(dial.id);
    if width > 0.0 {
        tilt(&low, &high, node, axis) / width
    } else {
        0.0
    }
}
