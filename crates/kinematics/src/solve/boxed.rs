//! A cost made least within bounds.
//!
//! Each step goes to the least of a model of the cost that the caller makes (its curvature, or
//! what stands for it), damped as Levenberg (1944) and Marquardt (1963) do: more after a step that
//! went up, less or more by how well the model foretold one that went down. An unknown at a bound
//! that the cost falls beyond is held there; one that a step would take past a bound is stopped at
//! it, and the others are solved for again (an active set).
//!
//! The thumb, chains by damped least squares and a drag's dials descend by it. Two searches keep
//! steps of their own. A thumb that reaches slides along the poses that reach, a curve and not a
//! valley: its steps are a quadratic programme with the reach as equation, for whose sake a cost
//! would have to weigh a miss against flexion. And where it misses it settles by steps in full
//! that may climb, taking only the step within bounds from here.
use super::link;
use nalgebra::{Const, DimMin, SMatrix, SVector};

/// Damping after which nothing is left of a step.
const MOST: f64 = 1e12;

/// One number sought.
#[derive(Clone, Copy, Debug, Default)]
pub struct Unknown {
    /// Where it is; for a caller to read when all is done.
    pub at: f64,
    /// Least and most it may be.
    pub bounds: (f64, f64),
    /// How the cost rises with it, there.
    pub slope: f64,
    /// By how much it is to move.
    pub step: f64,
    /// Whether `step` is fixed by a bound.
    pub held: bool,
}

impl Unknown {
    /// Starts at a place, or at the bound it is beyond.
    pub fn new(at: f64, bounds: (f64, f64)) -> Self {
        Self {
            at: link::inside(at, bounds.0, bounds.1),
            bounds,
            ..Self::default()
        }
    }

    /// Where its step leads.
    pub fn to(&self) -> f64 {
        link::inside(self.at + self.step, self.bounds.0, self.bounds.1)
    }

    /// Whether it is at a bound beyond which the cost falls.
    pub fn is_pushed(&self) -> bool {
        let (low, high) = self.bounds;
        (self.at <= low && self.slope > 0.0) || (self.at >= high && self.slope < 0.0)
    }
}

/// What is made least. It stands at the unknowns' places when given to [`descend`].
pub trait Valley {
    /// The cost where the steps lead; it stands there now.
    fn cost(&mut self, unknowns: &[Unknown]) -> f64;

    /// Where it stands, steps taken: sets the slopes, makes the model, and gives the cost to
    /// compare the next ones with. None: it is as low as is wanted.
    fn derive(&mut self, unknowns: &mut [Unknown]) -> Option<f64>;

    /// Sets the steps of the unknowns that are not held to the least of the damped model, the
    /// held ones keeping theirs. False: the model has no least.
    fn model(&mut self, unknowns: &mut [Unknown], damping: f64) -> bool;

    /// By how much the model without damping falls by the steps.
    fn fall(&self, unknowns: &[Unknown]) -> f64;
}

/// How a descent goes and when it is at rest.
#[derive(Clone, Copy, Debug)]
pub struct Pace {
    /// Most steps tried.
    pub tries: u32,
    /// Damping of the first.
    pub first: f64,
    /// What damping is multiplied by, and then what is added, after a step that went up. Eased
    /// to a hundredth of the latter it is none.
    pub raise: (f64, f64),
    /// What it is multiplied by after a step that won less than a quarter of what the model
    /// foretold, less than three quarters, and more.
    pub ease: [f64; 3],
    /// No unknown moves farther at once.
    pub longest: f64,
    /// A step that went up, and one that won and is a thousandth of it, is the last if none moves
    /// farther by it; below 0: not even one of nothing, for a corner that the model does not leave
    /// is left by more damping.
    pub still: f64,
    /// A step by which no larger part of the cost is won is the last.
    pub flat: f64,
}

