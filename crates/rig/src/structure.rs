//! A rig: what stands where and what moves it, but not how far.
use crate::index::Index;
use crate::{Anchor, AnchorId, Dial, DialId, Grip, Link, Node, NodeId, Plant, Shared};
use recipe::{DialRole, Part, Recipe};
use std::ops::Deref;

/// The structure: everything but where dials and switches stand. Node order is free; parents
/// are found by id.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rig {
    /// Shown on screen and used as a file name.
    pub name: String,
    /// Height of the bench's top, mm along world +y; none: no bench.
    pub bench: Option<f64>,
    /// Joints and mounts.
    pub nodes: Vec<Shared<Node>>,
    /// Anchors.
    pub anchors: Vec<Shared<Anchor>>,
    /// Dials. Everything that moves is moved by a dial.
    pub dials: Vec<Shared<Dial>>,
    /// What the dials make of channels, passed on to others.
    pub links: Vec<Link>,
    /// Contacts kept.
    pub plants: Vec<Plant>,
    /// What the hand was built from, if it was: kept so that its proportions and its planting
    /// can be edited afterwards.
    pub hand: Option<Box<Recipe>>,
    /// The next id to give out, for all three kinds.
    pub next_id: u32,
}

impl Rig {
    /// A node by id.
    pub fn node(&self, id: NodeId) -> Option<&Node> {
        self.nodes.iter().map(Deref::deref).find(|n| n.id == id)
    }
    /// A node by name.
    pub fn node_named(&self, name: &str) -> Option<&Node> {
        self.nodes.iter().map(Deref::deref).find(|n| n.name == name)
    }
    /// The node that is this part of a hand.
    pub fn part(&self, part: &Part) -> Option<&Node> {
        let mut nodes = self.nodes.iter().map(Deref::deref);
        nodes.find(|node| node.part.as_ref() == Some(part))
    }
    /// The dial that does this.
    pub fn role(&self, role: &DialRole) -> Option<&Dial> {
        let mut dials = self.dials.iter().map(Deref::deref);
        dials.find(|dial| dial.role.as_ref() == Some(role))
    }
    /// Takes dials that are gone out of every grip.
    pub fn drop_lost_grips(&mut self) {
        let dials = Index::new(self.dials.iter().map(|d| d.id.0));
        for node in &mut self.nodes {
            let Grip::Dials(held) = &node.grip else {
                continue;
            };
            if held.iter().all(|id| dials.get(id.0).is_some()) {
                continue;
            }
            let left = held.iter().copied();
            let left: Vec<_> = left.filter(|id| dials.get(id.0).is_some()).collect();
            node.grip = if left.is_empty() {
                Grip::None
            } else {
                Grip::Dials(left)
            };
        }
    }
    /// Gives out the next id.
    pub fn take_id(&mut self) -> u32 {
        self.next_id += 1;
        self.next_id - 1
    }
    /// An anchor by id.
    pub fn anchor(&self, id: AnchorId) -> Option<&Anchor> {
        self.anchors.iter().map(Deref::deref).find(|a| a.id == id)
    }
    /// An anchor by name.
    pub fn anchor_named(&self, name: &str) -> Option<&Anchor> {
        self.anchors
            .iter()
            .map(Deref::deref)
            .find(|a| a.name == name)
    }
    /// A dial by id.
    pub fn dial(&self, id: DialId) -> Option<&Dial> {
        self.dials.iter().map(Deref::deref).find(|d| d.id == id)
    }
    /// A dial by name.
    pub fn dial_named(&self, name: &str) -> Option<&Dial> {
        self.dials.iter().map(Deref::deref).find(|d| d.name == name)
    }
    /// Children of a node (or the roots), in document order.
    pub fn children(&self, of: Option<NodeId>) -> impl Iterator<Item = &Node> {
        self.nodes
            .iter()
            .map(Deref::deref)
            .filter(move |n| n.parent == of)
    }
    /// Whether `node` is `ancestor` or below it.
    pub fn is_below(&self, node: NodeId, ancestor: NodeId) -> bool {
        let mut at = Some(node);
        while let Some(id) = at {
            if id == ancestor {
                return true;
            }
            at = self.node(id).and_then(|n| n.parent);
        }
        false
    }
}
