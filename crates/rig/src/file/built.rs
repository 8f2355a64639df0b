//! A document from its file: listed part by part, or built from a hand's recipe and then set.
use super::brief::Brief;
use super::convert::{self, Names, into_grip};
use super::hands::Hands;
use super::{bounds, format as f};
use crate::fault::{Content, Item};
use crate::few;
use crate::text::quoted;
use crate::{Document, Fault, Grip, Kind, NodeId, Refusal, validate};
use recipe::Recipe;
use std::collections::{BTreeMap, BTreeSet};

pub fn into_document(file: f::File<Brief>, hands: Option<&Hands>) -> Result<Document, Fault> {
    let (set, shift, grips) = (file.set.clone(), file.shift.clone(), file.grips.clone());
    let mut document = match &file.hand {
        Some(given) if file.nodes.as_ref().is_none_or(Vec::is_empty) => {
            from_recipe(&given.0, &file, hands)?
        }
        _ => convert::listed(file)?,
    };
    for (name, value) in set {
        let dial = document.dials.iter().position(|dial| dial.name == name);
        let dial = dial.ok_or_else(|| Fault::new("set", Content::UnknownSet(name)))?;
        document.setting.dials[dial] = value;
    }
    // Shifting solves the document, which only one that passed may be.
    if !shift.is_empty() {
        validate::document(&document)?;
    }
    for (name, by) in shift {
        shifted(&mut document, &name, by)?;
    }
    if let Some(grips) = grips {
        regrip(&mut document, grips)?;
    }
    Ok(document)
}

/// Moves a node as it is with every dial neutral.
fn shifted(document: &mut Document, name: &str, by: [f64; 3]) -> Result<(), Fault> {
    let place = format!("shift {}", quoted(name));
    let nodes = Names::new(Item::Node, document.nodes.iter().map(|n| (&n.name, n.id.0)));
    let node = NodeId(nodes.find(&place, name)?);
    let mut posed = crate::Posed::new(document)?;
    posed.set_neutral();
    posed.evaluate();
    let to = posed.point(node) + crate::Vec3::from(by);
    let edit = crate::Edit::MovePivot { node, to };
    let mut moved = posed.document().clone();
    crate::edit::apply(&mut moved, &edit).map_err(|refusal| match refusal {
        Refusal::Document(kind) => Fault::new(place, kind),
        _ => Fault::new(place, Content::Unknown(Item::Node, name.to_owned())),
    })?;
    document.rig = moved.rig;
    Ok(())
}

/// Takes every grip away, then gives these.
fn regrip(document: &mut Document, grips: BTreeMap<String, f::Grip>) -> Result<(), Fault> {
    let nodes = Names::new(Item::Node, document.nodes.iter().map(|n| (&n.name, n.id.0)));
    let dials = Names::new(Item::Dial, document.dials.iter().map(|d| (&d.name, d.id.0)));
    let mut lost = BTreeSet::new();
    for node in &mut document.nodes {
        if std::mem::replace(&mut node.grip, Grip::None) != Grip::None {
            lost.insert(node.id);
        }
    }
    let mut given = BTreeMap::new();
    for (name, grip) in grips {
        let id = NodeId(nodes.find("grips", &name)?);
        let grip = into_grip(grip, &format!("grips {}", quoted(&name)), &dials)?;
        given.insert(id, grip);
    }
    // A mount that was there to be gripped has nothing more to show.
    let parents = document.nodes.iter().filter_map(|node| node.parent);
    let targets = document.anchors.iter().map(|anchor| anchor.target);
    let busy = few::set(parents.chain(targets));
    for node in &mut document.nodes {
        if let Some(grip) = given.remove(&node.id) {
            node.grip = grip;
        }
        let idle = node.grip == Grip::None && !busy.contains(&node.id);
        node.hidden |= idle && node.kind == Kind::Mount && lost.contains(&node.id);
    }
    Ok(())
}

/// A document of which only the recipe is given.
fn from_recipe(
    recipe: &Recipe,
    file: &f::File<Brief>,
    hands: Option<&Hands>,
) -> Result<Document, Fault> {
    let Some(hands) = hands else {
        return Err(Fault::new("hand", Content::Unbuilt));
    };
    let listed = !(file.anchors.is_empty() && file.dials.is_empty());
    if listed || !(file.links.is_empty() && file.plants.is_empty()) {
        return Err(Fault::new("hand", Content::Nodeless));
    }
    bounds::recipe(recipe)?;
    let mut document = (hands.build)(recipe)?;
    if !file.name.is_empty() {
        document.name.clone_from(&file.name);
    }
    document.bench = file.bench.or(document.bench);
    Ok(document)
}
