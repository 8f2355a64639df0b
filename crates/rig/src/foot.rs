//! Where what is planted touches its surface now, and how far it has slipped.
use crate::{Anchor, AnchorId, Contact, Kind, NodeId, Posed, Rig, Vec3};
use std::f64::consts::{FRAC_PI_2, TAU};

impl Posed {
    /// The world place where a digit touches the plane it is held to, or would touch it if it
    /// came down as it is: the lowest point of its two-arc outline over that plane. None for an
    /// anchor without a contact, or one the document does not have.
    pub fn foot(&self, anchor: AnchorId) -> Option<Vec3> {
        let anchor = self.rig().anchors.iter().find(|a| a.id == anchor)?;
        let contact = anchor.solver.contact()?;
        let up = self.world(anchor.target).rotation * Vec3::y();
        Some(self.point(anchor.end) + self.below(anchor, contact, &up))
    }

    /// Where that digit touched when it was planted, as its surface carries it now: world mm.
    pub fn planted_foot(&self, anchor: AnchorId) -> Option<Vec3> {
        let anchor = self.rig().anchors.iter().find(|a| a.id == anchor)?;
        let contact = anchor.solver.contact()?;
        let target = self.world(anchor.target);
        Some(target.translation.vector - target.rotation * Vec3::y() * contact.radius)
    }

    /// From the centre of the tip's round end to the lowest point of the outline, mm.
    fn below(&self, anchor: &Anchor, contact: &Contact, up: &Vec3) -> Vec3 {
        let contact = contact.compiled();
        let last = self.world(last_bone(self.rig(), anchor)).rotation;
        let (palm, bone) = (last * Vec3::x(), last * -Vec3::y());
        let mut pitch = libm::atan2(0.0 - bone.dot(up), 0.0 - palm.dot(up));
        // No end is in touch where a bone points straight up: the pitch wraps there.
        if pitch < -FRAC_PI_2 {
            pitch += TAU;
        }
        let core = if pitch < contact.changeover {
            let ((s, c), (seam_s, seam_c)) =
                (libm::sincos(pitch), libm::sincos(contact.changeover));
            (palm * (c - seam_c) + bone * (s - seam_s)) * (contact.pad - contact.radius)
        } else {
            Vec3::zeros()
        };
        core - up * contact.radius
    }

    /// How far a planted node slips, mm: for the end of a digit whose contact rolls, what of its
    /// travel is not rolling; for any other its distance from where it was planted, in its
    /// surface's coordinates. None for a node that is not planted.
    pub fn slip(&self, node: NodeId) -> Option<f64> {
        let plant = self.rig().plants.iter().find(|p| p.node == node)?;
        let rolls = |a: &&Anchor| a.end == node && a.solver.contact().is_some();
        if let Some(anchor) = self.rig().anchors.iter().map(|a| &**a).find(rolls) {
            return Some(self.outcome(anchor.id).residual);
        }
        let here = Vec3::from(self.local(plant.surface, &self.point(node)));
        Some((here - Vec3::from(plant.at)).norm())
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
