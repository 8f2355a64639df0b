//! What a lesson must satisfy before it is let in: names known, numbers usable, texts complete.
use crate::fault::{Fault, Kind};
use crate::lesson::{Band, Lesson, MOST_STEPS, Misplaced, Shown, Step};
use hand::Gauge;
use rig::Posed;
use rig::file::bounds::MOST_LISTED;
use rig::text::{choices, quoted};
use rig::validate::LARGEST;
use serde_json::Value;
use std::collections::BTreeMap;

mod task;

/// Most steps of a run: a page must not hang.
pub const MOST_SAMPLES: u32 = 2000;
/// A fault.
pub(crate) fn fault(place: &str, what: &str, mend: &str) -> Fault {
    let (what, mend) = (what.to_owned(), mend.to_owned());
    Fault::new(place, Kind::Lesson { what, mend })
}

/// A figure to try gauges on.
struct Figure<'a> {
    posed: &'a Posed,
}

impl Figure<'_> {
    fn node(&self, name: &str, place: &str) -> Result<(), Fault> {
        known(
            self.posed.rig().node_named(name).is_some(),
            "node",
            name,
            place,
            self.posed.rig().nodes.iter().map(|n| &n.name),
        )
    }

    fn dial(&self, name: &str, place: &str) -> Result<(), Fault> {
        known(
            self.posed.rig().dial_named(name).is_some(),
            "dial",
            name,
            place,
            self.posed.rig().dials.iter().map(|d| &d.name),
        )
    }

    fn gauge(&self, gauge: &Gauge, place: &str) -> Result<(), Fault> {
        if let Gauge::Penetration { nodes } | Gauge::Clearance { nodes } = gauge {
            listed(nodes.len(), place)?;
        }
        gauge.read(self.posed).map(|_| ()).map_err(|why| {
            fault(
                place,
                why.trim_end_matches('.'),
                "name what the step's document has",
            )
        })
    }

    fn value(&self, dial: &str, value: f64, place: &str) -> Result<(), Fault> {
        self.dial(dial, place)?;
        let within = self
            .posed
            .rig()
            .dial_named(dial)
            .is_some_and(|d| d.min <= value && value <= d.max);
        ensure(
            within,
            place,
            &format!("{value} is outside the limits of dial {}", quoted(dial)),
            "change the one or the other",
        )
    }

    fn values(&self, dials: &BTreeMap<String, f64>, place: &str) -> Result<(), Fault> {
        ensure(
            !dials.is_empty(),
            place,
            "no dial is given",
            "give at least one",
        )?;
        dials
            .iter()
            .try_for_each(|(dial, value)| self.value(dial, *value, place))
    }

    fn range(&self, dial: &str, (from, to): (f64, f64), place: &str) -> Result<(), Fault> {
        self.value(dial, from, place)?;
        self.value(dial, to, place)?;
        ensure(
            from != to,
            place,
            "the range is empty",
            "let it run from one value to another",
        )
    }

    fn band(&self, band: &Band, place: &str) -> Result<(), Fault> {
        self.gauge(&band.gauge, place)?;
        for (limit, text, name) in [
            (band.least, &band.low, "low"),
            (band.most, &band.high, "high"),
        ] {
            ensure(
                limit.is_none() || !text.is_empty(),
                place,
                &format!("'{name}' is missing"),
                "say what is wrong then",
            )?;
        }
        let told = band.least.is_some() || band.most.is_some() || !band.high.is_empty();
        ensure(
            told,
            place,
            "the band has neither limit nor text",
            "give 'least', 'most' or 'high'",
        )?;
        let order = band
            .least
            .zip(band.most)
            .is_none_or(|(least, most)| least <= most);
        ensure(order, place, "'least' is more than 'most'", "swap them")?;
        [&band.low, &band.high].into_iter().try_for_each(|text| {
            filled(
                text,
                place,
                |name| matches!(name, "value" | "limit" | "at"),
                "use {value}, {limit} or {at}",
            )
        })
    }

    fn bands(&self, bands: &[Band], place: &str) -> Result<(), Fault> {
        ensure(
            !bands.is_empty(),
            place,
            "there is nothing to measure",
            "give at least one band",
        )?;
        listed(bands.len(), place)?;
        bands
            .iter()
            .enumerate()
            .try_for_each(|(i, band)| self.band(band, &format!("{place}[{i}]")))
    }

    fn shown(&self, gauges: &[Shown], place: &str) -> Result<(), Fault> {
        listed(gauges.len(), &format!("{place}gauges"))?;
        gauges.iter().enumerate().try_for_each(|(i, shown)| {
            let place = format!("{place}gauges[{i}]");
            self.gauge(&shown.gauge, &place)?;
            positive(shown.scale, &place, "the scale")?;
            let ordered = shown.tolerance.is_none_or(|(least, most)| least <= most);
            ensure(
                ordered,
                &place,
                "the tolerance runs backwards",
                "give the least value first",
            )
        })
    }

    fn desk(&self, dials: &[String], place: &str) -> Result<(), Fault> {
        listed(dials.len(), place)?;
        dials.iter().try_for_each(|name| self.dial(name, place))
    }

    fn misplaced(&self, found: &Misplaced, place: &str) -> Result<(), Fault> {
        self.node(&found.node, place)?;
        positive(found.within, place, "'within'")?;
        ensure(
            !found.towards.is_empty(),
            place,
            "no direction is named",
            "give at least one in 'towards'",
        )?;
        found.towards.iter().try_for_each(|(name, [x, y, z])| {
            let unit = libm::fabs(x * x + y * y + z * z - 1.0) < 1e-9;
            ensure(
                unit,
                place,
                &format!("the direction {} is not one long", quoted(name)),
                "give a unit vector",
            )
        })
    }
}

