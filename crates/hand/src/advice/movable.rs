//! A press whose pivot can be put elsewhere by dials, so that many places are tried without
//! compiling anew.
use rig::{Channel, Dial, DialId, Drive, Node, NodeId, Posed, Target, Transform, Unit, Vec3};

/// How far a pivot can be put from its place: more than any hand, mm and degrees.
const FAR: f64 = 1e4;

/// A copy of a document with dials that move one pivot in its carrier's frame: along x, y and z
/// (mm) and about y (degrees). What the pivot carries stays where it was while the pivot is not
/// turned: with S the shift, Y the yaw, p the pivot's place and Q its rest turn, the pivot hangs
/// in p·S·Y and turns as Q·R, and what it carries hangs in Q⁻¹·Y⁻¹·S⁻¹ below that.
pub(super) struct Movable {
    pub posed: Posed,
    pub dials: [DialId; 4],
}

impl Movable {
    /// The document must be sound, and have the pivot.
    pub fn new(posed: &Posed, pivot: NodeId) -> Option<Self> {
        let mut copy = posed.document().clone();
        let old = copy.node(pivot)?.clone();
        let frame = old.rest();
        let mut mount = |parent, rest: &Transform| {
            let id = NodeId(copy.next_id);
            copy.next_id += 1;
            let at = rest.translation.vector.into();
            let mut node = Node::mount(id, &format!("movable {}", id.0), parent, at);
            node.rotation = rest.rotation.coords.into();
            node.hidden = true;
            copy.nodes.push(node.into());
            id
        };
        let place = Transform::from_parts(frame.translation, Default::default());
        let turn = Transform::from_parts(Vec3::zeros().into(), frame.rotation);
        let outer = mount(old.parent, &place);
        let unturned = mount(Some(pivot), &turn.inverse());
        let inner = mount(Some(unturned), &Transform::identity());
        for node in &mut copy.nodes {
            if node.id == pivot {
                (node.parent, node.translation) = (Some(outer), [0.0; 3]);
            } else if node.parent == Some(pivot) && node.id != unturned {
                node.parent = Some(inner);
                let rest = turn * node.rest();
                node.translation = rest.translation.vector.into();
                node.rotation = rest.rotation.coords.into();
            }
        }
        let dials = [
            Channel::MoveX,
            Channel::MoveY,
            Channel::MoveZ,
            Channel::TurnY,
        ]
        .map(|channel| {
            let id = DialId(copy.next_id);
            copy.next_id += 1;
            let back = if channel == Channel::TurnY {
                unturned
            } else {
                inner
            };
            let drive = |node, gain| Drive::whole(Target::Channel(node, channel), gain);
            let drives = vec![drive(outer, 1.0), drive(back, -1.0)];
            let unit = if channel.is_turn() {
                Unit::Degrees
            } else {
                Unit::Millimetres
            };
            let name = format!("movable {}", id.0);
            let dial = Dial::new(id, &name, unit, (-FAR, FAR), drives);
            copy.add_dial(dial, 0.0);
            id
        });
        let posed = Posed::new(&copy).ok()?;
        Some(Self { posed, dials })
    }

    /// Puts the pivot there: x, y, z (mm) and yaw (degrees) from its own place. Not evaluated.
    pub fn place(&mut self, at: [f64; 4]) {
        for (dial, value) in self.dials.into_iter().zip(at) {
            self.posed.set_dial(dial, value);
        }
    }
}
