//! A pose moved about, and the worst of a gauge along a run.
use crate::finding::{At, Finding, Kind, Part, Seen};
use crate::obstacle::Obstacle;
use crate::task::Band;
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

    pub(crate) fn set_named(&mut self, values: &BTreeMap<String, f64>) -> Result<(), Obstacle> {
        let values = values
            .iter()
            .map(|(name, value)| Ok((self.dial(name)?.id, *value)));
        let values = values.collect::<Result<Vec<_>, Obstacle>>()?;
        self.set(&values);
        Ok(())
    }

    pub(crate) fn dial(&self, name: &str) -> Result<&Dial, Obstacle> {
        let dial = self.posed.rig().dial_named(name);
        dial.ok_or_else(|| Obstacle::DialGone(name.into()))
    }

    pub(crate) fn point(&self, name: &str) -> Result<Vec3, Obstacle> {
        let node = self.posed.rig().node_named(name);
        node.map(|node| self.posed.point(node.id))
            .ok_or_else(|| Obstacle::NodeGone(name.into()))
    }

    pub(crate) fn read(&self, gauge: &Gauge) -> Result<Reading, Obstacle> {
        let read = gauge.read(&self.posed);
        read.map_err(|why| Obstacle::Unread {
            gauge: gauge.clone(),
            why,
        })
    }
}

/// The worst readings of one band so far: the least and the greatest.
pub(crate) struct Worst<'a> {
    band: &'a Band,
    range: Option<(Seen, Seen)>,
}

impl<'a> Worst<'a> {
    pub(crate) fn of(bands: &'a [Band]) -> Vec<Self> {
        let bands = bands.iter();
        bands.map(|band| Self { band, range: None }).collect()
    }

    /// Takes in the reading here; `from_neutral` is how far the run's dial is from its neutral.
    pub(crate) fn look(&mut self, run: &Run, at: At, from_neutral: f64) -> Result<(), Obstacle> {
        let beyond = self.band.beyond;
        if beyond.is_some_and(|beyond| libm::fabs(from_neutral) < beyond) {
            return Ok(());
        }
        let reading = run.read(&self.band.gauge)?;
        let here = Seen { reading, at };
        let (least, greatest) = self.range.get_or_insert((here, here));
        if reading.value < least.reading.value {
            *least = here;
        }
        if reading.value > greatest.reading.value {
            *greatest = here;
        }
        Ok(())
    }

    /// What it comes to.
    pub(crate) fn finding(self, part: Part) -> Finding {
        let band = self.band.clone();
        let kind = match self.range {
            None => Kind::Unmeasured { band },
            Some((least, greatest)) => compared(band, least, greatest),
        };
        Finding { part, kind }
    }
}

fn compared(band: Band, least: Seen, greatest: Seen) -> Kind {
    let (low, high) = (least.reading.value, greatest.reading.value);
    match (band.least, band.most) {
        (Some(limit), _) if low < limit => Kind::Under {
            band,
            value: least,
            limit,
        },
        (_, Some(limit)) if high > limit => Kind::Over {
            band,
            value: greatest,
            limit,
        },
        (None, None) => Kind::Told {
            band,
            value: greatest,
        },
        _ => Kind::Within {
            band,
            least,
            greatest,
        },
    }
}
