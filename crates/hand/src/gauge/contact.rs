//! What each planted node does on its surface, kept apart (docs/mathematics.md 12).
use crate::flesh::Flesh;
use crate::press::planted;
use crate::survey::{self, Room};
use recipe::{DigitPart, Part};
use rig::DEGREES;
use rig::surface::{Surface, surfaces};
use rig::{AnchorId, Node, NodeId, Plant, Posed, Rig, Transform, Vec3};
use std::f64::consts::PI;

/// How a planted node has turned on its surface since it was planted.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Roll {
    /// About the surface's normal, degrees, anticlockwise seen from outside.
    pub about: f64,
    /// Across it, degrees.
    pub across: f64,
    /// How far the contact has wandered by rolling, mm.
    pub drift: f64,
}

/// A planted node's gauges.
#[derive(Clone, Debug, PartialEq)]
pub struct Contact {
    /// The node.
    pub node: NodeId,
    /// The anchor that holds it, if one does.
    pub anchor: Option<AnchorId>,
    /// How fully it is down, 0 to 1.
    pub hold: f64,
    /// mm, as [`Posed::slip`] tells it: what of its way is not rolling.
    pub slip: f64,
    /// How it has turned since.
    pub roll: Roll,
    /// Its flesh's distance from the surface, mm; negative: into it. None: no surface.
    pub clearance: Option<f64>,
    /// mm left before it is out of reach; with a contact, of surface.
    pub reach: Option<f64>,
    /// The joint of its chain nearest to a limit.
    pub room: Option<Room>,
}

/// Gauges of everything planted in an evaluated pose, in document order.
pub fn contacts(posed: &Posed) -> Vec<Contact> {
    let rig = posed.rig();
    let (before, flesh) = (planted(posed), Flesh::of(rig));
    let plants = rig.plants.iter();
    plants
        .filter_map(|plant| read(posed, &before, &flesh, plant))
        .collect()
}

/// Gauges of one planted node; none if it is not planted.
pub fn contact(posed: &Posed, node: NodeId) -> Option<Contact> {
    let rig = posed.rig();
    let plant = rig.plants.iter().find(|plant| plant.node == node)?;
    read(posed, &planted(posed), &Flesh::of(rig), plant)
}

fn read(posed: &Posed, before: &Posed, flesh: &Flesh, plant: &Plant) -> Option<Contact> {
    let rig = posed.rig();
    let node = rig.node(plant.node)?;
    let anchor = rig.anchors.iter().find(|anchor| anchor.end == node.id);
    let anchor = anchor.map(|anchor| anchor.id);
    let room = anchor.map(|anchor| survey::room(posed, anchor));
    let nearest = |a: Room, b: Room| if b.margin < a.margin { b } else { a };
    Some(Contact {
        node: node.id,
        anchor,
        hold: posed.down(node.id)?,
        slip: posed.slip(node.id)?,
        roll: roll(posed, before, plant, 0.5 * node.width),
        clearance: clearance(posed, flesh, node),
        reach: anchor.map(|anchor| posed.outcome(anchor).reach_margin),
        room: room.and_then(|room| room.into_iter().reduce(nearest)),
    })
}

/// A rotation split into its twist about a direction and the swing across it: with the unit
/// quaternion (v, w) and a = v·n the twist's half angle is atan2(a, w), and the swing's has the
/// cosine √(w² + a²) (swing–twist split, common knowledge).
fn roll(posed: &Posed, before: &Posed, plant: &Plant, radius: f64) -> Roll {
    // Seen from the surface that carries the plant, which may have moved itself.
    let frame = |posed: &Posed| {
        let world = posed.world(plant.node).rotation;
        plant.surface.map_or(world, |surface| {
            posed.world(surface).rotation.inverse() * world
        })
    };
    let turn = (frame(posed) * frame(before).inverse()).into_inner();
    let normal = normal(before, plant);
    let (vector, w) = (turn.imag(), turn.w);
    let along = vector.dot(&normal);
    let across = (vector - normal * along).norm();
    let mut about = 2.0 * libm::atan2(along, w);
    if about > PI {
        about -= 2.0 * PI;
    } else if about <= -PI {
        about += 2.0 * PI;
    }
    let across = 2.0 * libm::atan2(across, libm::hypot(w, along));
    Roll {
        about: about * DEGREES,
        across: across * DEGREES,
        drift: radius * across,
    }
}

/// The direction off the surface where a node was planted, in the frame of what carries the
/// plant. Without a surface: its carrier's y, as on a bench.
fn normal(before: &Posed, plant: &Plant) -> Vec3 {
    let frame = plant
        .surface
        .map_or(Transform::identity(), |node| *before.world(node));
    let at = before.point(plant.node);
    match nearest(&surfaces(before), plant.surface, &at) {
        Some(surface) => frame.rotation.inverse() * surface.normal(&at),
        None => Vec3::y(),
    }
}

/// The surface a point belongs to: its carrier's own, else the nearest.
pub(super) fn nearest(all: &[Surface], carrier: Option<NodeId>, at: &Vec3) -> Option<Surface> {
    let own = all.iter().find(|s| carrier.is_some() && s.node == carrier);
    let nearer = |a: Surface, b: Surface| {
        if b.distance(at) < a.distance(at) {
            b
        } else {
            a
        }
    };
    own.copied().or_else(|| all.iter().copied().reduce(nearer))
}

/// Distance of a node's flesh from a surface, mm: of a hand's part the flesh that is drawn about
/// it; of any other node a sphere of half its width from the surface of its plant, else the
/// nearest.
pub(super) fn clearance(posed: &Posed, flesh: &Flesh, node: &Node) -> Option<f64> {
    let rig = posed.rig();
    if let Some(clear) = flesh.clearance(posed, carrier(rig, node), None) {
        return Some(clear);
    }
    let plant = rig.plants.iter().find(|plant| plant.node == node.id);
    let carrier = plant.and_then(|plant| plant.surface);
    let at = posed.point(node.id);
    let surface = nearest(&surfaces(posed), carrier, &at)?;
    Some(surface.distance(&at) - 0.5 * node.width)
}

/// The joint whose flesh a node stands for: a digit's contacts are on its last bone.
fn carrier(rig: &Rig, node: &Node) -> NodeId {
    let last = match &node.part {
        Some(Part::Digit(digit, DigitPart::Pad | DigitPart::Tip | DigitPart::TipContact)) => {
            rig.part(&Part::of(digit, DigitPart::PhalanxDistal))
        }
        Some(Part::Heel) => rig.part(&Part::Wrist),
        _ => None,
    };
    last.map_or(node.id, |last| last.id)
}
