//! What a planted digit has left.
use rig::{NodeId, Posed};

/// How far a planted digit is from letting go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margin {
    /// The planted node.
    pub node: NodeId,
    /// mm of surface that its digit could still be drawn back over
    /// ([`reach_margin`](rig::Outcome::reach_margin)): a roller begins to let go a little before none is left (1.5 mm for a tip
    /// of 7.2), what holds a point slips from there on. Negative: it is that much too short.
    pub mm: f64,
}

/// The margin of every planted node that an anchor holds, in an evaluated pose, in document order;
/// what is let go has none.
pub fn margins(posed: &Posed) -> Vec<Margin> {
    let rig = posed.rig();
    let margin = |plant: &rig::Plant| {
        let mut anchors = rig.anchors.iter();
        let anchor = anchors.find(|anchor| anchor.end == plant.node)?;
        (posed.hold(anchor.id) > 0.0).then(|| Margin {
            node: plant.node,
            mm: posed.outcome(anchor.id).reach_margin,
        })
    };
    rig.plants.iter().filter_map(margin).collect()
}

/// The least of them, mm; without any, infinite.
pub(super) fn least(margins: &[Margin]) -> f64 {
    let margins = margins.iter().map(|margin| margin.mm);
    margins.fold(f64::INFINITY, |a, b| if b < a { b } else { a })
}
