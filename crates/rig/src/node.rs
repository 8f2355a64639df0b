//! Joints and mounts.
use crate::{DialId, NodeId};
use kinematics::{Channel, Order, Rotation, Transform, Vec3};
use recipe::Part;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Whether a node has a bone of its own: part of the skeleton (joint) or of the controls (mount).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Part of the skeleton: a bone is drawn from a joint to each of its child joints.
    Joint,
    /// A plain frame: a pivot, a carrier, a target. Part of the controls.
    Mount,
}

/// What dragging a node does.
#[derive(Clone, Debug, PartialEq)]
pub enum Grip {
    /// Nothing.
    None,
    /// Turns these dials (one or two) so that the node follows the pointer.
    Dials(Vec<DialId>),
    /// Moves the node's own rest position, children keeping their world places.
    /// The handle is drawn this far (world mm) from the node.
    Place([f64; 3]),
}

/// A joint or a mount.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Its id.
    pub id: NodeId,
    /// Unique in the document.
    pub name: String,
    /// Joint or mount.
    pub kind: Kind,
    /// Who carries it.
    pub parent: Option<NodeId>,
    /// Rest offset from the parent, mm.
    pub translation: [f64; 3],
    /// Rest rotation relative to the parent, unit quaternion x, y, z, w.
    pub rotation: [f64; 4],
    /// Order of its turn channels.
    pub order: Order,
    /// Bounds by channel index, degrees or mm.
    pub limits: [Option<(f64, f64)>; 6],
    /// Bounds of its turns under load, degrees by axis: what pressing may bend it to, and what an
    /// anchor keeps; none: as far as its own limits.
    pub loaded: [Option<(f64, f64)>; 3],
    /// Drawn thickness at this node, mm.
    pub width: f64,
    /// What a drag does.
    pub grip: Grip,
    /// Left out of the figure and the lineage (an exercise's secret).
    pub hidden: bool,
    /// What surface the node carries, in its own frame.
    pub surface: Option<Form>,
    /// What of a hand it is, whatever its name.
    pub part: Option<Part>,
}

impl Node {
    /// A mount that turns with its parent.
    pub fn mount(id: NodeId, name: &str, parent: Option<NodeId>, at: [f64; 3]) -> Self {
        Self {
            id,
            name: name.to_owned(),
            kind: Kind::Mount,
            parent,
            translation: at,
            rotation: [0.0, 0.0, 0.0, 1.0],
            order: Order::default(),
            limits: [None; 6],
            loaded: [None; 3],
            width: 0.0,
            grip: Grip::None,
            hidden: false,
            surface: None,
            part: None,
        }
    }

    /// The bounds that an anchor keeps a channel within: those under load where it has such.
    pub fn held_limit(&self, channel: Channel) -> Option<(f64, f64)> {
        let loaded = self.loaded.get(channel.index()).copied().flatten();
        loaded.or(self.limits[channel.index()])
    }

    /// Its rest transform against its parent.
    pub fn rest(&self) -> Transform {
        let [x, y, z, w] = self.rotation;
        Transform::from_parts(
            Vec3::from(self.translation).into(),
            Rotation::new_unchecked(nalgebra::Quaternion::new(w, x, y, z)),
        )
    }

    /// Hangs it there; renormalised, so that many edits do not wear the quaternion down.
    pub fn set_rest(&mut self, rest: &Transform) {
        self.translation = rest.translation.vector.into();
        let turn = rest.rotation.into_inner().normalize();
        self.rotation = [turn.i, turn.j, turn.k, turn.w];
    }
}

/// The shape of a surface that can be pressed on. In the frame that carries it the origin lies
/// on it, y points off it, and an edge or a rail runs along z.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Form {
    /// Flat: y = 0.
    Plane,
    /// A bench's edge, the bench behind it (x < 0), rounded.
    Edge {
        /// Of the rounding, mm.
        radius: f64,
    },
    /// A round rail.
    Rail {
        /// mm
        radius: f64,
    },
}
