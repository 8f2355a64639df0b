//! A hand built anew from another recipe, in place of the one there is.
//!
//! What was built is told from what the user made by building the old recipe once more: items
//! of its parts and roles are the hand's, whatever they are called, and so are anchors of its
//! names; all others are the user's own. Of the hand's items the user's settings and names stay
//! where they differ from what was built; where a node hangs and rests is the recipe's again.
use super::refusal::{Need, Refusal};
use crate::build;
use crate::build::sideways::{is_same_way, is_sideways};
use recipe::{DigitPart, Recipe};
use rig::fault::Item;
use rig::*;
use std::collections::BTreeMap;

pub(super) fn remake(to: &mut Document, recipe: &Recipe) -> Result<String, Refusal> {
    let Some(before) = to.hand.as_deref() else {
        return Err(Refusal::NotAHand);
    };
    let mut next = to.next_id;
    let old = renumbered(build::document(before)?, to, &mut next);
    let mut new = renumbered(build::document(recipe)?, to, &mut next);

    for node in &mut new.nodes {
        if let (Some(mine), Some(was)) = (to.node(node.id), old.node(node.id)) {
            keep(&mut node.name, &mine.name, &was.name);
            keep(&mut node.order, &mine.order, &was.order);
            keep(&mut node.width, &mine.width, &was.width);
            keep(&mut node.grip, &mine.grip, &was.grip);
            keep(&mut node.hidden, &mine.hidden, &was.hidden);
            for (limit, (mine, was)) in node
                .limits
                .iter_mut()
                .zip(mine.limits.iter().zip(&was.limits))
            {
                keep(limit, mine, was);
            }
        }
    }
    for (anchor, active) in new.rig.anchors.iter().zip(&mut new.setting.active) {
        if let (Some(mine), Some(was)) = (to.is_active(anchor.id), old.is_active(anchor.id)) {
            keep(active, &mine, &was);
        }
    }
    let other_way = is_same_way(&before.hand) != is_same_way(&recipe.hand);
    for (dial, value) in new.rig.dials.iter_mut().zip(&mut new.setting.dials) {
        if let (Some(mine), Some(was)) = (to.value(dial.id), old.value(dial.id)) {
            // The pose stays, or its image in a mirror, whichever way it is counted.
            let turned = other_way && is_sideways(dial);
            let counted = |value: f64| if turned { 0.0 - value } else { value };
            keep(value, &counted(mine), &counted(was));
            *value = dial.clamped(*value);
        }
        if let (Some(mine), Some(was)) = (to.dial(dial.id), old.dial(dial.id)) {
            keep(&mut dial.name, &mine.name, &was.name);
            keep(&mut dial.softness, &mine.softness, &was.softness);
            // What the hand's own dial drives is the recipe's again: a file of an earlier version
            // may have it otherwise.
            let drives = |drives: &[Drive], own: &Drive| {
                drives.iter().any(|drive| drive.target == own.target)
            };
            let own = mine.drives.iter();
            let own = own.filter(|own| !drives(&was.drives, own) && !drives(&dial.drives, own));
            let own: Vec<_> = own.cloned().collect();
            dial.drives.extend(own);
        }
    }
    names_are_free(to, &old, &new)?;
    add_own(to, &old, &mut new);
    nothing_dangles(to, &new)?;
    new.drop_lost_grips();

    (new.rig.name, new.rig.bench) = (to.name.clone(), to.bench);
    new.rig.next_id = next;
    *to = new;
    Ok("rebuild the hand".to_owned())
}

/// What the user changed stays.
fn keep<T: PartialEq + Clone>(new: &mut T, mine: &T, was: &T) {
    if mine != was {
        new.clone_from(mine);
    }
}

/// Refuses a hand that would take a name the user has given to something of their own.
fn names_are_free(to: &Rig, old: &Rig, new: &Rig) -> Result<(), Refusal> {
    fn taken<'a>(
        item: Item,
        mut own: impl Iterator<Item = &'a String>,
        is_new: impl Fn(&str) -> bool,
    ) -> Result<(), Refusal> {
        match own.find(|name| is_new(name)) {
            None => Ok(()),
            Some(name) => Err(Refusal::NameTaken(item, name.clone())),
        }
    }
    let nodes = to.nodes.iter().filter(|item| old.node(item.id).is_none());
    let names = nodes.map(|item| &item.name);
    taken(Item::Node, names, |name| new.node_named(name).is_some())?;
    let anchors = to.anchors.iter();
    let anchors = anchors.filter(|item| old.anchor(item.id).is_none());
    let names = anchors.map(|item| &item.name);
    taken(Item::Anchor, names, |name| new.anchor_named(name).is_some())?;
    let dials = to.dials.iter().filter(|item| old.dial(item.id).is_none());
    let names = dials.map(|item| &item.name);
    taken(Item::Dial, names, |name| new.dial_named(name).is_some())
}