/// Refuses numbers that no rig can have, wherever in the lesson they stand: nothing that is
/// measured against a smaller one is infinite. Documents have a door of their own.
pub(crate) fn numbers(lesson: &Value) -> Result<(), Fault> {
    let Some((place, number)) = outsize(lesson) else {
        return Ok(());
    };
    Err(fault(
        place.trim_start_matches('.'),
        &format!("{number:e} is not a number a lesson can have"),
        &format!("give a number between -{LARGEST:e} and {LARGEST:e}"),
    ))
}

/// The first such number, and the way to it, which is put together on the way back.
fn outsize(value: &Value) -> Option<(String, f64)> {
    match value {
        Value::Number(number) => {
            let number = number.as_f64()?;
            (number.abs() > LARGEST).then(|| (String::new(), number))
        }
        Value::Array(items) => items.iter().enumerate().find_map(|(at, item)| {
            let (way, number) = outsize(item)?;
            Some((format!("[{at}]{way}"), number))
        }),
        Value::Object(fields) => {
            let mut fields = fields.iter().filter(|(name, _)| *name != "document");
            fields.find_map(|(name, field)| {
                let (way, number) = outsize(field)?;
                Some((format!(".{name}{way}"), number))
            })
        }
        _ => None,
    }
}

/// Refuses a list of too many entries.
fn listed(count: usize, place: &str) -> Result<(), Fault> {
    ensure(
        count <= MOST_LISTED,
        place,
        &format!("it lists {count}, and {MOST_LISTED} is the most"),
        "leave some out",
    )
}

/// Refuses a lesson of too many steps.
pub(crate) fn steps(count: usize) -> Result<(), Fault> {
    ensure(
        count <= MOST_STEPS,
        "steps",
        &format!("it has {count} steps, and {MOST_STEPS} is the most"),
        "make two lessons of it",
    )
}

