//! Motions: a setting of a rig for every moment. What the page plays and what an exercise marks
//! are the same [`Motion`], taken at the same moments' settings.
#![warn(missing_docs)]

use rig::{DialId, Posed, Setting};

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

#[cfg(test)]
mod tests {
    use super::*;

    fn posed() -> Posed {
        let text = include_str!("../../../examples/bench-press-chain.hand.json");
        let document = rig::read(text).expect("a good example");
        Posed::new(&document).expect("it was checked")
    }

    fn at(posed: &Posed, lift: f64) -> Setting {
        let mut setting = posed.setting().clone();
        setting.dials[0] = lift;
        setting
    }

    #[test]
    fn ends_are_exact_and_nothing_is_past_them() {
        let posed = posed();
        let (from, to) = (at(&posed, 0.1), at(&posed, 0.7));
        let motion = Motion::Between {
            from: from.clone(),
            to: to.clone(),
        };
        for (t, end) in [(0.0, &from), (-3.0, &from), (1.0, &to), (9.0, &to)] {
            assert_eq!(motion.at(t), *end, "{t}");
        }
        assert_eq!(motion.at(f64::NAN), from);
        assert!((motion.at(0.5).dials[0] - 0.4).abs() < 1e-15);
    }

    #[test]
    fn a_way_goes_through_each_of_its_settings() {
        let posed = posed();
        let way: Vec<_> = [0.0, 12.0, 3.0, 3.5].map(|lift| at(&posed, lift)).into();
        let motion = Motion::Trace { way: way.clone() };
        for (place, setting) in way.iter().enumerate() {
            let off = motion.at(place as f64 / 3.0).dials[0] - setting.dials[0];
            assert!(off.abs() < 1e-12, "{place}: {off}");
        }
        // No dial goes further than asked from one moment to the next, and every turn is met.
        let moments = motion.close_moments(1.0);
        assert_eq!(moments.len(), 1 + 12 + 9 + 1);
        for pair in moments.windows(2) {
            let step = motion.at(pair[1]).dials[0] - motion.at(pair[0]).dials[0];
            assert!(step.abs() <= 1.0 + 1e-12, "{step}");
        }
        let only = Motion::Trace {
            way: vec![at(&posed, 7.0)],
        };
        assert_eq!(only.at(0.3), at(&posed, 7.0));
        assert_eq!(only.close_moments(1.0), [0.0]);
    }

    #[test]
    fn a_sweep_turns_its_dial_alone() {
        let mut posed = posed();
        let dial = posed.rig().dials[0].id;
        let motion = Motion::sweep(&posed, dial, (-10.0, 30.0)).expect("it has that dial");
        let others = posed.setting().dials[1..].to_vec();
        for t in Motion::moments(8) {
            motion.pose(&mut posed, t);
            assert_eq!(posed.dial(dial), -10.0 + 40.0 * t);
            assert_eq!(posed.setting().dials[1..], others);
        }
        assert_eq!(Motion::moments(0).collect::<Vec<_>>(), [0.0]);
        assert!(Motion::sweep(&posed, DialId(9_999), (0.0, 1.0)).is_none());
    }
}
