//! A dial over a range, and how many poses a grid may have.
use super::NoSurvey;
use rig::{Dial, DialId, Fault, Rig};

/// Narrowest range of a sweep, in its dial's unit: its values could hardly be told apart.
const NARROWEST: f64 = 1e-9;
/// The same as a part of how far from 0 the range is.
const GRAIN: f64 = 1e-12;
/// More poses than this are refused: a page must not hang.
pub const MOST_CELLS: usize = 1_000_000;
/// More slips than this are refused, one for each plant in each cell: each takes 16 bytes.
pub const MOST_SLIPS: usize = 10_000_000;

/// How many poses these sweeps make together, before any is made.
///
/// # Errors
/// When there are more than [`MOST_CELLS`], or with the document's plants more than
/// [`MOST_SLIPS`].
pub fn cells(rig: &Rig, sweeps: &[Sweep]) -> Result<usize, Fault<NoSurvey>> {
    let plants = rig.plants.len();
    let most = MOST_CELLS.min(MOST_SLIPS / plants.max(1));
    let within = |most| {
        sweeps.iter().try_fold(1, |cells: usize, sweep| {
            let cells = cells.checked_mul(sweep.count);
            cells.filter(|&cells| cells <= most)
        })
    };
    within(most).ok_or_else(|| {
        let plants = within(MOST_CELLS).map(|_| plants);
        let fault = NoSurvey::TooFine {
            counts: sweeps.iter().map(|sweep| sweep.count).collect(),
            most: plants.map_or(MOST_CELLS, |_| most),
            plants,
        };
        Fault::new("survey", fault)
    })
}

/// One side of the grid: a dial over a range, in the dial's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sweep {
    /// The dial.
    pub dial: DialId,
    /// First value.
    pub from: f64,
    /// Last value, greater than the first.
    pub to: f64,
    /// How many values, both ends included: at least 2.
    pub count: usize,
}

impl Sweep {
    /// The value at a place of the grid; both ends are exact.
    pub fn value(&self, at: usize) -> f64 {
        let last = self.count - 1;
        if at >= last {
            return self.to;
        }
        self.from + (self.to - self.from) * (at as f64 / last as f64)
    }

    /// How far apart the values are.
    pub fn step(&self) -> f64 {
        (self.to - self.from) / (self.count - 1) as f64
    }

    /// The place whose value is nearest.
    pub fn nearest(&self, value: f64) -> usize {
        let at = libm::round((value - self.from) / self.step());
        // Saturates, and a NaN becomes 0.
        (at as usize).min(self.count - 1)
    }

    /// Where a place between grid places lies, in the dial's unit.
    pub(super) fn between(&self, a: usize, b: usize, t: f64) -> f64 {
        self.value(a) + (self.value(b) - self.value(a)) * t
    }

    /// Whether the document can be swept so.
    ///
    /// # Errors
    /// When it has no such dial, the range is none, too narrow or outside the dial's limits, or
    /// there are fewer than two values.
    pub fn check(&self, rig: &Rig) -> Result<(), Fault<NoSurvey>> {
        let Some(Dial { name, min, max, .. }) = rig.dial(self.dial) else {
            return Err(Fault::new("survey", NoSurvey::NoDial));
        };
        let fault = |kind| Err(Fault::new(format!("the sweep of '{name}'"), kind));
        let Self { from, to, .. } = *self;
        // Written so that a NaN is refused too.
        if !(from >= *min && to <= *max && from < to) {
            let (min, max) = (*min, *max);
            return fault(NoSurvey::NotARange { from, to, min, max });
        }
        let far = if -from > to { -from } else { to };
        if to - from < NARROWEST || to - from < GRAIN * far {
            return fault(NoSurvey::TooNarrow { from, to });
        }
        if self.count < 2 {
            return fault(NoSurvey::TooFewValues(self.count));
        }
        Ok(())
    }
}
