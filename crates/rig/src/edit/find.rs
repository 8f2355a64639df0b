//! What an edit names, found or refused.
use super::refusal::Refusal;
use crate::fault::{Item, Value};
use crate::{Anchor, AnchorId, Dial, DialId, Node, NodeId, Rig, validate};

pub(super) fn node(document: &Rig, id: NodeId) -> Result<&Node, Refusal> {
    document.node(id).ok_or(Refusal::Lost(Item::Node))
}

pub(super) fn node_mut(document: &mut Rig, id: NodeId) -> Result<&mut Node, Refusal> {
    let found = document.nodes.iter_mut().find(|n| n.id == id);
    found
        .map(|node| &mut **node)
        .ok_or(Refusal::Lost(Item::Node))
}

pub(super) fn dial(document: &Rig, id: DialId) -> Result<&Dial, Refusal> {
    document.dial(id).ok_or(Refusal::Lost(Item::Dial))
}

pub(super) fn dial_mut(document: &mut Rig, id: DialId) -> Result<&mut Dial, Refusal> {
    let found = document.dials.iter_mut().find(|d| d.id == id);
    found
        .map(|dial| &mut **dial)
        .ok_or(Refusal::Lost(Item::Dial))
}

pub(super) fn anchor(document: &Rig, id: AnchorId) -> Result<&Anchor, Refusal> {
    document.anchor(id).ok_or(Refusal::Lost(Item::Anchor))
}

pub(super) fn finite(numbers: impl IntoIterator<Item = f64>) -> Result<(), Refusal> {
    if numbers
        .into_iter()
        .all(|x| x.is_finite() && x.abs() <= validate::LARGEST)
    {
        return Ok(());
    }
    Err(Refusal::Document(Value::NoNumber.into()))
}
