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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::{Shown, Ways, scene};
    use figure::{Paint, Shape, Sight, View, draw, extent};

    fn bench_press() -> Posed {
        let text = include_str!("../../../examples/bench-press.hand.json");
        Posed::new(&hand::read(text).expect("a good example")).expect("checked")
    }

    /// Red lines, and texts that tell of a slip, in the picture of a pose.
    fn shown(posed: &Posed) -> (usize, Vec<String>) {
        let view = View::fit(Sight::Side, (900.0, 600.0), &extent(posed), 40.0);
        let mut scene = scene(Shown::on_arrival(posed, &view, None), &mut Ways::default());
        // Of its words the bubbles' alone.
        scene.labels.clear();
        scene.dimensions.clear();
        scene.arcs.clear();
        let shapes = draw(posed, &view, &scene);
        let amiss = |shape: &&Shape| match shape {
            Shape::Path { stroke, .. } => stroke.as_ref().is_some_and(|s| s.paint == Paint::Amiss),
            Shape::Text { text, .. } => text.paint == Paint::Amiss,
        };
        let texts = shapes.iter().filter_map(|shape| match shape {
            Shape::Text { text, .. } => Some(text.content.clone()),
            Shape::Path { .. } => None,
        });
        let texts = texts.filter(|text| text.contains("mm")).collect();
        (shapes.iter().filter(amiss).count(), texts)
    }

    /// Every place where a slip is shown but the tables of the page itself, which tell by `told`.
    #[test]
    fn what_has_let_go_shows_no_slip_anywhere() {
        let start = bench_press();
        let rig = start.rig();
        let releases: Vec<_> = rig
            .dials
            .iter()
            .filter(|dial| {
                matches!(
                    dial.drives.first().map(|d| d.target),
                    Some(rig::Target::Hold(_))
                )
            })
            .map(|dial| dial.id)
            .collect();
        assert!(!releases.is_empty(), "no digit can be let go");
        let mut gone = 0;
        for release in releases {
            for part in [0.0, 0.05, 0.5, 1.0] {
                let mut posed = start.clone();
                let dial = rig.dial(release).expect("its own").clone();
                posed.set_dial(release, dial.neutral + part * (dial.max - dial.neutral));
                // The wrist is lifted: what is let go hangs far from its mark.
                let lift = rig.dial_named("lift").expect("a press").id;
                posed.set_dial(lift, 30.0);
                posed.evaluate();
                let (_, texts) = shown(&posed);
                let down = rig
                    .plants
                    .iter()
                    .filter(|p| !has_let_go(&posed, p.node))
                    .count();
                let seen = rig
                    .plants
                    .iter()
                    .filter(|p| !rig.node(p.node).is_some_and(|n| n.hidden));
                let hidden = rig.plants.len() - seen.count();
                assert!(
                    texts.len() <= down,
                    "{texts:?} of {down} down, {hidden} hidden"
                );
                for plant in rig.plants.iter().filter(|p| has_let_go(&posed, p.node)) {
                    gone += 1;
                    let node = rig.node(plant.node).expect("planted").name.clone();
                    let told = told(&posed, &Gauge::Slip { node }).expect("planted");
                    assert_eq!(told.text, LET_GO);
                    assert_eq!(told.good(Some((0.0, 0.5))), None);
                    assert_eq!(slip(&posed, plant.node), None);
                }
            }
        }
        assert!(gone > 3, "{gone} let go: too few to prove anything");
    }
}
