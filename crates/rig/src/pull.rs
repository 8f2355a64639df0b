//! Dragging: dial values that bring a node to where the pointer is.
use crate::{DialId, NodeId, Posed};
use kinematics::Vec3;

/// Sets the dials (one or two) so that `node`'s origin comes nearest to `to` as seen along
/// `sight` (a unit vector; distance is measured across it), within the dials' limits, and evaluates.
/// Damped Gauss-Newton with numeric derivatives from the present values; steps are held to 10° or 10 mm.
/// Returns the values.
pub fn pull(posed: &mut Posed, node: NodeId, dials: &[DialId], to: Vec3, sight: Vec3) -> Vec<(DialId, f64)> {
    let _ = (posed, node, dials, to, sight); todo!()
}
