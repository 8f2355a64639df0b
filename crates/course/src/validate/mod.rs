//! What a lesson must satisfy before it is let in: names known, numbers usable, texts complete.
use crate::fault::{Fault, Fill, Kind, MOST_SAMPLES};
use crate::lesson::{Lesson, MOST_STEPS, Shown, Step, Tool};
use crate::prose;
use crate::task::{Band, Misplaced};
use hand::Gauge;
use rig::Posed;
use rig::file::bounds::MOST_LISTED;
use rig::validate::LARGEST;
use serde_json::Value;
use std::collections::BTreeMap;

mod act;
mod task;

/// A figure to try gauges on.
struct Figure<'a> {
    posed: &'a Posed,
}

impl Figure<'_> {
    fn node(&self, name: &str, place: &str) -> Result<(), Fault> {
        let rig = self.posed.rig();
        ensure(rig.node_named(name).is_some(), place, || Kind::NoNode {
            name: name.into(),
            known: rig.nodes.iter().map(|node| node.name.clone()).collect(),
        })
    }

    fn dial(&self, name: &str, place: &str) -> Result<(), Fault> {
        let rig = self.posed.rig();
        ensure(rig.dial_named(name).is_some(), place, || Kind::NoDial {
            name: name.into(),
            known: rig.dials.iter().map(|dial| dial.name.clone()).collect(),
        })
    }

    fn gauge(&self, gauge: &Gauge, place: &str) -> Result<(), Fault> {
        if let Gauge::Penetration { nodes } | Gauge::Clearance { nodes } = gauge {
            listed(nodes.len(), place)?;
        }
        let read = gauge.read(self.posed);
        read.map(drop).map_err(|why| {
            let gauge = gauge.clone();
            Kind::Unread { gauge, why }.at(place)
        })
    }

    fn value(&self, dial: &str, value: f64, place: &str) -> Result<(), Fault> {
        self.dial(dial, place)?;
        let within = self
            .posed
            .rig()
            .dial_named(dial)
            .is_some_and(|d| d.min <= value && value <= d.max);
        ensure(within, place, || Kind::OutsideLimits {
            dial: dial.into(),
            value,
        })
    }

    fn values(&self, dials: &BTreeMap<String, f64>, place: &str) -> Result<(), Fault> {
        ensure(!dials.is_empty(), place, || Kind::NoValues)?;
        dials
            .iter()
            .try_for_each(|(dial, value)| self.value(dial, *value, place))
    }

    fn range(&self, dial: &str, (from, to): (f64, f64), place: &str) -> Result<(), Fault> {
        self.value(dial, from, place)?;
        self.value(dial, to, place)?;
        ensure(from != to, place, || Kind::NoRange)
    }

    fn band(&self, band: &Band, place: &str) -> Result<(), Fault> {
        self.gauge(&band.gauge, place)?;
        for (limit, text, name) in [
            (band.least, &band.low, "low"),
            (band.most, &band.high, "high"),
        ] {
            let told = limit.is_none() || !text.is_empty();
            ensure(told, place, || Kind::NoSentence(name))?;
        }
        let told = band.least.is_some() || band.most.is_some() || !band.high.is_empty();
        ensure(told, place, || Kind::EmptyBand)?;
        let order = band
            .least
            .zip(band.most)
            .is_none_or(|(least, most)| least <= most);
        ensure(order, place, || Kind::BandBackwards)?;
        let texts = [&band.low, &band.high].into_iter();
        texts.flat_map(|said| said.all()).try_for_each(|text| {
            let known = |name: &str| matches!(name, "value" | "limit" | "at");
            filled(text, place, known, Fill::Band)
        })
    }

    fn bands(&self, bands: &[Band], place: &str) -> Result<(), Fault> {
        ensure(!bands.is_empty(), place, || Kind::NoBands)?;
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
            ensure(ordered, &place, || Kind::ToleranceBackwards)
        })
    }

    fn desk(&self, dials: &[String], place: &str) -> Result<(), Fault> {
        listed(dials.len(), place)?;
        dials.iter().try_for_each(|name| self.dial(name, place))
    }

    fn tool(&self, tool: &Tool, place: &str) -> Result<(), Fault> {
        match tool {
            Tool::Mounts(joints) => {
                listed(joints.len(), place)?;
                joints.iter().try_for_each(|joint| self.node(joint, place))
            }
            Tool::Signs(node) | Tool::Order(node) => self.node(node, place),
            Tool::LetGo | Tool::Rehang | Tool::Poses | Tool::Map => Ok(()),
        }
    }

    fn misplaced(&self, found: &Misplaced, place: &str) -> Result<(), Fault> {
        self.node(&found.node, place)?;
        positive(found.within, place, "'within'")?;
        self.directions(&found.towards, place)
    }

    fn directions(&self, towards: &[(String, [f64; 3])], place: &str) -> Result<(), Fault> {
        ensure(!towards.is_empty(), place, || Kind::NoDirection)?;
        towards.iter().try_for_each(|(name, [x, y, z])| {
            let unit = libm::fabs(x * x + y * y + z * z - 1.0) < 1e-9;
            ensure(unit, place, || Kind::NotUnit(name.clone()))
        })
    }
}

