//! Which joints are a hand's wrist, digits and arm.
use crate::layout::Layout;
use recipe::MOST_DIGITS;
use rig::{Document, Part};

/// The joints of a hand, as indices into the layout.
pub(super) struct Build {
    pub wrist: usize,
    pub digits: Vec<Digit>,
    /// Joints above the wrist, nearest first.
    pub arm: Vec<usize>,
    /// Joints within the arm that carry nothing.
    pub within: Vec<usize>,
}

/// A chain of joints from the wrist, nearest first.
pub(super) struct Digit {
    pub joints: Vec<usize>,
    pub thumb: bool,
}

/// More joints than this, arm and digits together, are no hand's: each is looked at with every
/// other to find which lies over which. The largest hand with an arm has 62.
const MOST_JOINTS: usize = 200;

/// Joints a digit has: a finger's metacarpal, three phalanges and tip, a thumb's one fewer.
const THUMB: usize = 4;

impl Build {
    pub fn find(document: &Document, layout: &Layout) -> Option<Self> {
        document.hand.as_ref()?;
        let mut below = vec![Vec::new(); layout.nodes.len()];
        for (base, end) in layout.bones() {
            below[base].push(end);
        }
        let follow = |first: usize| {
            let mut joints = vec![first];
            while let [next] = below[joints[joints.len() - 1]][..] {
                joints.push(next);
            }
            joints
        };
        let digits = |wrist: usize| -> Vec<Digit> {
            let chains = below[wrist].iter().map(|&first| follow(first));
            chains
                .filter(|joints| joints.len() >= THUMB)
                .map(|joints| Digit {
                    thumb: joints.len() == THUMB,
                    joints,
                })
                .collect()
        };
        let named = |i: &usize| {
            let l = &layout.nodes[*i];
            l.is_joint() && l.node.part == Some(Part::Wrist)
        };
        let wrist = (0..below.len())
            .find(named)
            .or_else(|| (0..below.len()).max_by_key(|&i| (below[i].len(), usize::MAX - i)))?;
        let digits = digits(wrist);
        if !digits.iter().any(|d| !d.thumb) || layout.nodes[wrist].node.hidden {
            return None;
        }
        let up = |&i: &usize| layout.nodes[i].bone_from;
        let arm: Vec<usize> = std::iter::successors(layout.nodes[wrist].bone_from, up).collect();
        let joints = digits.iter().map(|d| d.joints.len()).sum::<usize>();
        if digits.len() > MOST_DIGITS || joints + arm.len() > MOST_JOINTS {
            return None;
        }
        let beside = |&&i: &&usize| below[i].is_empty() && i != wrist;
        Some(Self {
            wrist,
            digits,
            within: arm
                .iter()
                .flat_map(|&i| &below[i])
                .filter(beside)
                .copied()
                .collect(),
            arm,
        })
    }
}
