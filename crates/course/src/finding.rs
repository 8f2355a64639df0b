//! What a check measured, as data. The sentence of each is its `Display`.
use crate::task::{Band, Misplaced};
use crate::words::capital;
use hand::Gauge;
use rig::{Reading, Unit};
use std::fmt::{self, Display, Formatter};

/// The answer: passed, and what was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Whether every finding holds.
    pub passed: bool,
    /// In the order of the task.
    pub findings: Vec<Finding>,
}

impl Mark {
    pub(crate) fn of(findings: Vec<Finding>) -> Self {
        Self {
            passed: findings.iter().all(Finding::ok),
            findings,
        }
    }
}

/// One measured line of the answer: 'First pose: the knuckle is only 31.2 mm up.'
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What of the exercise it is about.
    pub part: Part,
    /// What was measured, and how it compares with what is asked.
    pub kind: Kind,
}

impl Finding {
    /// Whether it holds.
    pub fn ok(&self) -> bool {
        use Kind::*;
        matches!(
            self.kind,
            Within { .. } | Told { .. } | InPlace { .. } | Round { .. } | Tried { .. }
        )
    }
}

/// A part of an exercise that has several.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// The whole of it, or a run with every anchor holding.
    Whole,
    /// The first of two kept poses.
    FirstPose,
    /// The second.
    SecondPose,
    /// A run with every anchor let go.
    LetGo,
}

/// A reading, and where along the run it was taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// The value with its unit.
    pub reading: Reading,
    /// Where it was that.
    pub at: At,
}

/// A place along a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum At {
    /// There is no run: as the figure stands.
    Now,
    /// So far from one pose to the other, from 0 to 1.
    Way(f64),
    /// Where the dial that runs has this value, in its unit.
    Dial(f64, Unit),
    /// Degrees round a centre from where the drag began, signed.
    Round(f64),
}

/// What was measured, against what, and how they compare.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// A gauge kept to its band all along.
    Within {
        /// With its limits.
        band: Band,
        /// The least reading.
        least: Seen,
        /// The greatest.
        greatest: Seen,
    },
    /// A gauge was under the least allowed; said in the lesson's own words.
    Under {
        /// With those words.
        band: Band,
        /// The least reading.
        value: Seen,
        /// The least allowed, in the gauge's unit.
        limit: f64,
    },
    /// A gauge was over the most allowed; said in the lesson's own words.
    Over {
        /// With those words.
        band: Band,
        /// The greatest reading.
        value: Seen,
        /// The most allowed, in the gauge's unit.
        limit: f64,
    },
    /// A band without limits: its greatest reading is told in the lesson's own words.
    Told {
        /// With those words.
        band: Band,
        /// The greatest reading.
        value: Seen,
    },
    /// No moment of the run was as far from neutral as the band asks.
    Unmeasured {
        /// Which asks that.
        band: Band,
    },
    /// A node is where it belongs.
    InPlace {
        /// Which, and where.
        place: Misplaced,
        /// How far off, mm.
        off: f64,
    },
    /// A node is not where it belongs.
    OutOfPlace {
        /// Which, and where that is.
        place: Misplaced,
        /// How far off, mm.
        off: f64,
        /// How much of it lies in each of the directions that the lesson names, mm, greatest
        /// first; without those in which it is too little to tell.
        towards: Vec<(f64, String)>,
    },
    /// A drag went far enough round with the gauge within its limit.
    Round {
        /// What was asked.
        asked: Ring,
        /// The longest stretch, degrees.
        turned: f64,
    },
    /// A drag left the gauge's limit.
    Strayed {
        /// What was asked.
        asked: Ring,
        /// The greatest reading.
        value: Seen,
        /// How far the node was from the centre there, mm.
        distance: f64,
        /// How far it is at the start, mm.
        start: f64,
    },
    /// A drag kept to the gauge's limit and ended too early.
    Short {
        /// What was asked.
        asked: Ring,
        /// How far round it went, degrees.
        turned: f64,
    },
    /// The re-hang was tried and refused, as it should be.
    Tried {
        /// The node hung.
        node: String,
        /// Under which.
        under: String,
    },
    /// The re-hang was not tried.
    Untried {
        /// The node to hang.
        node: String,
        /// Under which.
        under: String,
    },
}

/// What a drag round a centre was asked to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring {
    /// The node that goes round.
    pub node: String,
    /// The node it goes round.
    pub centre: String,
    /// How far, degrees.
    pub angle: f64,
    /// What must stay small.
    pub gauge: Gauge,
    /// How small.
    pub limit: Reading,
}

impl Display for Finding {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let said = self.kind.to_string();
        match self.part {
            Part::Whole => f.write_str(&capital(&said)),
            Part::FirstPose => write!(f, "First pose: {said}"),
            Part::SecondPose => write!(f, "Second pose: {said}"),
            Part::LetGo => write!(f, "Anchors let go: {said}"),
        }
    }
}

