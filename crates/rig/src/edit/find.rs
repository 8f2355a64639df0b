//! What an edit names, found or refused.
use super::refusal::{Refusal, refuse};
use crate::{Anchor, AnchorId, Dial, DialId, Node, NodeId, Rig, validate};

fn lost(kind: &str) -> Refusal {
    Refusal {
        why: format!("that {kind} is no longer in the document"),
        mend: "choose one that is".to_owned(),
    }
}

pub(super) fn node(document: &Rig, id: NodeId) -> Result<&Node, Refusal> {
    document.node(id).ok_or_else(|| lost("node"))
}

pub(super) fn node_mut(document: &mut Rig, id: NodeId) -> Result<&mut Node, Refusal> {
    let found = document.nodes.iter_mut().find(|n| n.id == id);
    found.map(|node| &mut **node).ok_or_else(|| lost("node"))
}

pub(super) fn dial(document: &Rig, id: DialId) -> Result<&Dial, Refusal> {
    document.dial(id).ok_or_else(|| lost("dial"))
}

pub(super) fn dial_mut(document: &mut Rig, id: DialId) -> Result<&mut Dial, Refusal> {
    let found = document.dials.iter_mut().find(|d| d.id == id);
    found.map(|dial| &mut **dial).ok_or_else(|| lost("dial"))
}

pub(super) fn anchor(document: &Rig, id: AnchorId) -> Result<&Anchor, Refusal> {
    document.anchor(id).ok_or_else(|| lost("anchor"))
}

pub(super) fn finite(numbers: impl IntoIterator<Item = f64>) -> Result<(), Refusal> {
    if numbers
        .into_iter()
        .all(|x| x.is_finite() && x.abs() <= validate::LARGEST)
    {
        return Ok(());
    }
    refuse("that is not a number a rig can have", "give a plain number")
}
