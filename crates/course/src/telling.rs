//! The sentence of what a check measured, in three rungs: where, which way, the number.
use crate::finding::{At, Finding, Kind, Part, Ring, Seen};
use crate::said::{Rung, Said};
use crate::task::Band;
use crate::words::capital;
use rig::{Reading, Unit, Vec3};
use std::fmt::{self, Display, Formatter};

impl Finding {
    /// What is said of it after so many wrong tries; its `Display` is the last rung.
    pub fn told(&self, rung: Rung) -> String {
        let said = match rung {
            Rung::Number => None,
            _ => hint(&self.kind, rung),
        };
        let said = said.unwrap_or_else(|| self.kind.to_string());
        match self.part {
            Part::Whole => capital(&said),
            Part::FirstPose => format!("First pose: {said}"),
            Part::SecondPose => format!("Second pose: {said}"),
            Part::LetGo => format!("Anchors let go: {said}"),
        }
    }
}

/// What is said before the number is, of what does not hold and has a number.
fn hint(kind: &Kind, rung: Rung) -> Option<String> {
    let first = rung == Rung::Where;
    Some(match kind {
        Kind::Under { band, value, .. } => hinted(&band.low, band, value, rung, "too little"),
        Kind::Over { band, value, .. } => hinted(&band.high, band, value, rung, "too much"),
        Kind::OutOfPlace { place, .. } if first => {
            format!("{} is not where it belongs.", place.called)
        }
        Kind::OutOfPlace { place, towards, .. } if !towards.is_empty() => {
            let ways: Vec<_> = towards.iter().map(|(_, name)| name.as_str()).collect();
            format!(
                "{} stands off its place, {}.",
                place.called,
                ways.join(" and ")
            )
        }
        Kind::Strayed { asked, value, .. } if first => {
            format!("{} goes over its limit {}.", asked.gauge.label(), value.at)
        }
        Kind::Strayed {
            asked,
            value,
            distance,
            start,
        } => {
            let (node, centre) = (&asked.node, &asked.centre);
            let (stood, swing) = match distance < start {
                true => ("too near", "wider"),
                false => ("too far from", "closer"),
            };
            let at = capital(&value.at.to_string());
            format!("{at} the {node} stood {stood} the {centre}: swing {swing}.")
        }
        Kind::Strays { said, .. } => strayed(said.at(rung)?, kind),
        _ => return None,
    })
}

/// A lesson's own hint, or what can be said of any band.
fn hinted(said: &Said, band: &Band, value: &Seen, rung: Rung, way: &str) -> String {
    let at = match value.at {
        At::Now => String::new(),
        at => format!(", {at}"),
    };
    match said.at(rung) {
        Some(own) => own.replace("{at}", &value.at.to_string()),
        None if rung == Rung::Where => format!("{} is not as asked{at}.", called(band)),
        None => format!("{} is {way}{at}.", called(band)),
    }
}

fn called(band: &Band) -> String {
    if band.called.is_empty() {
        band.gauge.label()
    } else {
        band.called.clone()
    }
}

impl Display for Finding {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        f.write_str(&self.told(Rung::Number))
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
            Self::Under { band, value, limit } => f.write_str(&number(&band.low, value, *limit)),
            Self::Over { band, value, limit } => f.write_str(&number(&band.high, value, *limit)),
            Self::Told { band, value } => {
                f.write_str(&number(&band.high, value, value.reading.value))
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
            Self::NotPut { mount } => write!(f, "No {mount} is put yet."),
            Self::Put { at, near, .. } => place(f, at, near.as_ref()),
            Self::NotHung { node, under, .. } => match under {
                None => write!(f, "The {node} hangs from nothing yet."),
                Some(under) => write!(
                    f,
                    "The {node} hangs from the {under}; the {under} does not turn."
                ),
            },
            Self::Hung { count, most, .. } => write!(
                f,
                "Nothing moved: the greatest move of {count} joints is {most:.2} mm."
            ),
            Self::Jolted { which, most } => write!(f, "The {which} has moved {most:.2} mm."),
            Self::NotTurned { title, value, unit } => {
                write!(f, "{title}: it stands {}.", At::Dial(*value, *unit))
            }
            Self::Turned {
                at,
                node,
                slip,
                travel,
            } => write!(
                f,
                "At {at} the {node} was {travel:.1} mm from rest; worst slip on the way {slip}."
            ),
            Self::Still { said, .. } => f.write_str(said),
            Self::Strays { said, .. } => {
                f.write_str(&strayed(said.at(Rung::Number).unwrap_or_default(), self))
            }
        }
    }
}

/// Where a mount was put.
fn place(f: &mut Formatter<'_>, at: &Vec3, near: Option<&(f64, String)>) -> fmt::Result {
    match near {
        Some((off, name)) if *off < 0.05 => write!(f, "At the {name}, {off:.1} mm."),
        Some((off, name)) => write!(f, "{off:.1} mm from the {name}."),
        None => write!(f, "At {:.1}, {:.1} mm.", at.x, at.y),
    }
}

/// The lesson's sentence of a mount out of place, its numbers filled in.
fn strayed(text: &str, kind: &Kind) -> String {
    let Kind::Strays {
        ways,
        off,
        half,
        moved,
        ..
    } = kind
    else {
        return text.into();
    };
    // As many digits as there are, and two at most.
    let plain = |value: f64| format!("{}", libm::round(value * 100.0) / 100.0);
    text.replace("{ways}", &ways.join(" and "))
        .replace("{off}", &plain(*off))
        .replace("{half}", &format!("{}°", plain(*half)))
        .replace("{moved}", &format!("{moved:.2} mm"))
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
    let found = if low == high { high } else { found };
    write!(f, "{}: {found}; {asked}.", capital(&called(band)))
}

/// Digits after the point beyond which two numbers are told alike though they differ.
const MOST_DECIMALS: u8 = 6;

/// The sentence with the number.
fn number(said: &Said, value: &Seen, limit: f64) -> String {
    fill(said.at(Rung::Number).unwrap_or_default(), value, limit)
}

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
