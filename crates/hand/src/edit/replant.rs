//! Planting the hand anew as it stands, which moves nothing.
use super::plant::{THERE, hold_here, node_mut};
use super::refusal::Refusal;
use crate::build::rolls;
use recipe::{Part, Press};
use rig::{Dial, Document, Drive, Kind, NodeId, Plant, Posed, Share, Shared, Transform, Vec3};
use std::collections::BTreeMap;

/// A control turned by less than about twice this, radians, stands as it was built.
const TURNED: f64 = 1e-12;
/// What a link's threshold keeps at least of its distance from 0, in its channel's unit.
const LEAST: f64 = 1.0;

/// Brings the dials that turn controls on the planted surfaces back to neutral; what they did
/// becomes where the controls rest.
pub(super) fn replant(posed: &Posed, to: &mut Document) -> Result<String, Refusal> {
    let on_surface = |to: &Document, id: NodeId| {
        let mount = to.node(id).filter(|node| node.kind == Kind::Mount);
        let carried = |plant: &Plant| {
            plant
                .surface
                .is_none_or(|surface| surface != id && to.is_below(id, surface))
        };
        mount.is_some() && to.plants.iter().any(carried)
    };
    let presses = |dial: &&Shared<Dial>| {
        let nodes = dial.drives.iter().filter_map(Drive::node);
        nodes.into_iter().any(|id| on_surface(to, id))
    };
    let dials: Vec<_> = to.dials.iter().filter(presses).map(|d| d.id).collect();
    if dials.is_empty() {
        return Err(Refusal::NothingToReplant);
    }
    let mut after = posed.clone();
    let mut moved = Vec::new();
    for (dial, value) in to.rig.dials.iter().zip(&mut to.setting.dials) {
        if dials.contains(&dial.id) {
            after.set_dial(dial.id, dial.neutral);
            *value = dial.neutral;
            moved.extend(dial.drives.iter().filter_map(Drive::node));
        }
    }
    for link in &to.links {
        if moved.contains(&link.node) {
            moved.extend(link.to.iter().map(|passed| passed.node));
        }
    }
    after.evaluate();
    moved.retain(|&id| to.node(id).is_some_and(|node| node.kind == Kind::Mount));
    moved.sort_unstable();
    moved.dedup();
    rest_there(posed, &after, to, &moved)?;
    count_on(posed, &after, to);
    for at in 0..to.plants.len() {
        let Plant { node, surface, .. } = to.plants[at];
        let here = posed.local(surface, &posed.point(node));
        if (Vec3::from(here) - Vec3::from(to.plants[at].at)).norm() > THERE {
            to.plants[at].at = here;
        }
        to.plants[at].turned = rolls::turn(to, posed, node, surface);
        if let Some(anchor) = to.anchors.iter().position(|anchor| anchor.end == node) {
            hold_here(to, posed, anchor, surface)?;
        }
    }
    Ok("plant the hand as it stands".to_owned())
}

/// What is passed on is counted on from where it stands, so that who follows stays, and what runs
/// over does so where it did.
fn count_on(posed: &Posed, after: &Posed, to: &mut Document) {
    for at in 0..to.links.len() {
        let ((passed, kept), (passed_then, kept_then)) = (posed.linked(at), after.linked(at));
        match &mut to.links[at].share {
            Share::All { from } => *from += passed_then - passed,
            Share::Past { from, .. } => {
                let side = if *from < 0.0 { -1.0 } else { 1.0 };
                let left = side * (*from + kept_then - kept);
                *from = side * if left > LEAST { left } else { LEAST };
            }
            // No control fades: what does is a digit's own, which stays as it is.
            Share::Fading { .. } => {}
        }
    }
}

/// Makes controls rest where they are now. Those that roll are kept level with their surface, for
/// it is along it that they travel: what they carry takes their turn over.
fn rest_there(
    posed: &Posed,
    after: &Posed,
    to: &mut Document,
    moved: &[NodeId],
) -> Result<(), Refusal> {
    let level = level(posed, after, to);
    let place = |id: NodeId| level.get(&id).unwrap_or(posed.world(id));
    let mut hung: Vec<_> = moved.to_vec();
    let carried = to.nodes.iter().filter(|node| {
        let above = node.parent;
        above.is_some_and(|above| level.contains_key(&above)) && !moved.contains(&node.id)
    });
    hung.extend(carried.map(|node| node.id));
    for id in hung {
        let parent = to.node(id).and_then(|node| node.parent);
        let then = after.channel_local(id);
        let eased = level.contains_key(&id) || parent.is_some_and(|id| level.contains_key(&id));
        let now = match parent {
            Some(parent) if eased => place(parent).inv_mul(place(id)),
            None if eased => *place(id),
            _ => posed.channel_local(id),
        };
        if now != then {
            let node = node_mut(to, id)?;
            let old = node.rest();
            node.set_rest(&(now * then.inv_mul(&old)));
        }
    }
    Ok(())
}

/// Where the pivots that roll are to rest: where they are, turned with the twist alone.
fn level(posed: &Posed, after: &Posed, to: &Document) -> BTreeMap<NodeId, Transform> {
    let rolls = [Press::Tips, Press::InnerEdge, Press::OuterEdge, Press::Heel];
    let Some(twist) = to.part(&Part::Pivot(Press::Twist)) else {
        return BTreeMap::new();
    };
    let twist = twist.id;
    let turned = posed.world(twist).rotation * after.world(twist).rotation.inverse();
    let pivots = rolls.into_iter().filter_map(|pivot| {
        let pivot = to.part(&Part::Pivot(pivot))?.id;
        let (now, then) = (posed.world(pivot), after.world(pivot));
        let level = Transform::from_parts(now.translation, turned * then.rotation);
        // Those that have not turned keep their bits.
        let off = (level.rotation.coords - now.rotation.coords).norm();
        (to.is_below(pivot, twist) && off > TURNED).then_some((pivot, level))
    });
    pivots.collect()
}