impl Display for At {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Now => f.write_str("now"),
            Self::Way(0.0) => f.write_str("at the start"),
            Self::Way(0.5) => f.write_str("half way"),
            Self::Way(1.0) => f.write_str("at the end"),
            Self::Way(part) => write!(f, "{:.0} % of the way", 100.0 * part),
            Self::Dial(value, unit) => {
                let unit = if unit == Unit::Degrees { "°" } else { " mm" };
                // Two decimals at most, and none when there are none.
                let value = libm::round(value * 100.0) / 100.0 + 0.0;
                let sign = if value < 0.0 { "−" } else { "" };
                write!(f, "{sign}{}{unit}", libm::fabs(value))
            }
            Self::Round(degrees) => write!(f, "at {:.0}° round", libm::fabs(degrees)),
        }
    }
}

impl Display for Kind {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Within {
                band,
                least,
                greatest,
            } => within(f, band, least.reading, greatest.reading),
            Self::Under { band, value, limit } => f.write_str(&fill(&band.low, value, *limit)),
            Self::Over { band, value, limit } => f.write_str(&fill(&band.high, value, *limit)),
            Self::Told { band, value } => {
                f.write_str(&fill(&band.high, value, value.reading.value))
            }
            Self::Unmeasured { .. } => f.write_str("Nothing was measured."),
            Self::InPlace { place, .. } => write!(f, "{} is where it belongs.", place.called),
            Self::OutOfPlace {
                place,
                off,
                towards,
            } => {
                let called = &place.called;
                if towards.is_empty() {
                    return write!(f, "{called} is {off:.1} mm from where it belongs.");
                }
                let towards = towards.iter();
                let towards: Vec<_> = towards
                    .map(|(part, name)| format!("{part:.1} mm {name}"))
                    .collect();
                write!(f, "{called} is {}.", towards.join(" and "))
            }
            Self::Round { asked, turned } => write!(
                f,
                "{turned:.1}° round the {} with the {} at most {}.",
                asked.centre,
                asked.gauge.label(),
                asked.limit
            ),
            Self::Strayed {
                asked,
                value: Seen { reading, at },
                distance,
                start,
            } => {
                let aside = distance - start;
                let side = if aside < 0.0 { "too near" } else { "too far" };
                let (label, aside) = (capital(&asked.gauge.label()), libm::fabs(aside));
                let Ring {
                    node,
                    centre,
                    limit,
                    ..
                } = asked;
                write!(
                    f,
                    "{label} {reading} {at}; the limit is {limit}. There the {node} was {distance:.1} mm from the {centre}, {aside:.1} mm {side}: keep the distance it starts with."
                )
            }
            Self::Short { asked, turned } => write!(
                f,
                "You went {turned:.1}° round, and {:.0}° are asked: go on along the same ring.",
                asked.angle
            ),
            Self::Tried { node, under } => write!(
                f,
                "You tried to hang the {node} under the {under}, and it was refused."
            ),
            Self::Untried { node, under } => write!(
                f,
                "Not tried yet: drag the {node}'s bead onto the {under}'s."
            ),
        }
    }
}

fn within(f: &mut Formatter<'_>, band: &Band, least: Reading, greatest: Reading) -> fmt::Result {
    let told = |value: f64| Reading { value, ..greatest }.to_string();
    let (low, high) = (least.to_string(), greatest.to_string());
    let (found, asked) = match (band.least.map(told), band.most.map(told)) {
        (Some(least), Some(most)) => (
            format!("{low} to {high}"),
            format!("{least} to {most} is allowed"),
        ),
        (Some(least), None) => (format!("at least {low}"), format!("{least} is asked")),
        (None, most) => (
            format!("at most {high}"),
            format!("{} is allowed", most.unwrap_or_default()),
        ),
    };
    let called = if band.called.is_empty() {
        band.gauge.label()
    } else {
        band.called.clone()
    };
    let found = if low == high { high } else { found };
    write!(f, "{}: {found}; {asked}.", capital(&called))
}

/// Digits after the point beyond which two numbers are told alike though they differ.
const MOST_DECIMALS: u8 = 6;

/// A lesson's own sentence with its numbers: to so many digits that what misses its limit is not
/// told as the limit itself.
fn fill(text: &str, value: &Seen, limit: f64) -> String {
    let mut found = value.reading;
    let mut limit = Reading {
        value: limit,
        ..found
    };
    while found.value != limit.value
        && found.decimals < MOST_DECIMALS
        && found.to_string() == limit.to_string()
    {
        found.decimals += 1;
        limit.decimals += 1;
    }
    text.replace("{value}", &found.to_string())
        .replace("{limit}", &limit.to_string())
        .replace("{at}", &value.at.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A twist of 4.961° is not refused as 5.0° where 5° are asked; what is far off keeps its digits.
    #[test]
    fn what_misses_its_limit_is_not_told_as_the_limit() {
        let told = |value: f64| {
            let reading = Reading {
                value,
                unit: "°",
                decimals: 1,
            };
            let seen = Seen {
                reading,
                at: At::Now,
            };
            fill("{value} of {limit}", &seen, 5.0)
        };
        assert_eq!(told(4.961), "4.96° of 5.00°");
        assert_eq!(told(3.0), "3.0° of 5.0°");
        assert_eq!(told(5.0), "5.0° of 5.0°");
    }
}