/// Goes downhill from where the unknowns are; steps tried. They and the valley are left where the
/// cost was least.
pub fn descend(valley: &mut impl Valley, unknowns: &mut [Unknown], pace: &Pace) -> u32 {
    let mut damping = pace.first;
    let mut here = None;
    let mut used = 0;
    let mut strayed = false;
    while used < pace.tries && damping <= MOST {
        let Some(cost) = here.or_else(|| valley.derive(unknowns)) else {
            break;
        };
        here = Some(cost);
        hold(unknowns);
        if unknowns.iter().all(|unknown| unknown.held) {
            break;
        }
        used += 1;
        if step(unknowns, |unknowns| valley.model(unknowns, damping)) {
            let by = shorten(unknowns, pace.longest);
            let fall = valley.fall(unknowns);
            let won = cost - valley.cost(unknowns);
            // A cost that is no number is no gain.
            let better = won > 0.0;
            strayed = !better;
            if better {
                take(unknowns);
                here = None;
                let ratio = won / fall;
                damping *= if ratio > 0.75 {
                    pace.ease[2]
                } else if ratio < 0.25 {
                    pace.ease[0]
                } else {
                    pace.ease[1]
                };
                if damping < 0.01 * pace.raise.1 {
                    damping = 0.0;
                }
                if won <= pace.flat * cost || by <= 1e-3 * pace.still {
                    break;
                }
                continue;
            }
            if by <= pace.still {
                break;
            }
        }
        damping = pace.raise.0 * damping + pace.raise.1;
    }
    if strayed {
        unknowns.iter_mut().for_each(|unknown| unknown.step = 0.0);
        valley.cost(unknowns);
    }
    used
}

/// Clears the steps, and holds what is pushed against a bound.
pub fn hold(unknowns: &mut [Unknown]) {
    for unknown in unknowns {
        unknown.step = 0.0;
        unknown.held = unknown.is_pushed();
    }
}

/// The step to the least of a model within the bounds. `model` sets the steps of the unknowns that
/// are not held; false: it has no least, and there is no step.
pub fn step(unknowns: &mut [Unknown], mut model: impl FnMut(&mut [Unknown]) -> bool) -> bool {
    // Each round either ends or holds one unknown more.
    loop {
        if !model(unknowns) {
            return false;
        }
        let mut stopped = false;
        for unknown in unknowns.iter_mut().filter(|unknown| !unknown.held) {
            let (aim, to) = (unknown.at + unknown.step, unknown.to());
            if aim != to {
                unknown.step = to - unknown.at;
                unknown.held = true;
                stopped = true;
            }
        }
        if !stopped {
            return true;
        }
    }
}

/// Shortens all steps alike until none is longer than `longest`; the longest before.
pub fn shorten(unknowns: &mut [Unknown], longest: f64) -> f64 {
    let steps = unknowns.iter().map(|unknown| libm::fabs(unknown.step));
    let by = steps.fold(0.0, |most, step| if step > most { step } else { most });
    if by > longest {
        for unknown in unknowns {
            unknown.step *= longest / by;
        }
    }
    by
}

/// Moves the unknowns by their steps.
pub fn take(unknowns: &mut [Unknown]) {
    for unknown in unknowns {
        unknown.at = unknown.to();
        unknown.step = 0.0;
    }
}

/// [`Valley::model`] by a matrix of second derivatives.
pub fn newton<const N: usize>(
    curve: &SMatrix<f64, N, N>,
    unknowns: &mut [Unknown],
    damping: f64,
) -> bool
where
    Const<N>: DimMin<Const<N>, Output = Const<N>>,
{
    let held = |unknown: &Unknown| if unknown.held { unknown.step } else { 0.0 };
    let steps = SVector::<f64, N>::from_fn(|i, _| held(&unknowns[i]));
    let mut left = SVector::<f64, N>::from_fn(|i, _| unknowns[i].slope) + curve * steps;
    let mut reduced = *curve;
    for (i, unknown) in unknowns.iter().enumerate() {
        if unknown.held {
            reduced.fill_row(i, 0.0);
            reduced.fill_column(i, 0.0);
            reduced[(i, i)] = 1.0;
            left[i] = -unknown.step;
        } else {
            reduced[(i, i)] += damping;
        }
    }
    let Some(factors) = reduced.cholesky() else {
        return false;
    };
    factors.solve_mut(&mut left);
    for (unknown, left) in unknowns.iter_mut().zip(left.iter()) {
        if !unknown.held {
            unknown.step = -left;
        }
    }
    true
}

/// [`Valley::fall`] by a matrix of second derivatives.
pub fn foretold<const N: usize>(curve: &SMatrix<f64, N, N>, unknowns: &[Unknown]) -> f64 {
    let steps = SVector::<f64, N>::from_fn(|i, _| unknowns[i].step);
    let slope = SVector::<f64, N>::from_fn(|i, _| unknowns[i].slope);
    -(slope + curve * steps * 0.5).dot(&steps)
}
