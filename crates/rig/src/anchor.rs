//! What keeps things where they are: anchors and plants.
use crate::{AnchorId, NodeId};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How an anchor turns its chain. Same meanings as [`kinematics::Solver`]; nodes are given by id
/// in a document, by name in a file.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
#[allow(
    clippy::large_enum_variant,
    reason = "there are few anchors, and most of what handles them copies them"
)]
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
        /// How its end touches and rolls; left out: a point, held where the target is.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        contact: Option<Contact>,
    },
    /// A thumb by its pad: a joint of two axes, then two hinges.
    Thumb {
        /// Flexions of the two hinges to keep near, degrees.
        rest: [f64; 2],
        /// How its end touches and rolls; left out: a point, held where the target is.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        contact: Option<Contact>,
    },
    /// Moves the base off the target's surface, along the target's y, until the lowest of these balls
    /// just touches it. Nothing turns.
    SetDown {
        /// Balls in the end's frame: x, y, z and the radius, mm.
        #[serde(with = "low")]
        #[schemars(with = "Vec<[f64; 4]>", length(max = 8))]
        low: [[f64; 4]; 8],
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
    /// How its end touches and rolls, if it holds a digit that does.
    pub fn contact(&self) -> Option<&Contact> {
        match self {
            Self::Finger { contact, .. } | Self::Thumb { contact, .. } => contact.as_ref(),
            _ => None,
        }
    }

    /// Whether it holds a finger or a thumb.
    pub fn is_digit(&self) -> bool {
        matches!(self, Self::Finger { .. } | Self::Thumb { .. })
    }

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
                contact,
            } => Solver::Finger {
                coupling,
                rest,
                collapse,
                give,
                contact,
            },
            Self::Thumb { rest, contact } => Solver::Thumb { rest, contact },
            Self::SetDown { low } => Solver::SetDown { low },
            Self::TurnWith => Solver::TurnWith,
            Self::Twist { share } => Solver::Twist { share },
        })
    }
}

/// How a digit's end touches the surface it is held to: same meanings as
/// [`kinematics::Contact`], lengths in mm, angles in degrees.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Contact {
    /// Of the tip's round end, mm; the anchor's end node is its centre.
    pub radius: f64,
    /// Of the pad's arc, mm: not less than `radius`.
    pub pad: f64,
    /// The pitch at which the pad's arc gives way to the tip's, degrees.
    pub changeover: f64,
    /// Of the flesh at the middle and at the last joint, mm.
    pub joints: [f64; 2],
    /// The pitch it was planted with, degrees: 0 lying, 90 upright on the tip.
    pub pitch: f64,
    /// How far it was tilted about its bone then, degrees.
    pub tilt: f64,
    /// The level direction it pointed then, degrees from the target's x about its y.
    pub heading: f64,
    /// How its surface is round there; left out: it is flat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub round: Option<Round>,
}

/// A rail, a rounded edge or a corner that a digit rolls on: same meanings as
/// [`kinematics::Round`], lengths in mm, angles in degrees from the target's y towards its x.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Round {
    /// Of its section, mm; 0: a corner.
    pub radius: f64,
    /// How far its axis is ahead of the place planted, along the target's x, mm; not 0 where that
    /// is on a flat part.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub ahead: f64,
    /// How far the knuckle was turned aside beyond its channel then, degrees.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub aside: f64,
    /// Where it begins, degrees: 0 or less.
    pub from: f64,
    /// Where it ends, degrees: 0 or more. Beyond it and before `from` the surface goes on flat.
    pub to: f64,
}

impl Round {
    /// Whether the place planted is on it, or on the flat part before or after it.
    pub(crate) fn is_sound(&self) -> bool {
        self.from <= 0.0
            && self.to >= 0.0
            && (self.ahead <= 0.0 || self.from == 0.0)
            && (self.ahead >= 0.0 || self.to == 0.0)
    }
}

impl Contact {
    pub(crate) fn compiled(self) -> kinematics::Contact {
        let Self {
            radius,
            pad,
            changeover,
            joints,
            pitch,
            tilt,
            heading,
            round,
        } = self;
        let [changeover, pitch, tilt, heading] =
            [changeover, pitch, tilt, heading].map(|angle| angle * crate::RADIANS);
        kinematics::Contact {
            radius,
            pad,
            changeover,
            joints,
            pitch,
            tilt,
            heading,
            round: round.map(|round| kinematics::Round {
                radius: round.radius,
                ahead: round.ahead,
                aside: round.aside * crate::RADIANS,
                spread: (round.from * crate::RADIANS, round.to * crate::RADIANS),
            }),
        }
    }
}

fn z_axis() -> [f64; 3] {
    [0.0, 0.0, 1.0]
}

/// Balls that touch, written without those that are none.
mod low {
    use serde::de::Error;
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    type Low = [[f64; 4]; 8];

    pub fn serialize<S: Serializer>(low: &Low, to: S) -> Result<S::Ok, S::Error> {
        let used: Vec<_> = low.iter().filter(|ball| ball[3] != 0.0).collect();
        used.serialize(to)
    }

    pub fn deserialize<'a, D: Deserializer<'a>>(from: D) -> Result<Low, D::Error> {
        let used = Vec::<[f64; 4]>::deserialize(from)?;
        let mut low = Low::default();
        let count = used.len();
        let room = low.get_mut(..count).ok_or_else(|| {
            D::Error::custom(format!("{count} balls are set down, and 8 is the most"))
        })?;
        room.copy_from_slice(&used);
        Ok(low)
    }
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
    /// How it was turned then in the surface's coordinates, unit quaternion x, y, z, w, for a ball
    /// that rolls on a plane: its node's width is the ball's. Left out: a point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turned: Option<[f64; 4]>,
}
