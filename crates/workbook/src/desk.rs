//! What stands on the desk: which dials and gauges, and how their values and rules are written.
use crate::names;
use crate::number::tenths;
use course::{Lesson, Shown, Step};
use hand::Gauge;
use recipe::DialRole;
use rig::{Dial, DialId, Document, Posed, Solver, Unit};

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
            label: format!("slip at {}", names::node(document, n)),
            gauge: Gauge::Slip {
                node: n.name.clone(),
            },
            scale: 10.0,
            tolerance: Some((0.0, 0.5)),
        });
    let margins = document.anchors.iter().map(|a| Shown {
        label: format!("reach left, {}", names::anchor(a)),
        gauge: Gauge::ReachMargin {
            anchor: a.name.clone(),
        },
        scale: 50.0,
        tolerance: Some((0.0, f64::INFINITY)),
    });
    let bent = |a: &&rig::Shared<rig::Anchor>| matches!(a.solver, Solver::TwoBone { .. });
    let gains = document.anchors.iter().filter(bent).map(|a| Shown {
        label: format!("bend gain, {}", names::anchor(a)),
        gauge: Gauge::BendGain {
            anchor: a.name.clone(),
        },
        scale: 20.0,
        tolerance: Some((0.0, 5.0)),
    });
    slips.chain(margins).chain(gains).collect()
}

/// Said of a dial that turns nothing.
pub const NO_DIAL: &str = "no dial yet";

/// A dial's name on screen. One that a hand has been built with is a word of its own, and the
/// little finger has one name.
pub fn called(dial: &Dial) -> String {
    match &dial.role {
        Some(DialRole::Raw(pivot)) => format!("turn about the {}", pivot.name()),
        Some(_) => recipe::spoken(&dial.name),
        None => dial.name.clone(),
    }
}

/// As it stands under the name of what it is of: 'curl index finger' is 'curl' there.
pub fn called_within(dial: &Dial, of: Option<&str>) -> String {
    let whole = called(dial);
    let short = of.map(|of| whole.replace(of, "")).unwrap_or_default();
    match short.trim() {
        "" => whole,
        short => short.to_owned(),
    }
}

/// Degrees in words, without a digit that says nothing: '25°', '12.5°'.
pub fn whole(degrees: f64) -> String {
    tenths(degrees, Unit::Degrees).replacen(".0", "", 1)
}

/// How far a dial goes safely, the others as they stand, and what is beyond.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    pub from: f64,
    pub to: f64,
    /// What is unsafe below and above, as clauses: 'the palm sinks in'. None: the dial's own end.
    pub below: Option<String>,
    pub above: Option<String>,
}

impl Span {
    /// In a few words.
    pub fn told(&self, unit: Unit) -> String {
        if self.from < self.to {
            let whole = |end: f64| tenths(end, unit).replacen(".0", "", 1);
            let from = whole(self.from);
            let from = from.trim_end_matches(|c: char| !c.is_ascii_digit());
            format!("safe {from} to {}", whole(self.to))
        } else {
            "nowhere safe".to_owned()
        }
    }

    /// What ends it, below and above, in as few words as stand under the ends of a rule.
    pub fn ends(&self) -> [String; 2] {
        [&self.below, &self.above].map(|end| match end {
            None => "to its end".to_owned(),
            Some(end) => end.trim_start_matches("the ").replace(" finger", ""),
        })
    }

    /// All of it, for who hears it.
    pub fn spoken(&self, unit: Unit) -> String {
        let beyond = |side: &str, end: &Option<String>| {
            let end = end.as_ref();
            end.map_or(String::new(), |end| format!("; {side} {end}"))
        };
        let below = beyond("below", &self.below);
        self.told(unit) + &below + &beyond("above", &self.above)
    }
}

/// What a dial's row knows of its span.
#[derive(Clone, Debug, PartialEq)]
pub enum Safe {
    /// It is to be found, and is not yet.
    Coming,
    /// There is none to find: nothing is planted.
    Nothing,
    Known(Span),
}

impl Safe {
    /// In a few words.
    pub fn told(&self, unit: Unit) -> String {
        match self {
            Self::Coming => "not yet known".to_owned(),
            Self::Nothing => "nothing is planted".to_owned(),
            Self::Known(span) => span.told(unit),
        }
    }

    /// The span, if it is known.
    pub fn span(&self) -> Option<&Span> {
        match self {
            Self::Known(span) => Some(span),
            _ => None,
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_whole_number_has_no_tenths() {
        assert_eq!([25.0, 12.5].map(whole), ["25°", "12.5°"]);
    }

    #[test]
    fn a_span_is_told_short_and_whole() {
        let span = Span {
            from: -3.46,
            to: 46.0,
            below: Some("the palm sinks in".into()),
            above: Some("the middle finger is at its limit".into()),
        };
        assert_eq!(span.told(Unit::Degrees), "safe -3.5 to 46°");
        assert_eq!(span.ends(), ["palm sinks in", "middle is at its limit"]);
        assert_eq!(
            span.spoken(Unit::Degrees),
            "safe -3.5 to 46°; below the palm sinks in; above the middle finger is at its limit"
        );
        let nowhere = Span {
            to: -3.46,
            above: None,
            ..span
        };
        assert_eq!(nowhere.told(Unit::Degrees), "nowhere safe");
        assert_eq!(nowhere.ends()[1], "to its end");
    }
}
