//! Edits: every change to a document, each with an exact inverse.
//!
//! An [`Edit`] says what is wanted; applying it yields a [`Change`], which holds every
//! touched item before and after, so that undoing restores the very bits.
use crate::document::*;
use kinematics::{Channel, Order, Rotation, Vec3};

/// What is wanted. World positions are those of the pose now shown.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Edit {
    /// A new node at a world position. A joint gets a dial that turns it about z (and, with
    /// no parent, two that move it in x and y), and grips them.
    AddNode { name: String, kind: Kind, parent: Option<NodeId>, at: Vec3, width: f64 },
    /// A mount between a node and its parent, at a world position; every world transform is kept.
    InsertPivot { above: NodeId, name: String, at: Vec3 },
    /// Another parent, every world transform kept.
    Rehang { node: NodeId, parent: Option<NodeId> },
    /// A new carrier at a world position, carrying the targets of these anchors where they are.
    Gather { anchors: Vec<AnchorId>, name: String, at: Vec3 },
    /// An anchor holding `end` where it is now: makes its target mount (root, or under `under`) and a plant.
    AddAnchor { name: String, base: NodeId, end: NodeId, solver: Solver, under: Option<NodeId> },
    /// Drives a node's channel by a dial (made when `dial` names none); grips it when the node grips nothing.
    AddDrive { dial: String, unit: Unit, range: (f64, f64), drive: Drive },
    /// Moves a node so that its origin is at a world position; children follow or keep their places.
    Move { node: NodeId, to: Vec3, keep_children: bool },
    /// Turns a node's rest rotation in the world; children follow or keep their places.
    Rotate { node: NodeId, by: Rotation, keep_children: bool },
    Rename { node: NodeId, name: String },
    RenameDial { dial: DialId, name: String },
    /// The node, all below it, and the anchors, drives, empty dials and plants that touch them.
    Delete { node: NodeId },
    DeleteAnchor { anchor: AnchorId },
    /// Degrees or mm.
    SetLimits { node: NodeId, channel: Channel, limits: Option<(f64, f64)> },
    SetOrder { node: NodeId, order: Order },
    /// Several dials at once (a drag is one change); clamped to the dials' limits.
    SetDials { values: Vec<(DialId, f64)> },
    SetSoftness { dial: DialId, softness: f64 },
    SetActive { anchor: AnchorId, active: bool },
    SetGrip { node: NodeId, grip: Grip },
    SetBench { height: Option<f64> },
}

/// One item before and after; `None`: it did not exist. The position is its index in the document's list.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Slot<T> { pub index: usize, pub before: Option<T>, pub after: Option<T> }

/// A change that was made; applying its reverse restores the document bit for bit.
#[derive(Clone, Debug, Default, PartialEq)]
#[allow(missing_docs)]
pub struct Change {
    /// For the undo button: 'insert pivot', 'turn lift' …
    pub label: String,
    pub nodes: Vec<Slot<Node>>,
    pub anchors: Vec<Slot<Anchor>>,
    pub dials: Vec<Slot<Dial>>,
    pub plants: Vec<Slot<Plant>>,
    pub bench: Option<(Option<f64>, Option<f64>)>,
    pub next_id: (u32, u32),
}

/// Why an edit is refused, and the mend. Both are sentences for the screen.
#[derive(Clone, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Refusal { pub why: String, pub mend: String }

impl Change {
    /// Makes the change.
    pub fn apply(&self, document: &mut Document) { let _ = document; todo!() }
    /// The change that takes it back.
    pub fn reverse(&self) -> Change { todo!() }
    /// One change out of two made in a row (drag steps become one undo).
    pub fn then(self, next: Change) -> Change { let _ = next; todo!() }
    /// Whether before and after agree everywhere.
    pub fn is_empty(&self) -> bool { todo!() }
}

/// Applies an edit; on refusal the document is untouched.
pub fn apply(document: &mut Document, edit: &Edit) -> Result<Change, Refusal> { let _ = (document, edit); todo!() }