/// Refuses numbers that no rig can have, wherever in the lesson they stand: nothing that is
/// measured against a smaller one is infinite. Documents have checks of their own.
pub(crate) fn numbers(lesson: &Value) -> Result<(), Fault> {
    match outsize(lesson) {
        Some((place, number)) => Err(Kind::Outsize(number).at(place.trim_start_matches('.'))),
        None => Ok(()),
    }
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
    ensure(count <= MOST_LISTED, place, || Kind::TooMany(count))
}

/// Refuses a lesson of too many steps.
pub(crate) fn steps(count: usize) -> Result<(), Fault> {
    ensure(count <= MOST_STEPS, "steps", || Kind::TooManySteps(count))
}

/// Checks a lesson whose documents are sound.
pub(crate) fn lesson(lesson: &Lesson) -> Result<(), Fault> {
    ensure(lesson.number > 0, "number", || Kind::NotNumbered)?;
    for (text, place) in [
        (&lesson.title, "title"),
        (&lesson.idea, "idea"),
        (&lesson.play, "play"),
    ] {
        ensure(!text.trim().is_empty(), place, || Kind::NoText)?;
    }
    ensure(lesson.words.len() <= 3, "words", || Kind::TooManyWords)?;
    ensure(!lesson.steps.is_empty(), "steps", || Kind::NoSteps)?;
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
            filled(text, &format!("{place}[{i}]"), live, Fill::Readings)?;
        }
    }
    filled(&lesson.play, "play", live, Fill::Readings)?;
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
        ensure(!text.trim().is_empty(), &place, || Kind::NoText)?;
        let live = |name: &str| lesson.readings.contains_key(name);
        filled(text, &place, live, Fill::Readings)?;
    }
    let figure = Figure {
        posed: lesson.figure(step),
    };
    listed(step.marks.len(), &format!("{place}.marks"))?;
    figure.shown(&step.gauges, &format!("{place}."))?;
    figure.desk(&step.desk, &format!("{place}.desk"))?;
    listed(step.tools.len(), &format!("{place}.tools"))?;
    for (i, tool) in step.tools.iter().enumerate() {
        figure.tool(tool, &format!("{place}.tools[{i}]"))?;
    }
    figure.task(&step.task, &format!("{place}.task"))?;
    if let Some(trying) = &step.trying {
        let place = format!("{place}.try");
        ensure(step.task.is_prediction(), &place, || Kind::NotTried)?;
        let place = format!("{place}.says");
        ensure(!trying.says.trim().is_empty(), &place, || Kind::NoText)?;
        let live = |name: &str| lesson.readings.contains_key(name);
        filled(&trying.says, &place, live, Fill::Readings)?;
        // What is on the desk is read of what is tried as well.
        let figure = Figure {
            posed: lesson.tried(step),
        };
        figure.shown(&step.gauges, &format!("{place}."))?;
    }
    Ok(())
}

fn counted(samples: u32, place: &str) -> Result<(), Fault> {
    let runs = (2..=MOST_SAMPLES).contains(&samples);
    ensure(runs, place, || Kind::Samples(samples))
}

fn positive(value: f64, place: &str, called: &'static str) -> Result<(), Fault> {
    ensure(value > 0.0, place, || Kind::NotPositive(called))
}

/// Every `{name}` in a text must be one that will be filled in.
fn filled(text: &str, place: &str, known: impl Fn(&str) -> bool, fill: Fill) -> Result<(), Fault> {
    let unfilled = |name: &str| Kind::Unfilled {
        name: name.into(),
        fill,
    };
    let names = prose::names(text).map_err(|other| unfilled(other).at(place))?;
    let mut names = names.into_iter();
    names.try_for_each(|name| ensure(known(name), place, || unfilled(name)))
}

fn ensure(holds: bool, place: &str, kind: impl FnOnce() -> Kind) -> Result<(), Fault> {
    if holds { Ok(()) } else { Err(kind().at(place)) }
}
