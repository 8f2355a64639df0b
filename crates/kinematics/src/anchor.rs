//! Anchors: what keeps a chain's end where it is.
use crate::{Contact, Vec3};

/// How an anchor turns its chain.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(
    clippy::large_enum_variant,
    reason = "there are few anchors, and a copy of one is cheaper to reason about than a box"
)]
pub enum Solver {
    /// One bone: the smallest rotation of the base that points the end at the
    /// target (twist kept). The end slips by | |p − A| − L |.
    Aim,
    /// Two bones in closed form.
    TwoBone {
        /// Node whose position the bend leans towards; else the chain stays bent the way
        /// its channels bend it, and a straight one bends about `bend`.
        pole: Option<usize>,
        /// Width in mm of the C1 knee before full reach; 0 for none.
        softness: f64,
        /// Axis in the base joint's rest frame about which the middle joint of a straight
        /// chain turns, positively; of any length, only its direction counts.
        bend: Vec3,
    },
    /// Damped least squares with joint limits (Buss 2004).
    DampedLeastSquares {
        /// Most iterations of one descent.
        iterations: u32,
        /// Residual in mm that is good enough.
        tolerance: f64,
    },
    /// Forward and backward reaching (Aristidou & Lasenby 2011).
    Fabrik {
        /// Most rounds.
        iterations: u32,
        /// Residual in mm that is good enough.
        tolerance: f64,
    },
    /// A finger held by its pad: a knuckle of two square axes (abduction outside, flexion
    /// inside), then two hinges that flex together. The end is the pad's centre, a node
    /// under the last bone. Flexion is the hinges' positive turn.
    ///
    /// The middle hinge turns by q, the last by (coupling − collapse)·q, the collapse being
    /// the pose's ([`crate::Pose::set_collapse`]). All within the joints' limits; where they forbid reaching the target, the nearest place they allow.
    Finger {
        /// Radians of the last joint per radian of the middle one: 2/3 for a free finger
        /// (Rijpkema & Girard 1991).
        coupling: f64,
        /// A flexion, radians, on the branch to be kept: a pad at one distance from the
        /// knuckle may be so at more than one flexion.
        rest: f64,
        /// How far, radians, load pushes the last joint's lower limit back while collapse
        /// is positive.
        give: f64,
        /// How its end touches and rolls; none: a point, held where the target is.
        contact: Option<Contact>,
    },
    /// A thumb held by its pad: a base of two square axes as a finger's, then two hinges that
    /// flex each on their own. Of the poses within the limits that reach the target, the one
    /// whose two flexions are nearest to `rest` (least sum of squares); if none reaches, one
    /// that comes nearest, to 1e-6 mm.
    Thumb {
        /// Flexions, radians, of the middle and the last joint.
        rest: [f64; 2],
        /// How its end touches and rolls; none: a point, held where the target is.
        contact: Option<Contact>,
    },
    /// Moves the base off the target's surface, along the target's y and without turning it, until
    /// the lowest of these balls just touches the surface: a hand set down on whatever of it is
    /// lowest. Nothing of its chain turns. Where none is given, nothing moves.
    SetDown {
        /// Balls in the end's frame: x, y, z and the radius, mm; one without a radius is none.
        low: [[f64; 4]; 8],
    },
    /// Turns the base so that its world rotation is the target's, whatever its limits: a
    /// control does what it is told. [`Outcome::limited`] tells whether the turns, decomposed in
    /// the joint's order, leave them. The base is the end.
    TurnWith,
    /// Turns the base about its own y axis by a share of the turn about that axis which takes
    /// the base's rest frame (its parent's, then its own rest) to the target's, as a forearm
    /// shares the turn of the wrist. The turn is within (−π, π]; limits only tell, as with
    /// [`Solver::TurnWith`]. The base is the end.
    Twist {
        /// Part of the target's turn.
        share: f64,
    },
}

impl Solver {
    /// Whether the solver moves its base and turns nothing.
    pub(crate) fn is_set_down(&self) -> bool {
        matches!(self, Self::SetDown { .. })
    }

    /// How the end touches, for what rolls.
    pub(crate) fn rolling(&self) -> Option<Contact> {
        match self {
            Self::Finger { contact, .. } | Self::Thumb { contact, .. } => *contact,
            _ => None,
        }
    }

    /// Whether the solver turns one joint into a direction and holds no place.
    pub(crate) fn is_turn(&self) -> bool {
        matches!(self, Self::TurnWith | Self::Twist { .. })
    }
}

/// A chain from `base` down to `end`, held to `target`. Indices are node
/// indices of the same [`crate::Mechanism`]. Whether and how far it holds is the pose's to
/// say ([`crate::Pose::set_active`], [`crate::Pose::set_hold`]).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Anchor {
    /// First joint that turns.
    pub base: usize,
    /// Node whose origin is held; a strict descendant of `base`, but `base` itself for
    /// [`Solver::TurnWith`] and [`Solver::Twist`].
    pub end: usize,
    /// Node whose origin it is held to, or whose rotation is taken.
    pub target: usize,
    /// How.
    pub solver: Solver,
}

/// What a solve achieved.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Outcome {
    /// Distance from end to target, mm; from where it should have rolled to with a contact, held or
    /// not; 0 for an anchor that holds no place.
    pub residual: f64,
    /// Chain length minus distance from base to target, mm; negative: out of reach. For an
    /// active finger or thumb, the farthest its flexion can bring the pad stands for the length.
    /// With a contact, how far over the surface the straightest finger's end would be ahead of
    /// where it should have rolled to; of a thumb, the farthest its flexion can bring it less how far
    /// that place is from its base, and let go, less how far it was planted from there. 0 for an
    /// anchor that holds no place.
    pub reach_margin: f64,
    /// How fully the chain is held, 0 to 1: as the pose says, and as far as its contact lasts.
    pub hold: f64,
    /// Iterations used; 0 for closed forms.
    pub iterations: u32,
    /// Whether a joint limit is active, or passed where a solver does not keep it.
    pub limited: bool,
}
