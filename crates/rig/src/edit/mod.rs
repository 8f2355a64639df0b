//! Edits: what can be done to a document.
//!
//! An [`Edit`] says what is wanted; it is made on a copy, which is thrown away on refusal.
//! [`crate::History`] keeps what was before.
use crate::{
    AnchorId, DialId, Document, Drive, Grip, Kind, NodeId, Posed, Setting, Solver, Target, Unit,
    validate,
};
use kinematics::{Channel, Order, Rotation, Vec3};

mod find;
mod hang;
mod make;
mod refusal;
mod set;

pub use refusal::{Does, Refusal};

/// What is wanted. World positions are those of the pose now shown.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
#[allow(
    clippy::large_enum_variant,
    reason = "one is made at a time, and a solver is its largest part"
)]
pub enum Edit {
    /// A new node at a world position. A joint is a hinge about z and gets a dial that turns it;
    /// a root joint two more that move it in x and y, and grips those. Another joint grips the
    /// dial that turns the joint it hangs from, since dragging it turns that one.
    AddNode {
        name: String,
        kind: Kind,
        parent: Option<NodeId>,
        at: Vec3,
        width: f64,
    },
    /// A mount between a node and its parent, at a world position; every world transform is kept.
    InsertPivot {
        above: NodeId,
        name: String,
        at: Vec3,
    },
    /// Another parent, every world transform kept.
    Rehang {
        node: NodeId,
        parent: Option<NodeId>,
    },
    /// A new carrier at a world position, carrying the targets of these anchors where they are.
    /// It hangs from what carries them all now, else from nothing.
    Gather {
        anchors: Vec<AnchorId>,
        name: String,
        at: Vec3,
    },
    /// An anchor holding `end` where it is now: makes its target mount (root, or under `under`)
    /// and a plant on the world.
    AddAnchor {
        name: String,
        base: NodeId,
        end: NodeId,
        solver: Solver,
        under: Option<NodeId>,
    },
    /// Drives a node's channel by a dial (made when `dial` names none); the node grips it when it
    /// grips nothing.
    AddDrive {
        dial: String,
        unit: Unit,
        range: (f64, f64),
        drive: Drive,
    },
    /// Moves a node so that its origin is at a world position; children follow or keep their places.
    Move {
        node: NodeId,
        to: Vec3,
        keep_children: bool,
    },
    /// Moves a node as `Move` does; what it carries keeps its *rest* place. A pivot moved while it
    /// is turned then carries as if it had always been there.
    MovePivot {
        node: NodeId,
        to: Vec3,
    },
    /// Turns a node's rest rotation in the world; children follow or keep their places.
    Rotate {
        node: NodeId,
        by: Rotation,
        keep_children: bool,
    },
    Rename {
        node: NodeId,
        name: String,
    },
    RenameDial {
        dial: DialId,
        name: String,
    },
    /// The node, all below it, and the anchors, drives, empty dials and plants that touch them.
    Delete {
        node: NodeId,
    },
    DeleteAnchor {
        anchor: AnchorId,
    },
    /// Degrees or mm.
    SetLimits {
        node: NodeId,
        channel: Channel,
        limits: Option<(f64, f64)>,
    },
    SetOrder {
        node: NodeId,
        order: Order,
    },
    /// Several dials at once (a drag is one change); clamped to the dials' limits.
    SetDials {
        values: Vec<(DialId, f64)>,
    },
    /// Every dial and every anchor's switch at once, the dials within their limits.
    Set {
        setting: Setting,
    },
    SetSoftness {
        dial: DialId,
        softness: f64,
    },
    /// How much of a target a unit of the dial drives, and which way about by its sign: every drive
    /// that the dial has of it.
    SetGain {
        dial: DialId,
        target: Target,
        gain: f64,
    },
    SetActive {
        anchor: AnchorId,
        active: bool,
    },
    SetGrip {
        node: NodeId,
        grip: Grip,
    },
    SetBench {
        height: Option<f64>,
    },
}

