//! Edits that change who hangs where, and keep the world as it is.
//!
//! A node's local transform is `rest · channels`, and an anchor starts from it each time. So a
//! node keeps its world under another parent when `parent′ · rest′ = parent · rest`, whatever
//! its channels and anchors do: only rest transforms are worked out anew, and nothing jumps.
use super::find::{self, finite, node, node_mut};
use super::refusal::Refusal;
use crate::{AnchorId, Channel, Document, Node, NodeId, Posed, Rotation, Transform, Vec3};

pub(super) fn insert_pivot(
    posed: &Posed,
    to: &mut Document,
    above: NodeId,
    name: &str,
    at: &Vec3,
) -> Result<String, Refusal> {
    finite(at.iter().copied())?;
    let parent = node(to, above)?.parent;
    let place = posed.local(parent, at);
    let id = NodeId(to.take_id());
    // The pivot is not turned against the parent, so the node below only shifts, exactly.
    let below = node_mut(to, above)?;
    below.parent = Some(id);
    for (shift, pivot) in below.translation.iter_mut().zip(place) {
        *shift -= pivot;
    }
    let before = to
        .nodes
        .iter()
        .position(|n| n.id == above)
        .unwrap_or(to.nodes.len());
    to.nodes
        .insert(before, Node::mount(id, name, parent, place).into());
    Ok("insert pivot".to_owned())
}

pub(super) fn rehang(
    posed: &Posed,
    to: &mut Document,
    id: NodeId,
    parent: Option<NodeId>,
) -> Result<String, Refusal> {
    let moved = node(to, id)?;
    let label = format!("rehang {}", moved.name);
    if let Some(parent) = parent {
        let (child, carrier) = (moved.name.clone(), node(to, parent)?.name.clone());
        if parent == id {
            return Err(Refusal::CarriesItself { node: child });
        }
        if to.is_below(parent, id) {
            return Err(Refusal::Circle { child, carrier });
        }
    }
    reparent(to, posed, id, parent)?;
    Ok(label)
}

/// Hangs a node from another parent where it is in the pose shown.
fn reparent(
    to: &mut Document,
    posed: &Posed,
    id: NodeId,
    parent: Option<NodeId>,
) -> Result<(), Refusal> {
    let world = |id: Option<NodeId>| id.map_or(Transform::identity(), |id| *posed.world(id));
    let moved = node_mut(to, id)?;
    if moved.parent != parent {
        let kept = world(parent).inv_mul(&(world(moved.parent) * moved.rest()));
        moved.set_rest(&kept);
        moved.parent = parent;
    }
    Ok(())
}

pub(super) fn gather(
    posed: &Posed,
    to: &mut Document,
    anchors: &[AnchorId],
    name: &str,
    at: &Vec3,
) -> Result<String, Refusal> {
    finite(at.iter().copied())?;
    let mut targets = Vec::new();
    for &anchor in anchors {
        let anchor = find::anchor(to, anchor)?;
        if !targets.contains(&anchor.target) {
            targets.push(anchor.target);
        }
    }
    let parents = targets.iter().map(|&t| node(to, t).map(|n| n.parent));
    let parents = parents.collect::<Result<Vec<_>, _>>()?;
    let Some(&first) = parents.first() else {
        return Err(Refusal::NothingGathered);
    };
    let shared = if parents.iter().all(|&p| p == first) {
        first
    } else {
        None
    };
    let place = posed.local(shared, at);
    let id = NodeId(to.take_id());
    to.nodes.push(Node::mount(id, name, shared, place).into());
    for target in targets {
        // The carrier is not turned against its parent: bring the target under that, then shift.
        reparent(to, posed, target, shared)?;
        let target = node_mut(to, target)?;
        target.parent = Some(id);
        for (shift, carrier) in target.translation.iter_mut().zip(place) {
            *shift -= carrier;
        }
    }
    Ok(format!("gather under {name}"))
}

pub(super) fn move_to(
    posed: &Posed,
    to: &mut Document,
    id: NodeId,
    place: &Vec3,
    keep_children: bool,
) -> Result<String, Refusal> {
    finite(place.iter().copied())?;
    let moved = node(to, id)?;
    let in_parent = Vec3::from(posed.local(moved.parent, place));
    let by_channels = moved.rest().rotation * moves(posed, id);
    let wanted = Transform::from_parts((in_parent - by_channels).into(), moved.rest().rotation);
    let label = format!("move {}", moved.name);
    place_rest(to, posed, id, &wanted, keep_children)?;
    Ok(label)
}

pub(super) fn move_pivot(
    posed: &Posed,
    to: &mut Document,
    id: NodeId,
    place: &Vec3,
) -> Result<String, Refusal> {
    let old = node(to, id)?.rest();
    let label = move_to(posed, to, id, place, false)?;
    let back = node(to, id)?.rest().inv_mul(&old);
    for child in to.nodes.iter_mut().filter(|n| n.parent == Some(id)) {
        let kept = back * child.rest();
        child.set_rest(&kept);
    }
    Ok(label)
}

pub(super) fn rotate(
    posed: &Posed,
    to: &mut Document,
    id: NodeId,
    by: &Rotation,
    keep_children: bool,
) -> Result<String, Refusal> {
    finite(by.coords.iter().copied())?;
    let turned = node(to, id)?;
    let parent = turned
        .parent
        .map_or(Rotation::identity(), |p| posed.world(p).rotation);
    let old = turned.rest();
    // The same turn, seen from the parent; the origin stays, moved by channels or not.
    let rotation = parent.inverse() * by * parent * old.rotation;
    let moved = moves(posed, id);
    let origin = old.translation.vector + old.rotation * moved - rotation * moved;
    let label = format!("rotate {}", turned.name);
    let wanted = Transform::from_parts(origin.into(), rotation);
    place_rest(to, posed, id, &wanted, keep_children)?;
    Ok(label)
}

fn moves(posed: &Posed, id: NodeId) -> Vec3 {
    let [x, y, z] = [Channel::MoveX, Channel::MoveY, Channel::MoveZ];
    Vec3::new(
        posed.channel(id, x),
        posed.channel(id, y),
        posed.channel(id, z),
    )
}

/// Gives a node another rest transform; its children keep their places when wanted.
fn place_rest(
    to: &mut Document,
    posed: &Posed,
    id: NodeId,
    wanted: &Transform,
    keep_children: bool,
) -> Result<(), Refusal> {
    let placed = node_mut(to, id)?;
    let old = placed.rest();
    placed.set_rest(wanted);
    if keep_children {
        let channels = old.inv_mul(&posed.channel_local(id));
        let back = (wanted * channels).inv_mul(&(old * channels));
        for child in to.nodes.iter_mut().filter(|n| n.parent == Some(id)) {
            let kept = back * child.rest();
            child.set_rest(&kept);
        }
    }
    Ok(())
}
