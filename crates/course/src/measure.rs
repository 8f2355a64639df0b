//! A pose moved about, and the worst of a gauge along a run.
use crate::lesson::Band;
use hand::Gauge;
use rig::{Dial, DialId, Posed, Reading, Vec3};
use std::collections::BTreeMap;

/// A pose that can be moved, read by names.
pub(crate) struct Run {
    pub(crate) posed: Posed,
}

impl Run {
    /// Starts from a pose as it stands.
    pub(crate) fn new(posed: &Posed) -> Self {
        let posed = posed.clone();
        Self { posed }
    }

    pub(crate) fn set(&mut self, values: &[(DialId, f64)]) {
        for &(dial, value) in values {
            self.posed.set_dial(dial, value);
        }
        self.posed.evaluate();
    }

    pub(crate) fn set_named(&mut self, values: &BTreeMap<String, f64>) -> Result<(), String> {
        let values = values
            .iter()
            .map(|(name, value)| Ok((self.dial(name)?.id, *value)));
        let values = values.collect::<Result<Vec<_>, String>>()?;
        self.set(&values);
        Ok(())
    }

    pub(crate) fn dial(&self, name: &str) -> Result<&Dial, String> {
        let dial = self.posed.rig().dial_named(name);
        dial.ok_or_else(|| format!("The dial '{name}' is gone: undo its removal."))
    }

    pub(crate) fn point(&self, name: &str) -> Result<Vec3, String> {
        let node = self.posed.rig().node_named(name);
        node.map(|node| self.posed.point(node.id))
            .ok_or_else(|| format!("The node '{name}' is gone: undo its removal."))
    }

    pub(crate) fn read(&self, gauge: &Gauge) -> Result<Reading, String> {
        let read = gauge.read(&self.posed);
        read.map_err(|why| {
            format!(
                "{}: undo until it is back.",
                capital(why.trim_end_matches('.'))
            )
        })
    }
}

/// The worst reading of one band so far: its least and its greatest, each with where it was.
pub(crate) struct Worst<'a> {
    band: &'a Band,
    least: Option<(Reading, String)>,
    greatest: Option<(Reading, String)>,
}

impl<'a> Worst<'a> {
    pub(crate) fn of(bands: &'a [Band]) -> Vec<Self> {
        bands
            .iter()
            .map(|band| Self {
                band,
                least: None,
                greatest: None,
            })
            .collect()
    }

    /// Takes in the reading here; `from_neutral` is how far the run's dial is from its neutral.
    pub(crate) fn look(&mut self, run: &Run, at: &str, from_neutral: f64) -> Result<(), String> {
        if self
            .band
            .beyond
            .is_some_and(|beyond| libm::fabs(from_neutral) < beyond)
        {
            return Ok(());
        }
        let reading = run.read(&self.band.gauge)?;
        if self
            .least
            .as_ref()
            .is_none_or(|(least, _)| reading.value < least.value)
        {
            self.least = Some((reading, at.into()));
        }
        if self
            .greatest
            .as_ref()
            .is_none_or(|(greatest, _)| reading.value > greatest.value)
        {
            self.greatest = Some((reading, at.into()));
        }
        Ok(())
    }

    /// Whether the band held, and the sentence that says so.
    pub(crate) fn verdict(self) -> (bool, String) {
        let Some(((least, low_at), (greatest, high_at))) = self.least.zip(self.greatest) else {
            return (false, "Nothing was measured.".into());
        };
        let band = self.band;
        if let Some(limit) = band.least.filter(|limit| least.value < *limit) {
            return (false, fill(&band.low, &least, limit, &low_at));
        }
        if let Some(limit) = band.most.filter(|limit| greatest.value > *limit) {
            return (false, fill(&band.high, &greatest, limit, &high_at));
        }
        if band.least.is_none() && band.most.is_none() {
            return (true, fill(&band.high, &greatest, greatest.value, &high_at));
        }
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
        (true, format!("{}: {found}; {asked}.", capital(&called)))
    }
}

fn fill(text: &str, value: &Reading, limit: f64, at: &str) -> String {
    let limit = Reading {
        value: limit,
        ..*value
    };
    text.replace("{value}", &value.to_string())
        .replace("{limit}", &limit.to_string())
        .replace("{at}", at)
}

/// With its first letter large.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
