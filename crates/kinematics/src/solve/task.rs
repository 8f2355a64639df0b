//! What the solvers of chains work on.
use super::boxed::Unknown;
use super::link::{self, Link};
use crate::Vec3;
use alloc::vec::Vec;

/// What a solver works on: the chain in scratch space, and where its end should go.
pub(crate) struct Task<'a> {
    pub(crate) scratch: &'a mut Scratch,
    /// The end's origin in the last link's frame.
    pub(crate) tip: Vec3,
    pub(crate) target: Vec3,
}

impl Task<'_> {
    /// Where the end is now.
    pub(crate) fn end(&self) -> Vec3 {
        link::reach(&self.scratch.links, self.tip)
    }

    /// Distance from the end to the target.
    pub(crate) fn residual(&self) -> f64 {
        (self.target - self.end()).norm()
    }

    /// Sum of the distances between joints, end included: the chain's length when straight.
    pub(crate) fn length(&self) -> f64 {
        let links = &self.scratch.links;
        links
            .iter()
            .skip(1)
            .map(|link| link.offset.translation.vector.norm())
            .sum::<f64>()
            + self.tip.norm()
    }
}

/// Space for the solvers, sized by the longest chain.
#[derive(Debug)]
pub(crate) struct Scratch {
    pub(crate) links: Vec<Link>,
    pub(crate) points: Vec<Vec3>,
    pub(crate) columns: Vec<Column>,
    pub(crate) unknowns: Vec<Unknown>,
    pub(crate) best: Vec<[f64; 3]>,
}

impl Scratch {
    /// Room for chains of so many joints, the end counted.
    pub(crate) fn room(longest: usize) -> Self {
        Self {
            links: Vec::with_capacity(longest),
            points: Vec::with_capacity(longest),
            columns: Vec::with_capacity(3 * longest),
            unknowns: Vec::with_capacity(3 * longest),
            best: Vec::with_capacity(longest),
        }
    }
}

impl Clone for Scratch {
    /// The same room: between solves there is nothing in it.
    fn clone(&self) -> Self {
        Self::room(self.links.capacity())
    }
}

/// One free turn channel as the damped solver sees it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Column {
    pub(crate) link: usize,
    pub(crate) axis: usize,
    /// How the end moves per radian.
    pub(crate) arm: Vec3,
}
