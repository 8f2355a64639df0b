//! Motions: a setting of a rig for every moment. What the page plays and what an exercise marks
//! are the same [`Motion`], taken at the same moments' settings.
#![warn(missing_docs)]

use rig::{DialId, Posed, Rig, Setting};

/// A way through settings of one rig, over a time t from 0 to 1.
#[derive(Clone, Debug, PartialEq)]
pub enum Motion {
    /// Straight from one setting to another.
    Between {
        /// At 0.
        from: Setting,
        /// At 1. Its switches hold from there on.
        to: Setting,
    },
    /// One dial through a range, all others where they stand.
    Sweep {
        /// The others.
        rest: Setting,
        /// The dial's place in the rig.
        dial: usize,
        /// Its value at 0 and at 1, in its unit.
        range: (f64, f64),
    },
    /// Along a way that was taken, through each of its settings in turn, straight from one to the
    /// next and as long from each to the next.
    Trace {
        /// At least one.
        way: Vec<Setting>,
    },
}

impl Motion {
    /// A sweep of a dial of a posed rig from where everything stands; none: it has no such dial.
    pub fn sweep(posed: &Posed, dial: DialId, range: (f64, f64)) -> Option<Self> {
        let dial = posed.rig().dials.iter().position(|item| item.id == dial)?;
        Some(Self::Sweep {
            rest: posed.setting().clone(),
            dial,
            range,
        })
    }

    /// The setting at a moment; before 0 and past 1 as at those.
    pub fn at(&self, t: f64) -> Setting {
        match self {
            Self::Between { from, to } => blend(from, to, t),
            Self::Sweep { rest, dial, range } => {
                let mut setting = rest.clone();
                if let Some(value) = setting.dials.get_mut(*dial) {
                    *value = between(range.0, range.1, t);
                }
                setting
            }
            Self::Trace { way } => match &way[..] {
                [] => Setting::default(),
                [only] => only.clone(),
                way => {
                    let along = t * (way.len() - 1) as f64;
                    // Saturates, and a NaN becomes 0.
                    let at = (along as usize).min(way.len() - 2);
                    blend(&way[at], &way[at + 1], along - at as f64)
                }
            },
        }
    }

    /// Poses a rig at a moment of the motion, evaluated.
    pub fn pose(&self, posed: &mut Posed, t: f64) {
        posed.set(&self.at(t));
    }

    /// Moments from 0 to 1, as far apart as so many equal steps.
    pub fn moments(steps: u32) -> impl Iterator<Item = f64> {
        (0..=steps).map(move |step| {
            if steps == 0 {
                0.0
            } else {
                f64::from(step) / f64::from(steps)
            }
        })
    }

    /// Moments from 0 to 1 close enough that no dial goes further from one to the next than
    /// `most`, in its unit: those of a way that was taken fast have gaps. There are at most 400
    /// between two settings of a way.
    pub fn close_moments(&self, most: f64) -> Vec<f64> {
        const MOST: f64 = 400.0;
        let pieces = |from: &Setting, to: &Setting| {
            let apart = from.dials.iter().zip(&to.dials);
            let gap = apart.fold(0.0, |gap, (a, b)| f64::max(gap, libm::fabs(b - a)));
            libm::ceil(gap / most).clamp(1.0, MOST) as u32
        };
        match self {
            Self::Between { from, to } => Self::moments(pieces(from, to)).collect(),
            Self::Sweep { range, .. } => {
                let gap = libm::fabs(range.1 - range.0);
                Self::moments(libm::ceil(gap / most).clamp(1.0, MOST) as u32).collect()
            }
            Self::Trace { way } => {
                let mut moments = vec![0.0];
                let legs = way.len().saturating_sub(1) as f64;
                for (leg, pair) in way.windows(2).enumerate() {
                    let parts = Self::moments(pieces(&pair[0], &pair[1])).skip(1);
                    moments.extend(parts.map(|part| (leg as f64 + part) / legs));
                }
                moments
            }
        }
    }

    /// The same motion of another rig: what both have goes on as it did, by id; everything else
    /// is neutral and on. A sweep of a dial that is gone moves nothing.
    #[must_use]
    pub fn carried(&self, from: &Rig, to: &Rig) -> Self {
        match self {
            Self::Between { from: a, to: b } => Self::Between {
                from: a.carried(from, to),
                to: b.carried(from, to),
            },
            Self::Sweep { rest, dial, range } => {
                let id = from.dials.get(*dial).map(|dial| dial.id);
                let place = to.dials.iter().position(|dial| Some(dial.id) == id);
                Self::Sweep {
                    rest: rest.carried(from, to),
                    dial: place.unwrap_or(usize::MAX),
                    range: *range,
                }
            }
            Self::Trace { way } => Self::Trace {
                way: way.iter().map(|at| at.carried(from, to)).collect(),
            },
        }
    }
}

/// A fraction of the way from `a` to `b`: exactly `a` at 0 and `b` at 1, and nowhere past them.
pub fn between(a: f64, b: f64, t: f64) -> f64 {
    let t = if t > 1.0 {
        1.0
    } else if t > 0.0 {
        t
    } else {
        0.0
    };
    a * (1.0 - t) + b * t
}

fn blend(from: &Setting, to: &Setting, t: f64) -> Setting {
    let dials = from.dials.iter().zip(&to.dials);
    Setting {
        dials: dials.map(|(&a, &b)| between(a, b, t)).collect(),
        active: if t < 1.0 { &from.active } else { &to.active }.clone(),
    }
}
