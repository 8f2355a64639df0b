//! A drag's dial values, found without what has no say in where the dragged node is.
use rig::{Anchor, AnchorId, DialId, NodeId, Posed, Rig, Solver, Vec3};
use std::collections::BTreeSet;

/// The values of these dials that bring a node nearest to a place, as [`rig::pull::pull`] finds
/// them, to the bit. Some twenty poses are tried for it, in every frame of a drag; the digits that
/// the wrist's place does not hang on are not solved in them.
pub fn pull(
    posed: &Posed,
    node: NodeId,
    dials: &[DialId],
    to: Vec3,
    sight: Vec3,
) -> Vec<(DialId, f64)> {
    let mut trial = posed.clone();
    for anchor in idle(posed.rig(), node) {
        trial.set_active(anchor, false);
    }
    rig::pull::pull(&mut trial, node, dials, to, sight)
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
                for by in [Vec3::new(4.0, 7.0, -2.0), Vec3::new(-90.0, 60.0, 30.0)] {
                    for sight in [Vec3::z(), Vec3::x(), Vec3::y()] {
                        let to = posed.point(node.id) + by;
                        let whole = rig::pull::pull(&mut posed.clone(), node.id, &dials, to, sight);
                        let ours = pull(&posed, node.id, &dials, to, sight);
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
