//! Anchors: what keeps a chain's end where it is.
use crate::Vec3;

/// How an anchor turns its chain.
#[derive(Clone, Copy, Debug, PartialEq)]
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
}

/// A chain from `base` down to `end`, held to `target`. Indices are node
/// indices of the same [`crate::Mechanism`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Anchor {
    /// First joint that turns.
    pub base: usize,
    /// Node whose origin is held; a strict descendant of `base`.
    pub end: usize,
    /// Node whose origin it is held to.
    pub target: usize,
    /// How.
    pub solver: Solver,
    /// Off: the chain keeps its channel pose and the outcome is still measured.
    pub active: bool,
}

/// What a solve achieved.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Outcome {
    /// Distance from end to target, mm.
    pub residual: f64,
    /// Chain length minus distance from base to target, mm; negative: out of reach.
    pub reach_margin: f64,
    /// Iterations used; 0 for closed forms.
    pub iterations: u32,
    /// Whether a joint limit is active.
    pub limited: bool,
}
