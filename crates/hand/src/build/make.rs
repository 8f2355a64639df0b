//! Small tools for making nodes, turns and dials.
use rig::*;

/// A node to be.
#[derive(Clone, Copy)]
pub(super) struct Part<'a> {
    pub name: &'a str,
    pub kind: Kind,
    pub parent: Option<NodeId>,
    pub at: [f64; 3],
    pub rotation: [f64; 4],
    pub limits: [Option<(f64, f64)>; 6],
    /// About x, y and z.
    pub loaded: [Option<(f64, f64)>; 3],
    pub width: f64,
}

impl Part<'_> {
    /// A joint that nothing turns.
    pub fn joint() -> Self {
        Self {
            name: "",
            kind: Kind::Joint,
            parent: None,
            at: [0.0; 3],
            rotation: [0.0, 0.0, 0.0, 1.0],
            limits: turns(None, None, None),
            loaded: [None; 3],
            width: 0.0,
        }
    }

    /// A mount without limits.
    pub fn mount() -> Self {
        Self {
            kind: Kind::Mount,
            limits: [None; 6],
            ..Self::joint()
        }
    }
}

/// Limits of the three turns in degrees; none locks.
pub(super) fn turns(
    x: Option<(f64, f64)>,
    y: Option<(f64, f64)>,
    z: Option<(f64, f64)>,
) -> [Option<(f64, f64)>; 6] {
    let [x, y, z] = [x, y, z].map(|limit| Some(limit.unwrap_or((0.0, 0.0))));
    [x, y, z, None, None, None]
}

pub(super) fn add(document: &mut Document, part: Part) -> NodeId {
    let id = NodeId(document.take_id());
    let mut node = Node::mount(id, part.name, part.parent, part.at);
    node.kind = part.kind;
    node.rotation = part.rotation;
    // Deviation and abduction outside, flexion inside: what a finger anchor asks for.
    node.order = Order::Xzy;
    node.limits = part.limits;
    node.loaded = part.loaded;
    node.width = part.width;
    document.nodes.push(node.into());
    id
}

/// The node of that name, which was made before.
pub(super) fn made<'a>(document: &'a mut Document, name: &str) -> &'a mut Node {
    let node = document.nodes.iter_mut().find(|node| node.name == name);
    node.expect("made before")
}

/// Its id.
pub(super) fn id(document: &Document, name: &str) -> NodeId {
    document.node_named(name).expect("made before").id
}

/// Hangs a node there; zeros get no sign.
pub(super) fn set_rest(node: &mut Node, rest: &Transform) {
    node.translation = rest.translation.vector.map(|x| x + 0.0).into();
    node.rotation = quaternion(rest.rotation);
}

pub(super) fn about(axis: Vec3, angle: f64) -> Rotation {
    let (s, c) = libm::sincos(0.5 * angle);
    let axis = axis * s;
    Rotation::new_unchecked(nalgebra::Quaternion::new(c, axis.x, axis.y, axis.z))
}

pub(super) fn quaternion(rotation: Rotation) -> [f64; 4] {
    // An exact unit is asked for at the door, products of units drift by rounding.
    let unit = Rotation::new_normalize(rotation.into_inner());
    [unit.i + 0.0, unit.j + 0.0, unit.k + 0.0, unit.w + 0.0]
}

/// A drive of a node's channel by the whole of a dial.
pub(super) fn turn(node: NodeId, channel: Channel, gain: f64) -> Drive {
    Drive::whole(Target::Channel(node, channel), gain)
}

/// A dial neutral and standing at 0, in degrees.
pub(super) fn dial<'a>(
    document: &'a mut Document,
    name: &str,
    range: (f64, f64),
    drives: Vec<Drive>,
) -> &'a mut Dial {
    let id = DialId(document.take_id());
    let dial = Dial::new(id, name, Unit::Degrees, range, drives);
    document.add_dial(dial, 0.0);
    document.dials.last_mut().expect("just pushed")
}

/// How far a dial in mm moves a surface or a shoulder.
pub(super) const TRAVEL: (f64, f64) = (-150.0, 150.0);

/// A dial in mm that moves a node along one of its axes.
pub(super) fn travel(document: &mut Document, name: &str, node: NodeId, channel: Channel) {
    let drives = vec![turn(node, channel, 1.0)];
    dial(document, name, TRAVEL, drives).unit = Unit::Millimetres;
}
