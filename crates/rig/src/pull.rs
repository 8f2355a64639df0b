//! Dragging: dial values that bring a node to where the pointer is.
use crate::{DialId, NodeId, Posed, reach};
use kinematics::Vec3;
use kinematics::solve::boxed::{self, Pace, Unknown, Valley};
use nalgebra::Matrix2;

/// Half the width of a numeric derivative, degrees or mm.
const NUDGE: f64 = 1e-3;
/// Dials not thought of together.
const MOST: usize = 2;
/// Steps are held to 10° or 10 mm. Damping is in parts of the curvature.
const PACE: Pace = Pace {
    tries: 200,
    first: 0.0,
    raise: (10.0, 1e-4),
    ease: [0.1; 3],
    longest: 10.0,
    still: 1e-9,
    flat: 1e-15,
};

/// Sets the dials (up to four; more are left alone) so that `node`'s origin comes nearest to `to`
/// as seen along `sight` (a unit vector; distance is measured across it), within the dials'
/// limits, and evaluates. Returns the values. Ids must be the posed document's.
///
/// Newton's method with numeric derivatives from the present values, damped and bounded as
/// [`boxed`] does. The second derivatives matter: a pointer far off the node's circle leaves a miss
/// too big for Gauss-Newton to converge on. Of more dials than a place on screen asks for, see
/// `reach.rs`.
pub fn pull(
    posed: &mut Posed,
    node: NodeId,
    dials: &[DialId],
    to: Vec3,
    sight: Vec3,
) -> Vec<(DialId, f64)> {
    if dials.len() > MOST {
        let dials = &dials[..dials.len().min(reach::MOST)];
        return reach::reach(posed, node, dials, to, sight);
    }
    // A dial that is not there stays at 0 and has no effect.
    let mut unknowns = [Unknown::default(); MOST];
    for (unknown, &dial) in unknowns.iter_mut().zip(dials) {
        *unknown = Unknown::new(posed.dial(dial), posed.limits(dial));
    }
    let mut sheet = Sheet {
        posed,
        node,
        dials,
        to,
        sight,
        here: Vec3::zeros(),
        curve: Matrix2::zeros(),
        scale: 0.0,
    };
    sheet.cost(&unknowns);
    boxed::descend(&mut sheet, &mut unknowns, &PACE);
    let values = unknowns.map(|unknown| unknown.at);
    sheet.point(values);
    dials.iter().copied().zip(values).collect()
}

/// The node as a function of the dials' values; the cost is half its squared miss.
struct Sheet<'a> {
    posed: &'a mut Posed,
    node: NodeId,
    dials: &'a [DialId],
    to: Vec3,
    sight: Vec3,
    here: Vec3,
    curve: Matrix2<f64>,
    scale: f64,
}

impl Sheet<'_> {
    fn point(&mut self, values: [f64; MOST]) -> Vec3 {
        self.posed.probe(self.node, self.dials, &values)
    }

    fn across(&self, v: Vec3) -> Vec3 {
        v - self.sight * self.sight.dot(&v)
    }

    fn miss(&self) -> Vec3 {
        self.across(self.to - self.here)
    }
}

impl Valley for Sheet<'_> {
    fn cost(&mut self, unknowns: &[Unknown]) -> f64 {
        self.here = self.point([unknowns[0].to(), unknowns[1].to()]);
        0.5 * self.miss().norm_squared()
    }

    fn derive(&mut self, unknowns: &mut [Unknown]) -> Option<f64> {
        let (miss, here) = (self.miss(), self.here);
        let [a, b] = [unknowns[0].at, unknowns[1].at];
        let ahead = [[a + NUDGE, b], [a, b + NUDGE]].map(|values| self.point(values));
        let behind = [[a - NUDGE, b], [a, b - NUDGE]].map(|values| self.point(values));
        let both = self.point([a + NUDGE, b + NUDGE]);
        let first = [0, 1].map(|k| self.across(ahead[k] - behind[k]) / (2.0 * NUDGE));
        let second = |bend: Vec3| miss.dot(&self.across(bend)) / (NUDGE * NUDGE);
        let cross = first[0].dot(&first[1]) - second(both - ahead[0] - ahead[1] + here);
        let square = |k: usize| first[k].norm_squared() - second(ahead[k] - here * 2.0 + behind[k]);
        let curve = Matrix2::new(square(0), cross, cross, square(1));
        self.scale = curve.amax();
        // A dial without effect has no curvature; it gets some, so that it stays instead of
        // blurring.
        let floor = self.scale * 1e-12 + f64::MIN_POSITIVE;
        self.curve = curve + Matrix2::identity() * floor;
        for (unknown, first) in unknowns.iter_mut().zip(first) {
            unknown.slope = -first.dot(&miss);
        }
        Some(0.5 * miss.norm_squared())
    }

    fn model(&mut self, unknowns: &mut [Unknown], damping: f64) -> bool {
        boxed::newton(&self.curve, unknowns, damping * self.scale)
    }

    fn fall(&self, unknowns: &[Unknown]) -> f64 {
        boxed::foretold(&self.curve, unknowns)
    }
}
