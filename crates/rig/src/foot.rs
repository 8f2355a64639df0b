//! Where a digit that is planted touches its surface.
use crate::{Anchor, AnchorId, Kind, NodeId, Posed, Rig, Vec3};

impl Posed {
    /// The world place where a digit touches the surface it is held to, or would touch it if it
    /// came down as it is: the lowest point of its two-arc outline over that. None for an
    /// anchor without a contact, or one the document does not have.
    pub fn foot(&self, anchor: AnchorId) -> Option<Vec3> {
        let anchor = self.rig().anchors.iter().find(|a| a.id == anchor)?;
        let contact = anchor.solver.contact()?;
        let last = self.world(last_bone(self.rig(), anchor)).rotation;
        let (target, tip) = (self.world(anchor.target), self.point(anchor.end));
        Some(contact.compiled().foot(target, &tip, &last))
    }

    /// Where that digit touched when it was planted, as its surface carries it now: world mm.
    pub fn planted_foot(&self, anchor: AnchorId) -> Option<Vec3> {
        let anchor = self.rig().anchors.iter().find(|a| a.id == anchor)?;
        let contact = anchor.solver.contact()?;
        let target = self.world(anchor.target);
        Some(target.translation.vector - target.rotation * Vec3::y() * contact.radius)
    }
}

/// The third joint of a digit's chain, whose x is out of the palm and whose bone is −y; a chain
/// that has fewer is refused when it is compiled.
fn last_bone(rig: &Rig, anchor: &Anchor) -> NodeId {
    let up = |id: &NodeId| (*id != anchor.base).then(|| rig.node(*id)?.parent)?;
    let chain = std::iter::successors(Some(anchor.end), up);
    let joints = chain.filter(|id| rig.node(*id).is_some_and(|n| n.kind == Kind::Joint));
    let joints: Vec<NodeId> = joints.collect();
    let third = joints.len().checked_sub(3).map(|at| joints[at]);
    third.unwrap_or(anchor.end)
}