/// Adds what the user made to the hand built anew.
fn add_own(to: &Document, old: &Document, new: &mut Document) {
    let own = to.nodes.iter().filter(|item| old.node(item.id).is_none());
    new.nodes.extend(own.cloned());
    for (item, &active) in to.anchors.iter().zip(&to.setting.active) {
        if old.anchor(item.id).is_none() {
            new.add_anchor(Anchor::clone(item), active);
        }
    }
    for (item, &value) in to.dials.iter().zip(&to.setting.dials) {
        if old.dial(item.id).is_none() {
            new.add_dial(Dial::clone(item), value);
        }
    }
    // What the hand's own channels pass on is the recipe's again, as where its nodes rest is.
    let own = to.links.iter().filter(|link| old.node(link.node).is_none());
    new.links.extend(own.cloned());
    let planted = |plants: &[Plant], node| plants.iter().any(|plant| plant.node == node);
    let own = to.plants.iter();
    let own: Vec<_> = own
        .filter(|own| !planted(&old.plants, own.node) && !planted(&new.plants, own.node))
        // Digits were planted by their pads before they rolled.
        .filter(|own| {
            let part = old.node(own.node).and_then(|node| node.part.as_ref());
            !matches!(part, Some(Part::Digit(_, DigitPart::Pad)))
        })
        .cloned()
        .collect();
    new.plants.extend(own);
}

/// Refuses a hand that lacks what something of the user's hangs from, holds to, is held by or
/// moves.
fn nothing_dangles(to: &Document, new: &Document) -> Result<(), Refusal> {
    let check = |needed: Need, ids: &[NodeId]| {
        let lost = ids.iter().find(|&&id| new.node(id).is_none());
        lost.map_or(Ok(()), |&id| {
            let name = to.node(id).map_or("?", |node| &node.name).to_owned();
            Err(Refusal::Lacks { name, needed })
        })
    };
    for node in &new.nodes {
        let parent: Vec<_> = node.parent.into_iter().collect();
        check(Need::Node(node.name.clone()), &parent)?;
    }
    for anchor in &new.anchors {
        let mut ids = vec![anchor.base, anchor.end, anchor.target];
        if let Solver::TwoBone { pole, .. } = anchor.solver {
            ids.extend(pole);
        }
        check(Need::Anchor(anchor.name.clone()), &ids)?;
    }
    for dial in &new.dials {
        let needed = Need::Dial(dial.name.clone());
        let nodes: Vec<_> = dial.drives.iter().filter_map(Drive::node).collect();
        check(needed.clone(), &nodes)?;
        let mut anchors = dial.drives.iter().filter_map(Drive::anchor);
        if let Some(id) = anchors.find(|&id| new.anchor(id).is_none()) {
            let name = to.anchor(id).map_or("?", |anchor| &anchor.name).to_owned();
            return Err(Refusal::Lacks { name, needed });
        }
    }
    for link in &new.links {
        let to = link.to.iter().map(|passed| passed.node);
        let ids: Vec<_> = to.chain([link.node]).collect();
        check(Need::Link, &ids)?;
    }
    for plant in &new.plants {
        let ids: Vec<_> = plant.surface.into_iter().chain([plant.node]).collect();
        check(Need::Plant, &ids)?;
    }
    Ok(())
}

/// A document with the ids of another where parts, roles or, without these, names agree, and new
/// ones where not.
fn renumbered(mut document: Document, like: &Document, next: &mut u32) -> Document {
    let mut fresh = || {
        *next += 1;
        *next - 1
    };
    let mut ids = BTreeMap::new();
    for node in &document.nodes {
        let known = match &node.part {
            Some(part) => like.part(part),
            None => like.node_named(&node.name),
        };
        let known = known.map(|node| node.id.0);
        ids.insert(node.id.0, known.unwrap_or_else(&mut fresh));
    }
    for anchor in &document.anchors {
        let known = like.anchor_named(&anchor.name).map(|anchor| anchor.id.0);
        ids.insert(anchor.id.0, known.unwrap_or_else(&mut fresh));
    }
    for dial in &document.dials {
        let known = match &dial.role {
            Some(role) => like.role(role),
            None => like.dial_named(&dial.name),
        };
        let known = known.map(|dial| dial.id.0);
        ids.insert(dial.id.0, known.unwrap_or_else(&mut fresh));
    }
    // Ids are given out once per document, so one table serves all three kinds.
    let node = |id: &mut NodeId| id.0 = ids[&id.0];
    for item in &mut document.nodes {
        node(&mut item.id);
        item.parent.iter_mut().for_each(node);
        if let Grip::Dials(dials) = &mut item.grip {
            dials.iter_mut().for_each(|id| id.0 = ids[&id.0]);
        }
    }
    for item in &mut document.anchors {
        let item: &mut Anchor = item;
        item.id.0 = ids[&item.id.0];
        [&mut item.base, &mut item.end, &mut item.target]
            .into_iter()
            .for_each(node);
        if let Solver::TwoBone { pole, .. } = &mut item.solver {
            pole.iter_mut().for_each(node);
        }
    }
    for item in &mut document.dials {
        item.id.0 = ids[&item.id.0];
        for drive in &mut item.drives {
            match &mut drive.target {
                Target::Channel(id, _) => node(id),
                Target::Collapse(id) | Target::Hold(id) => id.0 = ids[&id.0],
            }
        }
    }
    for item in &mut document.links {
        node(&mut item.node);
        item.to.iter_mut().for_each(|passed| node(&mut passed.node));
    }
    for item in &mut document.plants {
        node(&mut item.node);
        item.surface.iter_mut().for_each(node);
    }
    document
}