/// Makes an edit of a document by itself and gives its label; on refusal nothing is changed.
/// [`crate::History::edit`] does so with undo.
///
/// # Errors
/// When what is wanted cannot be, with the reason and the mend.
///
/// ```
/// use rig::edit::apply;
/// use rig::fault::Item;
/// use rig::{Document, Edit, NodeId, Refusal};
///
/// let mut document = Document::default();
/// let label = apply(&mut document, &Edit::SetBench { height: Some(-8.0) })?; // mm
/// assert_eq!((label.as_str(), document.bench), ("set the bench", Some(-8.0)));
/// let refused = apply(&mut document, &Edit::Delete { node: NodeId(7) });
/// assert_eq!(refused, Err(Refusal::Lost(Item::Node)));
/// # Ok::<(), Refusal>(())
/// ```
pub fn apply(document: &mut Document, edit: &Edit) -> Result<String, Refusal> {
    if let Some(setting) = setting(document, edit) {
        let (setting, label) = setting?;
        document.setting = setting;
        return Ok(label);
    }
    let mut wanted = document.clone();
    let label = make(&Posed::new(document)?, &mut wanted, edit)?;
    validate::document(&wanted)?;
    *document = wanted;
    Ok(label)
}

/// What an edit that leaves the structure alone makes of the setting, with its label; none for
/// any other edit.
pub(crate) fn setting(
    document: &Document,
    edit: &Edit,
) -> Option<Result<(Setting, String), Refusal>> {
    match edit {
        Edit::SetDials { values } => Some(set::dials(document, values)),
        Edit::SetActive { anchor, active } => Some(set::active(document, *anchor, *active)),
        Edit::Set { setting } => Some(set::all(document, setting)),
        _ => None,
    }
}

/// Makes the edit on a copy of what is posed, which is thrown away on refusal; its label.
pub(crate) fn make(posed: &Posed, to: &mut Document, edit: &Edit) -> Result<String, Refusal> {
    match edit {
        Edit::AddNode {
            name,
            kind,
            parent,
            at,
            width,
        } => make::add_node(posed, to, name, *kind, *parent, at, *width),
        Edit::InsertPivot { above, name, at } => hang::insert_pivot(posed, to, *above, name, at),
        Edit::Rehang { node, parent } => hang::rehang(posed, to, *node, *parent),
        Edit::Gather { anchors, name, at } => hang::gather(posed, to, anchors, name, at),
        Edit::AddAnchor {
            name,
            base,
            end,
            solver,
            under,
        } => make::add_anchor(posed, to, name, *base, *end, *solver, *under),
        Edit::AddDrive {
            dial,
            unit,
            range,
            drive,
        } => make::add_drive(to, dial, *unit, *range, drive),
        Edit::Move {
            node,
            to: place,
            keep_children,
        } => hang::move_to(posed, to, *node, place, *keep_children),
        Edit::MovePivot { node, to: place } => hang::move_pivot(posed, to, *node, place),
        Edit::Rotate {
            node,
            by,
            keep_children,
        } => hang::rotate(posed, to, *node, by, *keep_children),
        Edit::Rename { node, name } => set::rename(to, *node, name),
        Edit::RenameDial { dial, name } => set::rename_dial(to, *dial, name),
        Edit::Delete { node } => make::delete(to, *node),
        Edit::DeleteAnchor { anchor } => make::delete_anchor(to, *anchor),
        Edit::SetLimits {
            node,
            channel,
            limits,
        } => set::limits(to, *node, *channel, *limits),
        Edit::SetOrder { node, order } => set::order(to, *node, *order),
        Edit::SetDials { .. } | Edit::SetActive { .. } | Edit::Set { .. } => {
            let (setting, label) = setting(to, edit).expect("it leaves the structure alone")?;
            to.setting = setting;
            Ok(label)
        }
        Edit::SetSoftness { dial, softness } => set::softness(to, *dial, *softness),
        Edit::SetGain { dial, target, gain } => set::gain(to, *dial, *target, *gain),
        Edit::SetGrip { node, grip } => set::grip(to, *node, grip),
        Edit::SetBench { height } => set::bench(to, *height),
    }
}
