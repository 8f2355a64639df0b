//! Random fingers and thumbs: held as a point, or by a contact that rolls.
use crate::random::Random;
use rig::{Contact, Document, NodeId, Posed, RADIANS, Rotation, Round, Solver, Vec3};
use std::f64::consts::PI;

/// A finger's solver.
pub(crate) fn finger(random: &mut Random) -> Solver {
    Solver::Finger {
        coupling: random.between(0.0, 1.0),
        rest: random.between(-30.0, 30.0),
        collapse: if random.chance(5) {
            0.0
        } else {
            random.between(0.0, 1.5)
        },
        give: random.between(0.0, 20.0),
        contact: contact(random),
    }
}

/// A thumb's.
pub(crate) fn thumb(random: &mut Random) -> Solver {
    Solver::Thumb {
        rest: [(); 2].map(|()| random.between(-20.0, 60.0)),
        contact: contact(random),
    }
}

/// Six of ten have one: of any size, planted anyhow.
fn contact(random: &mut Random) -> Option<Contact> {
    if !random.chance(6) {
        return None;
    }
    let radius = random.between(2.0, 15.0);
    Some(Contact {
        radius,
        pad: if random.chance(2) {
            radius
        } else {
            radius * random.between(1.0, 8.0)
        },
        changeover: random.between(-5.0, 30.0),
        joints: [(); 2].map(|()| random.between(0.0, 12.0)),
        pitch: random.between(-30.0, 110.0),
        tilt: random.between(-85.0, 85.0),
        heading: random.between(-180.0, 180.0),
        round: random.chance(4).then(|| round(random)),
    })
}

/// A rail, an edge planted on its round part, or one planted on a flat part before or after it.
fn round(random: &mut Random) -> Round {
    let radius = if random.chance(2) {
        0.0
    } else {
        random.between(1.0, 80.0)
    };
    let [ahead, from, to] = match random.below(4) {
        0 => [0.0, -180.0, 180.0],
        1 => [0.0, -random.between(0.0, 90.0), random.between(0.0, 90.0)],
        2 => [random.between(0.0, 30.0), 0.0, 90.0],
        _ => [-random.between(0.0, 30.0), -90.0, 0.0],
    };
    Round {
        radius,
        ahead,
        aside: random.between(-10.0, 10.0),
        from,
        to,
    }
}

/// Leaves the joints from `base` to above `end` the turns of a finger: two next to each other in
/// the first one's order, one in each of the others.
pub(crate) fn make(document: &mut Document, random: &mut Random, base: NodeId, end: NodeId) {
    let chain = base.0..end.0;
    for node in document
        .nodes
        .iter_mut()
        .filter(|n| chain.contains(&n.id.0))
    {
        let [outer, middle, inner] = node.order.axes();
        let locked = if node.id == base {
            vec![inner]
        } else {
            vec![outer, inner]
        };
        for axis in [outer, middle, inner] {
            let (min, max) = (random.between(-60.0, -5.0), random.between(5.0, 100.0));
            let more = random.chance(3).then(|| random.between(0.0, 30.0));
            node.loaded[axis] = more
                .filter(|_| !locked.contains(&axis))
                .map(|more| (min - more, max));
            node.limits[axis] = Some(if locked.contains(&axis) {
                (0.0, 0.0)
            } else {
                (min, max)
            });
        }
    }
}

/// Hangs a digit's target where its end is, or some mm from that, and turns it so that the last bone
/// lies on it as the contact was planted: else hardly any digit at random is held.
pub(crate) fn near(document: &mut Document, random: &mut Random, end: NodeId, target: NodeId) {
    let Ok(posed) = Posed::new(document) else {
        return;
    };
    let anchor = document.anchors.iter().find(|anchor| anchor.end == end);
    let contact = anchor.and_then(|anchor| anchor.solver.contact().copied());
    let Some(at) = document.nodes.iter().position(|node| node.id == target) else {
        return;
    };
    let above = document.nodes[at].parent.map(|parent| *posed.world(parent));
    let above = above.unwrap_or_default();
    let size = if random.chance(5) { 4.0 } else { 20.0 };
    let off = Vec3::from(random.vector(size));
    let place = above.inverse_transform_point(&(posed.point(end) + off).into());
    document.nodes[at].translation = place.coords.into();
    let Some(contact) = contact else { return };
    let bone = document.node(end).and_then(|end| end.parent);
    let last = above.rotation.inverse() * posed.world(bone.unwrap_or(end)).rotation;
    let lies = last * stand(&contact).inverse();
    let coordinates = lies.into_inner().coords;
    document.nodes[at].rotation = (coordinates / coordinates.norm()).into();
}

/// A last bone's frame over a level surface: flat along x, then pitched, tilted and headed.
fn stand(contact: &Contact) -> Rotation {
    let turn = |axis: Vec3, angle: f64| Rotation::from_scaled_axis(axis * angle);
    let [pitch, tilt, heading] =
        [contact.pitch, contact.tilt, contact.heading].map(|angle| angle * RADIANS);
    let flat = turn(Vec3::new(1.0, -1.0, 0.0).normalize(), PI);
    turn(Vec3::y(), heading) * turn(Vec3::x(), -tilt) * turn(Vec3::z(), -pitch) * flat
}
