//! What is being moved, and by which node one takes hold of it.
use rig::{DialId, Document, Grip, NodeId, Role, roles};

/// What is being moved, for the roles.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Moving {
    #[default]
    Nothing,
    Dials(Vec<DialId>),
    Place(NodeId),
}

impl Moving {
    /// The first thing that can be grabbed, so that roles and the path show before any drag.
    pub fn first(document: &Document) -> Self {
        let mut shown = document.nodes.iter().filter(|n| !n.hidden);
        let first = shown.find_map(|n| Self::by(document, n.id));
        first.unwrap_or_default()
    }

    /// What dragging this node would move.
    pub fn by(document: &Document, node: NodeId) -> Option<Self> {
        match &document.node(node)?.grip {
            Grip::None => None,
            Grip::Dials(dials) if dials.is_empty() => None,
            Grip::Dials(dials) => Some(Self::Dials(dials.clone())),
            Grip::Place(_) => Some(Self::Place(node)),
        }
    }

    /// The node that shows the grip of what is moving.
    pub fn mover(&self, document: &Document) -> Option<NodeId> {
        match self {
            Self::Nothing => None,
            Self::Place(node) => Some(*node),
            Self::Dials(_) => document
                .nodes
                .iter()
                .find(|n| !n.hidden && Self::by(document, n.id).as_ref() == Some(self))
                .map(|n| n.id),
        }
    }

    /// Roles for what is being moved, or would be, in document order.
    pub fn roles(&self, document: &Document) -> Vec<(NodeId, Role)> {
        match self {
            Self::Nothing => Vec::new(),
            Self::Dials(dials) => roles(document, dials),
            Self::Place(node) => rig::role::roles_placing(document, *node),
        }
    }
}
