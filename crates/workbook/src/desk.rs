//! What stands on the desk: which dials and gauges, and how their values and rules are written.
use crate::number::tenths;
use course::{Lesson, Shown, Step};
use hand::Gauge;
use rig::{DialId, Document, Posed, Solver, Unit};

/// The dials that the step, else the lesson, puts on the desk; else all there are.
pub fn dials(document: &Document, lesson: Option<&Lesson>, step: Option<&Step>) -> Vec<DialId> {
    let of_step = step.map(|s| &s.desk).filter(|names| !names.is_empty());
    let names = of_step.or(lesson.map(|l| &l.desk));
    match names.filter(|names| !names.is_empty()) {
        Some(names) => {
            let found = names.iter().filter_map(|name| document.dial_named(name));
            found.map(|d| d.id).collect()
        }
        None => document.dials.iter().map(|d| d.id).collect(),
    }
}

/// The gauges to show: the step's, else the lesson's, else some for each plant and anchor.
pub fn gauges(posed: &Posed, lesson: Option<&Lesson>, step: Option<&Step>) -> Vec<Shown> {
    if let Some(step) = step.filter(|s| !s.gauges.is_empty()) {
        return step.gauges.clone();
    }
    if let Some(lesson) = lesson.filter(|l| !l.gauges.is_empty()) {
        // A step's own figure need not have everything the lesson measures.
        let readable = |g: &&Shown| g.gauge.read(posed).is_ok();
        return lesson.gauges.iter().filter(readable).cloned().collect();
    }
    gauges_of(posed.document())
}

/// One for each plant and anchor: what a figure shows where nobody says.
pub fn gauges_of(document: &Document) -> Vec<Shown> {
    let slips = document
        .plants
        .iter()
        .filter_map(|p| document.node(p.node))
        .map(|n| Shown {
            label: format!("slip at {}", n.name),
            gauge: Gauge::Slip {
                node: n.name.clone(),
            },
            scale: 10.0,
            tolerance: Some((0.0, 0.5)),
        });
    let margins = document.anchors.iter().map(|a| Shown {
        label: format!("reach left, {}", a.name),
        gauge: Gauge::ReachMargin {
            anchor: a.name.clone(),
        },
        scale: 50.0,
        tolerance: Some((0.0, f64::INFINITY)),
    });
    let bent = |a: &&rig::Shared<rig::Anchor>| matches!(a.solver, Solver::TwoBone { .. });
    let gains = document.anchors.iter().filter(bent).map(|a| Shown {
        label: format!("bend gain, {}", a.name),
        gauge: Gauge::BendGain {
            anchor: a.name.clone(),
        },
        scale: 20.0,
        tolerance: Some((0.0, 5.0)),
    });
    slips.chain(margins).chain(gains).collect()
}

/// How far a dial goes safely, in a few words.
pub fn safe_told(from: f64, to: f64, unit: Unit) -> String {
    if from < to {
        format!("safe {} to {}", tenths(from, unit), tenths(to, unit))
    } else {
        "nowhere safe".to_owned()
    }
}

/// Where the rule over a dial's slider is engraved.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// Values with a number.
    pub marks: Vec<f64>,
    /// Values of the fine lines, three to a mark.
    pub fine: Vec<f64>,
}

/// The rule from `min` to `max`; none where the dial has no span.
pub fn rule(min: f64, max: f64) -> Option<Rule> {
    let span = max - min;
    if span <= 0.0 {
        return None;
    }
    let step = [
        0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 90.0, 180.0, 360.0,
    ]
    .into_iter()
    .find(|s| span / s <= 8.0)
    .unwrap_or(span);
    let first = (min / step).ceil() * step;
    let marks = (0..).map(|i| first + f64::from(i) * step);
    let fine = (0..=(span / (step / 3.0)) as u32).map(|i| min + f64::from(i) * step / 3.0);
    Some(Rule {
        marks: marks.take_while(|v| *v <= max + 1e-9).collect(),
        fine: fine.collect(),
    })
}
