//! Motion roles: who is moved, who is carried, who is anchored, for what is being moved now.
use crate::{DialId, Document, NodeId};

/// A node's part in the motion.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Driven directly.
    Mover,
    /// Moves because a parent does.
    Carried,
    /// Held by an active anchor (its chain's end and what hangs below it).
    Anchored,
    /// Not affected.
    Still,
}

/// Roles of all nodes, in document order, while `dials` move.
pub fn roles(document: &Document, dials: &[DialId]) -> Vec<(NodeId, Role)> { let _ = (document, dials); todo!() }
/// Roles while a node's rest place is moved.
pub fn roles_placing(document: &Document, node: NodeId) -> Vec<(NodeId, Role)> { let _ = (document, node); todo!() }
