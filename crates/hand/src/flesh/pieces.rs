//! What flesh is made of.
use rig::{NodeId, Vec3};
use std::ops::Range;

/// What of a hand a piece of flesh is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A digit's.
    Pad,
    /// The palm's, the heel's, the thumb's base's.
    Palm,
}

/// A sphere in its joint's frame.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ball {
    pub at: Vec3,
    pub radius: f64,
}

/// The flesh that one joint carries.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    pub node: NodeId,
    pub kind: Kind,
    /// Holds all of it.
    pub about: Ball,
    /// How far from its joint any of it is, mm.
    pub far: f64,
    pub balls: Range<usize>,
    pub links: Range<usize>,
}

/// All the flesh of a hand.
#[derive(Clone, Debug, Default)]
pub(super) struct Pieces {
    pub pieces: Vec<Piece>,
    pub balls: Vec<Ball>,
    /// Segments: two balls each.
    pub links: Vec<[usize; 2]>,
}
