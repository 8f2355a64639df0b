//! What makes a document a press, and its planted pose.
use crate::advice::NoAdvice;
use recipe::{DialRole, DigitPart, Part};
use rig::few;
use rig::index::Index;
use rig::{Dial, DialId, Fault, Node, NodeId, Posed, Rig};

/// The dials that press, in their order.
pub const PRESS: [DialRole; 4] = [
    DialRole::Lift,
    DialRole::Roll,
    DialRole::Lean,
    DialRole::Twist,
];

/// The dials of a document that press, in their order.
pub fn press_dials(rig: &Rig) -> Vec<DialId> {
    let found = PRESS.iter().filter_map(|role| rig.role(role));
    found.map(|dial| dial.id).collect()
}

/// A planted node in words: the name of the anchor that holds it; a bone of a fist's finger as
/// anatomy has it ('middle finger's proximal phalanx') while it bears its digit's name; else its own.
pub fn in_words(rig: &Rig, node: NodeId) -> String {
    let plain = recipe::spoken;
    if let Some(anchor) = rig.anchors.iter().find(|anchor| anchor.end == node) {
        return plain(&anchor.name);
    }
    let Some(node) = rig.node(node) else {
        return "?".to_owned();
    };
    if let Some(Part::Digit(digit, part)) = &node.part
        && node.name.starts_with(digit)
    {
        let bone = match part {
            DigitPart::PhalanxProximal => "proximal phalanx",
            DigitPart::PhalanxIntermediate => "middle phalanx",
            DigitPart::PhalanxDistal => "last phalanx",
            _ => return plain(&node.name),
        };
        return format!("{}'s {bone}", plain(digit));
    }
    plain(&node.name)
}

/// The parts of a press that advice and gauges are about.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Press<'a> {
    /// The knuckle pivot.
    pub knuckles: &'a Node,
    /// Turns it.
    pub lift: &'a Dial,
    /// What every pivot carries in the end.
    pub target: &'a Node,
}

impl<'a> Press<'a> {
    /// # Errors
    /// When a part is missing.
    pub fn of(rig: &'a Rig) -> Result<Self, Fault<NoAdvice>> {
        let found = (
            rig.part(&Part::Pivot(recipe::Press::Knuckles)),
            rig.role(&DialRole::Lift),
            rig.part(&Part::WristTarget),
        );
        match found {
            (Some(knuckles), Some(lift), Some(target)) => Ok(Self {
                knuckles,
                lift,
                target,
            }),
            _ => Err(Fault::new("press", NoAdvice::NoPress)),
        }
    }
}

/// The dials that move a press's pivots: at neutral the hand is as it was planted.
fn moving<'a>(rig: &'a Rig, press: Press<'a>) -> impl Iterator<Item = &'a Dial> {
    let places = Index::new(rig.nodes.iter().map(|node| node.id.0));
    let node = |id: NodeId| places.get(id.0).map(|at| &*rig.nodes[at]);
    // What carries the target, and the target.
    let pivots = std::iter::successors(Some(press.target), |at| at.parent.and_then(node));
    let pivots = pivots.filter(|node| node.surface.is_none());
    let pivots = few::set(pivots.map(|node| node.id));
    let moves = move |dial: &&Dial| {
        let mut nodes = dial.drives.iter().filter_map(|drive| drive.node());
        nodes.any(|node| pivots.contains(&node))
    };
    rig.dials.iter().map(|dial| &**dial).filter(moves)
}

/// A pose with what moves the hand on its plants at neutral: a press's dials, or every dial of a
/// document that has no press.
pub(crate) fn planted(posed: &Posed) -> Posed {
    let rig = posed.rig();
    let mut planted = posed.clone();
    match Press::of(rig) {
        Err(_) => planted.set_neutral(),
        Ok(press) => {
            let moves: Vec<_> = moving(rig, press).collect();
            for dial in moves {
                planted.set_dial(dial.id, dial.neutral);
            }
        }
    }
    planted.evaluate();
    planted
}
