//! What is told of a gauge, and of a plant: what has let go does not slip.
use hand::Gauge;
use hand::gauge::Hold;
use rig::{NodeId, Posed};

/// What stands in place of a slip that there is none of.
pub const LET_GO: &str = "let go";

/// A gauge as it is told.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// Where the dot stands on the rule; in the gauge's unit.
    pub value: f64,
    /// With its unit, or in words.
    pub text: String,
    /// Whether a band can say that it is good or amiss.
    pub judged: bool,
}

impl Told {
    /// Whether it is good, by its least and greatest good value.
    pub fn good(&self, band: Option<(f64, f64)>) -> Option<bool> {
        let (least, most) = band.filter(|_| self.judged)?;
        Some(self.value >= least && self.value <= most)
    }
}

/// What a gauge tells of a pose; none where it cannot be read.
pub fn told(posed: &Posed, gauge: &Gauge) -> Option<Told> {
    if let Gauge::Slip { node } = gauge
        && let Some(found) = posed.rig().node_named(node)
        && has_let_go(posed, found.id)
    {
        return Some(Told {
            value: 0.0,
            text: LET_GO.into(),
            judged: false,
        });
    }
    let reading = gauge.read(posed).ok()?;
    Some(Told {
        value: reading.value,
        text: reading.to_string(),
        judged: true,
    })
}

/// The slip to show of a plant, mm; none of what is not planted, or has let go.
pub fn slip(posed: &Posed, node: NodeId) -> Option<f64> {
    posed.slip(node).filter(|_| !has_let_go(posed, node))
}

/// Whether a node is planted and has let go: a digit that is not down, or flesh of the palm that
/// has left its surface. A plain chain that is let go strays from its mark, and shows by how far.
pub fn has_let_go(posed: &Posed, node: NodeId) -> bool {
    let mut anchors = posed.rig().anchors.iter();
    match anchors.find(|anchor| anchor.end == node) {
        Some(anchor) if !anchor.solver.is_digit() => false,
        Some(anchor) => posed.down(node).is_some() && Hold::of(posed, anchor.id) != Hold::Down,
        None => posed.down(node).is_some() && !posed.is_down(node),
    }
}
