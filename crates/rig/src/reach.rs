//! Pulling the end of a chain: the values of more dials than the place asks for.
use crate::{DialId, NodeId, Posed};
use kinematics::Vec3;
use kinematics::solve::boxed::{self, Pace, Unknown, Valley};
use nalgebra::SMatrix;

/// Half the width of a numeric derivative, degrees or mm.
const NUDGE: f64 = 1e-3;
/// Dials turned at once.
pub(crate) const MOST: usize = 4;
/// What it costs a dial to move, mm² for its unit squared: enough to choose among all the ways to
/// the same place the one that turns least, and to move the place by under 0.1 mm.
const STAYS: f64 = 1e-3;
/// As a drag's, in fewer steps: what is not reached in them is by the next frame's.
const PACE: Pace = Pace {
    tries: 40,
    first: 0.0,
    raise: (10.0, 1e-4),
    ease: [0.1; 3],
    longest: 10.0,
    still: 1e-9,
    flat: 1e-12,
};

/// As [`pull`](crate::pull::pull), for up to four dials: among the ways that bring the node nearest,
/// the one that moves the dials least from where they stand.
///
/// Gauss and Newton's method with numeric derivatives, damped and bounded as [`boxed`] does; with
/// its pull towards where the dials stand it is damped least squares (Buss 2004).
pub(crate) fn reach(
    posed: &mut Posed,
    node: NodeId,
    dials: &[DialId],
    to: Vec3,
    sight: Vec3,
) -> Vec<(DialId, f64)> {
    let mut unknowns = [Unknown::default(); MOST];
    for (unknown, &dial) in unknowns.iter_mut().zip(dials) {
        *unknown = Unknown::new(posed.dial(dial), posed.limits(dial));
    }
    let stood = unknowns.map(|unknown| unknown.at);
    let mut chain = Chain {
        posed,
        node,
        dials,
        to,
        sight,
        stood,
        here: Vec3::zeros(),
        curve: SMatrix::identity(),
    };
    chain.cost(&unknowns);
    boxed::descend(&mut chain, &mut unknowns, &PACE);
    let values = unknowns.map(|unknown| unknown.at);
    chain.point(values);
    dials.iter().copied().zip(values).collect()
}

struct Chain<'a> {
    posed: &'a mut Posed,
    node: NodeId,
    dials: &'a [DialId],
    to: Vec3,
    sight: Vec3,
    stood: [f64; MOST],
    here: Vec3,
    curve: SMatrix<f64, MOST, MOST>,
}

impl Chain<'_> {
    fn point(&mut self, values: [f64; MOST]) -> Vec3 {
        self.posed.probe(self.node, self.dials, &values)
    }

    fn across(&self, v: Vec3) -> Vec3 {
        v - self.sight * self.sight.dot(&v)
    }

    fn cost_at(&self, values: [f64; MOST]) -> f64 {
        let miss = self.across(self.to - self.here).norm_squared();
        let moved = values.iter().zip(&self.stood).map(|(at, stood)| at - stood);
        let moved: f64 = moved.map(|by| by * by).sum();
        0.5 * (miss + STAYS * moved)
    }
}

impl Valley for Chain<'_> {
    fn cost(&mut self, unknowns: &[Unknown]) -> f64 {
        let values = std::array::from_fn(|k| unknowns[k].to());
        self.here = self.point(values);
        self.cost_at(values)
    }

    fn derive(&mut self, unknowns: &mut [Unknown]) -> Option<f64> {
        let at: [f64; MOST] = std::array::from_fn(|k| unknowns[k].at);
        let rates: [Vec3; MOST] = std::array::from_fn(|k| {
            if k >= self.dials.len() {
                return Vec3::zeros();
            }
            let beside = |by| {
                let mut values = at;
                values[k] += by;
                values
            };
            let ahead = self.point(beside(NUDGE));
            let behind = self.point(beside(0.0 - NUDGE));
            self.across(ahead - behind) / (2.0 * NUDGE)
        });
        let miss = self.across(self.to - self.here);
        self.curve = SMatrix::from_fn(|row, column| {
            rates[row].dot(&rates[column]) + if row == column { STAYS } else { 0.0 }
        });
        for (k, unknown) in unknowns.iter_mut().enumerate() {
            unknown.slope = STAYS * (at[k] - self.stood[k]) - rates[k].dot(&miss);
        }
        Some(self.cost_at(at))
    }

    fn model(&mut self, unknowns: &mut [Unknown], damping: f64) -> bool {
        boxed::newton(&self.curve, unknowns, damping)
    }

    fn fall(&self, unknowns: &[Unknown]) -> f64 {
        boxed::foretold(&self.curve, unknowns)
    }
}
