//! A dial walked from neutral to one of its ends, everything planted measured on the way.
use super::{Cell, Meter};
use rig::{Dial, DialId, Posed};

/// Looked at this many times between neutral and the dial's end, so that a short unsafe stretch is not
/// stepped over.
const LOOKS: usize = 180;
/// Halvings of the stretch in which the tolerance is crossed: from half a degree to below 1e-9.
const HALVINGS: usize = 32;

/// A dial walked from neutral to one of its ends.
pub(super) struct Walk<'a> {
    pub dial: &'a Dial,
    pub end: f64,
    pub meter: Meter,
    /// Each plant's slip where it was looked at last; none: it is not down.
    pub slips: Vec<Option<f64>>,
    posed: Posed,
}

impl<'a> Walk<'a> {
    pub fn new(posed: &'a Posed, dial: DialId, rising: bool) -> Option<Self> {
        let rig = posed.rig();
        let dial = rig.dial(dial)?;
        let meter = Meter::new(rig);
        let slips = meter.slips();
        Some(Self {
            dial,
            end: if rising { dial.max } else { dial.min },
            posed: posed.clone(),
            slips,
            meter,
        })
    }

    pub fn look(&mut self, value: f64) -> Cell {
        self.posed.set_dial(self.dial.id, value);
        self.posed.evaluate();
        self.meter.read(&self.posed, &mut self.slips)
    }

    /// The same without depths and limits, which takes less.
    pub fn glance(&mut self, value: f64) -> Cell {
        self.posed.set_dial(self.dial.id, value);
        self.posed.evaluate();
        self.meter.slips_of(&self.posed, &mut self.slips)
    }

    fn value(&self, place: usize) -> f64 {
        if place == LOOKS {
            return self.end;
        }
        let neutral = self.dial.neutral;
        neutral + (self.end - neutral) * (place as f64 / LOOKS as f64)
    }

    /// The first value at which `stops` is true, and the last at which it is not: neutral when
    /// it is so from the start, none when it never is.
    pub fn first(
        &mut self,
        look: impl Fn(&mut Self, f64) -> Cell,
        stops: impl Fn(&Self, Cell) -> bool,
    ) -> Option<(f64, f64)> {
        let mut good = self.dial.neutral;
        for place in 0..=LOOKS {
            let mut bad = self.value(place);
            let cell = look(self, bad);
            if !stops(self, cell) {
                good = bad;
                continue;
            }
            if place > 0 {
                for _ in 0..HALVINGS {
                    let middle = good + 0.5 * (bad - good);
                    let cell = look(self, middle);
                    if stops(self, cell) {
                        bad = middle;
                    } else {
                        good = middle;
                    }
                }
            }
            return Some((good, bad));
        }
        None
    }
}