/// Checks a lesson whose documents are sound.
pub(crate) fn lesson(lesson: &Lesson) -> Result<(), Fault> {
    ensure(
        lesson.number > 0,
        "number",
        "lessons count from 1",
        "give it a number",
    )?;
    for (text, place) in [
        (&lesson.title, "title"),
        (&lesson.idea, "idea"),
        (&lesson.play, "play"),
    ] {
        ensure(!text.trim().is_empty(), place, "it is empty", "write it")?;
    }
    ensure(
        lesson.words.len() <= 3,
        "words",
        "a lesson brings at most three new words",
        "move one to another lesson",
    )?;
    ensure(
        !lesson.steps.is_empty(),
        "steps",
        "there is none",
        "give at least one",
    )?;
    let opening = Figure {
        posed: &lesson.document,
    };
    opening.shown(&lesson.gauges, "")?;
    opening.desk(&lesson.desk, "desk")?;
    listed(lesson.readings.len(), "readings")?;
    for (name, gauge) in &lesson.readings {
        opening.gauge(gauge, &format!("readings.{name}"))?;
    }
    let live = |name: &str| lesson.readings.contains_key(name);
    let texts = [("intro", &lesson.intro), ("why", &lesson.why)];
    for (place, paragraphs) in texts {
        for (i, text) in paragraphs.iter().enumerate() {
            filled(
                text,
                &format!("{place}[{i}]"),
                live,
                "name it in 'readings'",
            )?;
        }
    }
    filled(&lesson.play, "play", live, "name it in 'readings'")?;
    lesson
        .steps
        .iter()
        .enumerate()
        .try_for_each(|(i, found)| step(lesson, found, &format!("steps[{i}]")))
}

fn step(lesson: &Lesson, step: &Step, place: &str) -> Result<(), Fault> {
    for (text, name) in [
        (&step.title, "title"),
        (&step.ask, "ask"),
        (&step.insight, "insight"),
    ] {
        let place = format!("{place}.{name}");
        ensure(!text.trim().is_empty(), &place, "it is empty", "write it")?;
        filled(
            text,
            &place,
            |name| lesson.readings.contains_key(name),
            "name it in 'readings'",
        )?;
    }
    let figure = Figure {
        posed: lesson.figure(step),
    };
    listed(step.marks.len(), &format!("{place}.marks"))?;
    figure.shown(&step.gauges, &format!("{place}."))?;
    figure.desk(&step.desk, &format!("{place}.desk"))?;
    figure.task(&step.task, &format!("{place}.task"))
}

fn counted(samples: u32, place: &str) -> Result<(), Fault> {
    let mend = format!("give 2 to {MOST_SAMPLES}");
    ensure(
        (2..=MOST_SAMPLES).contains(&samples),
        place,
        &format!("{samples} samples cannot be run"),
        &mend,
    )
}

fn positive(value: f64, place: &str, called: &str) -> Result<(), Fault> {
    ensure(
        value > 0.0,
        place,
        &format!("{called} is not more than zero"),
        "give a positive number",
    )
}

/// Every `{name}` in a text must be one that will be filled in.
fn filled(text: &str, place: &str, known: impl Fn(&str) -> bool, mend: &str) -> Result<(), Fault> {
    for part in text.split('{').skip(1) {
        let name = part.split('}').next().unwrap_or(part);
        ensure(
            known(name),
            place,
            &format!("nothing fills in {}", quoted(&format!("{{{name}}}"))),
            mend,
        )?;
    }
    Ok(())
}

fn known<'a>(
    found: bool,
    kind: &str,
    name: &str,
    place: &str,
    all: impl Iterator<Item = &'a String>,
) -> Result<(), Fault> {
    if found {
        return Ok(());
    }
    let mend = match choices(all.map(String::as_str)) {
        none if none.is_empty() => format!("give the figure a {kind} of that name"),
        names => format!("use one of {names}"),
    };
    Err(fault(
        place,
        &format!("there is no {kind} {}", quoted(name)),
        &mend,
    ))
}

fn ensure(holds: bool, place: &str, what: &str, mend: &str) -> Result<(), Fault> {
    if holds {
        Ok(())
    } else {
        Err(fault(place, what, mend))
    }
}
