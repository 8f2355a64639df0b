//! A hand's flesh and its pieces, and what making them asks of the pose.
use super::build::Digit;
use super::marks::Mark;
use super::order::Solid;
use super::skin::Skin;
use super::tube::Joint;
use super::wrist::Ray;
use crate::layout::Layout;
use rig::{Posed, Vec3};
use std::ops::Range;

/// A part of a skin that is painted at once.
pub(super) struct Piece {
    pub skin: usize,
    pub rings: Range<usize>,
    /// How many rings it may reach farther into its neighbours, where those look alike.
    pub into: [usize; 2],
    /// The node whose role it shows.
    pub base: usize,
    pub solid: Solid,
    pub marks: Vec<Mark>,
    /// Over how many of its first rings it fades out.
    pub fades: usize,
}

/// All of a hand's flesh in a pose.
pub(crate) struct Flesh {
    pub(super) skins: Vec<Skin>,
    pub(super) pieces: Vec<Piece>,
    /// Joints whose bones it covers.
    pub covers: Vec<bool>,
}

/// A hand's flesh as it is made, part by part.
pub(super) struct Making<'a> {
    pub posed: &'a Posed,
    /// Whether it is painted; else only its contour is drawn.
    pub toned: bool,
    pub layout: &'a Layout<'a>,
    /// Points round a digit.
    pub round: Vec<(f64, f64)>,
    pub flesh: Flesh,
}

impl Making<'_> {
    pub fn at(&self, i: usize) -> Vec3 {
        self.posed.point(self.layout.nodes[i].node.id)
    }
    pub fn half(&self, i: usize) -> f64 {
        let half = self.layout.nodes[i].node.width / 2.0;
        if half > 1.0 { half } else { 1.0 }
    }
    /// Out of the palm at a joint.
    pub fn out(&self, i: usize) -> Vec3 {
        self.posed.world(self.layout.nodes[i].node.id).rotation * Vec3::x()
    }
    pub fn ray(&self, digit: &Digit) -> Ray {
        let j = &digit.joints;
        Ray {
            base: self.at(j[0]),
            knuckle: self.at(j[1]),
            next: self.at(j[2]),
            palm: [self.out(j[0]), self.out(j[1])],
            half: self.half(j[1]),
        }
    }

    pub fn joint(&self, i: usize) -> Joint {
        Joint {
            at: self.at(i),
            palm: self.out(i),
        }
    }
}
