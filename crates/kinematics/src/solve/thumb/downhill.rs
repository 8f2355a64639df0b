//! Downhill to where a thumb misses least.
use super::super::boxed::{self, Pace, Unknown, Valley};
use super::reach::{DOWNHILL, REACHED, STILL};
use super::view::{Looking, View};
use nalgebra::{Matrix4, Vector4};

/// Of poses that miss alike the one nearer the rest is taken: so many mm a squared radian are
/// alike.
pub(super) const ALIKE: f64 = 1e-7;

/// From a start to a least residual: there, and it.
pub(super) fn descend(looking: &Looking, start: Vector4<f64>) -> (Vector4<f64>, f64) {
    let (mut unknowns, miss) = down(looking, start, None);
    let mut residual = miss.view.error.norm();
    if residual > REACHED {
        (unknowns, residual) = settle(miss, unknowns, residual);
    }
    (place(&unknowns), residual)
}

/// From a start to the least of ½ residual² + ½ weight·unrest: there, and its residual.
pub(super) fn give(looking: &Looking, start: Vector4<f64>, weight: f64) -> (Vector4<f64>, f64) {
    let (unknowns, miss) = down(looking, start, Some(weight));
    (place(&unknowns), miss.view.error.norm())
}

fn down<'a>(
    looking: &'a Looking,
    start: Vector4<f64>,
    weight: Option<f64>,
) -> ([Unknown; 4], Miss<'a>) {
    let limits = &looking.reach.limits;
    let mut unknowns = core::array::from_fn(|i| Unknown::new(start[i], limits[i]));
    let mut miss = Miss {
        view: looking.view(&place(&unknowns)),
        looking,
        weight,
        epsilon: 0.0,
        curve: Matrix4::zeros(),
    };
    let pace = Pace {
        raise: (10.0, 1e-4 * looking.pad.bend()),
        ..DOWNHILL
    };
    boxed::descend(&mut miss, &mut unknowns, &pace);
    (unknowns, miss)
}

/// Where four angles lead.
fn place(unknowns: &[Unknown]) -> Vector4<f64> {
    Vector4::from_fn(|i, _| unknowns[i].to())
}

/// ½ residual² + ½·ε·unrest. ε is the weight given, or such that near its end it weighs the residual
/// against [`ALIKE`].
struct Miss<'a> {
    looking: &'a Looking<'a>,
    view: View,
    weight: Option<f64>,
    epsilon: f64,
    curve: Matrix4<f64>,
}

impl Miss<'_> {
    fn here(&self, at: &Vector4<f64>) -> f64 {
        0.5 * (self.view.error.norm_squared() + self.epsilon * self.looking.reach.unrest(at))
    }
}

impl Valley for Miss<'_> {
    fn cost(&mut self, unknowns: &[Unknown]) -> f64 {
        let at = place(unknowns);
        self.view = self.looking.view(&at);
        self.here(&at)
    }

    fn derive(&mut self, unknowns: &mut [Unknown]) -> Option<f64> {
        let (view, rest) = (&self.view, self.looking.reach.rest);
        let residual = view.error.norm();
        if residual <= 1e-3 * REACHED && self.weight.is_none() {
            return None;
        }
        self.epsilon = self.weight.unwrap_or(2.0 * ALIKE * residual);
        let bends = view.bends();
        let mut curve = Matrix4::from_fn(|i, j| {
            view.slopes[i].dot(&view.slopes[j]) + view.error.dot(&bends[i][j])
        });
        for (i, unknown) in unknowns.iter_mut().enumerate() {
            unknown.slope = view.slopes[i].dot(&view.error);
            if i >= 2 {
                unknown.slope += self.epsilon * (unknown.at - rest[i - 2]);
                curve[(i, i)] += self.epsilon;
            }
        }
        self.curve = curve;
        Some(self.here(&Vector4::from_fn(|i, _| unknowns[i].at)))
    }

    fn model(&mut self, unknowns: &mut [Unknown], damping: f64) -> bool {
        boxed::newton(&self.curve, unknowns, damping)
    }

    fn fall(&self, unknowns: &[Unknown]) -> f64 {
        boxed::foretold(&self.curve, unknowns)
    }
}

/// Along a valley of poses that miss alike to the one nearest the rest: Newton's steps in
/// full, which may first climb its bent sides. The start where that leads nowhere better.
fn settle(mut miss: Miss, start: [Unknown; 4], residual: f64) -> ([Unknown; 4], f64) {
    let mut unknowns = start;
    for _ in 0..30 {
        if miss.derive(&mut unknowns).is_none() {
            break;
        }
        boxed::hold(&mut unknowns);
        if !boxed::step(&mut unknowns, |unknowns| miss.model(unknowns, 0.0)) {
            break;
        }
        let by = boxed::shorten(&mut unknowns, 0.3);
        miss.cost(&unknowns);
        boxed::take(&mut unknowns);
        if by <= STILL {
            let left = miss.view.error.norm();
            let score = |unknowns, left| left + ALIKE * miss.looking.reach.unrest(&place(unknowns));
            if score(&unknowns, left) < score(&start, residual) {
                return (unknowns, left);
            }
            break;
        }
    }
    (start, residual)
}
