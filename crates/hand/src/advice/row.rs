//! A row of knuckles and the line through it.
use crate::build::Axis;
use recipe::Impossible;
use rig::{NodeId, Posed, Transform, Vec3};

/// How far a knuckle is from a line, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    /// The knuckle.
    pub node: NodeId,
    /// Where it is, in the line's frame, mm.
    pub at: Vec3,
    /// Ahead of the line, parallel to the surface and square to the line.
    pub ahead: f64,
    /// Above it.
    pub above: f64,
}

/// Knuckles in one frame, and the line fitted to them.
#[derive(Clone, Debug, PartialEq)]
pub struct KnuckleRow {
    /// The line.
    pub axis: Axis,
    /// Each knuckle's place and distance, in the order given.
    pub residuals: Vec<Residual>,
}

impl KnuckleRow {
    /// Fitted to nodes as they stand, in a frame (none: the world), all of the same weight.
    ///
    /// # Errors
    /// When there is none, or they lie in no row.
    pub fn fitted(
        posed: &Posed,
        frame: Option<&Transform>,
        knuckles: impl Iterator<Item = NodeId>,
    ) -> Result<Self, Impossible> {
        let local = |node| {
            let at = posed.point(node);
            frame.map_or(at, |frame| frame.inverse_transform_point(&at.into()).coords)
        };
        let places: Vec<_> = knuckles.map(|node| (node, local(node))).collect();
        let row: Vec<_> = places.iter().map(|&(_, at)| at).collect();
        let axis = Axis::of_row(&row)?;
        let (s, c) = libm::sincos(axis.yaw);
        let residual = |&(node, at): &(NodeId, Vec3)| {
            let off = at - axis.through;
            Residual {
                node,
                at,
                ahead: off.x * c - off.z * s,
                above: off.y,
            }
        };
        Ok(Self {
            residuals: places.iter().map(residual).collect(),
            axis,
        })
    }
}
