//! A drag's dial values, found without what has no say in where the dragged node is.
use rig::{Anchor, AnchorId, DialId, Document, NodeId, Posed, Rig, Setting, Shared, Solver, Vec3};
use std::collections::BTreeSet;

/// A hand without the anchors that a node's place does not hang on: the wrist's without its digits.
/// A drag tries some twenty poses in every frame, and a digit that rolls takes most of a pose.
#[derive(Clone, Debug)]
pub struct Trial {
    /// Of which rig, and for which node.
    rig: Shared<Rig>,
    node: NodeId,
    /// By anchor of that rig: whether it is here too.
    kept: Vec<bool>,
    posed: Posed,
}

impl Trial {
    fn new(posed: &Posed, node: NodeId) -> Option<Self> {
        let rig = posed.rig();
        let idle = idle(rig, node);
        let kept = rig.anchors.iter().map(|anchor| !idle.contains(&anchor.id));
        let mut document = posed.document().clone();
        leave_out(&mut document, &idle);
        Some(Self {
            rig: rig.clone(),
            node,
            kept: kept.collect(),
            posed: Posed::new(&document).ok()?,
        })
    }

    /// As the posed document stands.
    fn stand(&mut self, setting: &Setting) -> &mut Posed {
        let kept = self.kept.iter().zip(&setting.active);
        let setting = Setting {
            dials: setting.dials.clone(),
            active: kept.filter(|(kept, _)| **kept).map(|(_, on)| *on).collect(),
        };
        self.posed.set(&setting);
        &mut self.posed
    }
}

/// The last trial: it serves as long as the same node of the same rig is moved.
#[derive(Clone, Debug, Default)]
pub struct Trials(Option<Trial>);

impl Trials {
    /// A pose in which the node stands where it does in the given one, whose dials may be set and
    /// evaluated at less cost. What does not bear on the node may stand anywhere.
    pub fn of(&mut self, posed: &Posed, node: NodeId) -> &mut Posed {
        let rig = posed.rig();
        let same = |trial: &Trial| trial.node == node && trial.rig.is_same(rig);
        if !self.0.as_ref().is_some_and(same) {
            self.0 = Trial::new(posed, node);
        }
        // Should it not be posed without them, they stay.
        let trial = self.0.get_or_insert_with(|| Trial {
            rig: rig.clone(),
            node,
            kept: vec![true; rig.anchors.len()],
            posed: posed.clone(),
        });
        trial.stand(posed.setting())
    }

    /// The values of these dials that bring a node nearest to a place, as [`rig::pull::pull`] finds
    /// them, to the bit.
    pub fn pull(
        &mut self,
        posed: &Posed,
        node: NodeId,
        dials: &[DialId],
        to: Vec3,
        sight: Vec3,
    ) -> Vec<(DialId, f64)> {
        rig::pull::pull(self.of(posed, node), node, dials, to, sight)
    }
}

/// Takes anchors out, and what drives them; the dials stay.
fn leave_out(document: &mut Document, gone: &[AnchorId]) {
    document.retain_anchors(|anchor| !gone.contains(&anchor.id));
    let lost = |drive: &rig::Drive| drive.anchor().is_some_and(|anchor| gone.contains(&anchor));
    for dial in &mut document.rig.dials {
        if dial.drives.iter().any(lost) {
            dial.drives.retain(|drive| !lost(drive));
        }
    }
}

/// Anchors that have no say in where a node is: it is not on their chains, nor below them, nor is
/// anything that such a chain reads.
fn idle(rig: &Rig, node: NodeId) -> Vec<AnchorId> {
    let mut wanted: Vec<&Anchor> = Vec::new();
    let mut known = BTreeSet::new();
    let mut open = vec![node];
    while let Some(at) = open.pop() {
        if !known.insert(at) {
            continue;
        }
        open.extend(rig.node(at).and_then(|found| found.parent));
        for anchor in &rig.anchors {
            if !wanted.iter().any(|other| other.id == anchor.id) && moves(rig, anchor, at) {
                wanted.push(anchor);
                open.extend([anchor.base, anchor.end, anchor.target]);
                if let Solver::TwoBone { pole, .. } = anchor.solver {
                    open.extend(pole);
                }
            }
        }
    }
    let idle = rig.anchors.iter().map(|anchor| anchor.id);
    idle.filter(|id| !wanted.iter().any(|anchor| anchor.id == *id))
        .collect()
}

/// Whether a node lies on an anchor's chain, its ends included.
fn moves(rig: &Rig, anchor: &Anchor, node: NodeId) -> bool {
    let mut at = anchor.end;
    loop {
        if at == node || at == anchor.base {
            return at == node;
        }
        match rig.node(at).and_then(|found| found.parent) {
            Some(above) => at = above,
            None => return false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::moving::{Moving, grip_of};

    /// Every handle of every example, dragged a little and far off: as with all digits solved.
    #[test]
    fn what_is_left_out_has_no_say() {
        let (mut pulled, mut left_out) = (0, 0);
        for text in [
            include_str!("../../../examples/bench-press.hand.json"),
            include_str!("../../../examples/bench-press-chain.hand.json"),
            include_str!("../../../examples/rail-lean.hand.json"),
            include_str!("../../../examples/dough-roll.hand.json"),
        ] {
            let document = hand::read(text).expect("a good example");
            let mut posed = Posed::new(&document).expect("checked");
            let mut trials = Trials::default();
            for (at, dial) in document.dials.iter().enumerate() {
                // Off its neutral, where everything that hangs together shows.
                let part = 0.03 * ((at % 5) as f64 - 2.0);
                posed.set_dial(dial.id, dial.neutral + part * (dial.max - dial.min));
            }
            posed.evaluate();
            for node in &document.nodes {
                let Some(Moving::Dials(dials)) = grip_of(&document, node.id) else {
                    continue;
                };
                let there = trials.of(&posed, node.id).point(node.id);
                assert_eq!(there, posed.point(node.id), "{}", node.name);
                for by in [Vec3::new(4.0, 7.0, -2.0), Vec3::new(-90.0, 60.0, 30.0)] {
                    for sight in [Vec3::z(), Vec3::x(), Vec3::y()] {
                        let to = posed.point(node.id) + by;
                        let whole = rig::pull::pull(&mut posed.clone(), node.id, &dials, to, sight);
                        let ours = trials.pull(&posed, node.id, &dials, to, sight);
                        let bits = |all: &[(DialId, f64)]| {
                            let all = all.iter().map(|(dial, value)| (*dial, value.to_bits()));
                            all.collect::<Vec<_>>()
                        };
                        assert_eq!(bits(&whole), bits(&ours), "{}", node.name);
                        pulled += 1;
                        left_out += idle(posed.rig(), node.id).len();
                    }
                }
            }
        }
        assert!(
            pulled > 100 && left_out > 2 * pulled,
            "{pulled} pulls, {left_out} anchors left out: too few to prove anything"
        );
    }
}
