//! Dragging: dial values that bring a node to where the pointer is.
use crate::{DialId, NodeId, Posed};
use kinematics::Vec3;
use nalgebra::{Matrix2, Vector2};

/// Longest step at once, degrees or mm.
const STEP: f64 = 10.0;
/// Half the width of a numeric derivative, degrees or mm.
const NUDGE: f64 = 1e-3;
/// A step shorter than this is the last, degrees or mm.
const SETTLED: f64 = 1e-9;
const MOST_STEPS: usize = 60;
const MOST_DAMPING: f64 = 1e9;

/// Sets the dials (one or two; more are left alone) so that `node`'s origin comes nearest to `to`
/// as seen along `sight` (a unit vector; distance is measured across it), within the dials'
/// limits, and evaluates. Returns the values. Ids must be the posed document's.
///
/// Newton's method with numeric derivatives from the present values, damped as Levenberg (1944)
/// and Marquardt (1963) do; steps are held to 10° or 10 mm. The second derivatives matter: a
/// pointer far off the node's circle leaves a miss too big for Gauss-Newton to converge on.
pub fn pull(
    posed: &mut Posed,
    node: NodeId,
    dials: &[DialId],
    to: Vec3,
    sight: Vec3,
) -> Vec<(DialId, f64)> {
    let dials = &dials[..dials.len().min(2)];
    let mut values = Vector2::zeros();
    for (value, &dial) in values.iter_mut().zip(dials) {
        *value = posed.dial(dial);
    }
    let across = |v: Vec3| v - sight * sight.dot(&v);
    let mut sheet = Sheet { posed, node, dials };
    let mut miss = across(to - sheet.point(values));
    let mut damping = 0.0;
    'steps: for _ in 0..MOST_STEPS {
        let (slope, curvature) = sheet.slope(values, &miss, across);
        loop {
            let Some(step) = sheet.step(slope, curvature, damping, values) else {
                break 'steps;
            };
            let tried = sheet.held(values + step);
            let left = across(to - sheet.point(tried));
            if left.norm_squared() < miss.norm_squared() {
                let moved = (tried - values).amax();
                (values, miss) = (tried, left);
                damping /= 10.0;
                if moved < SETTLED {
                    break 'steps;
                }
                break;
            }
            damping = if damping < 1e-4 { 1e-4 } else { damping * 10.0 };
            if damping > MOST_DAMPING {
                break 'steps;
            }
        }
    }
    sheet.point(values);
    dials.iter().copied().zip(values.iter().copied()).collect()
}

/// The node as a function of the dials' values. A dial that is not there has no effect.
struct Sheet<'a> {
    posed: &'a mut Posed,
    node: NodeId,
    dials: &'a [DialId],
}

impl Sheet<'_> {
    fn point(&mut self, values: Vector2<f64>) -> Vec3 {
        self.posed.probe(self.node, self.dials, values.as_slice())
    }

    fn held(&self, mut values: Vector2<f64>) -> Vector2<f64> {
        for (value, &dial) in values.iter_mut().zip(self.dials) {
            *value = self.posed.clamped(dial, *value);
        }
        values
    }

    /// Downhill slope and curvature of half the squared miss.
    fn slope(
        &mut self,
        values: Vector2<f64>,
        miss: &Vec3,
        across: impl Fn(Vec3) -> Vec3,
    ) -> (Vector2<f64>, Matrix2<f64>) {
        let unit = [Vector2::new(NUDGE, 0.0), Vector2::new(0.0, NUDGE)];
        let here = self.point(values);
        let ahead = unit.map(|u| self.point(values + u));
        let behind = unit.map(|u| self.point(values - u));
        let both = self.point(values + unit[0] + unit[1]);
        let first = [0, 1].map(|k| across(ahead[k] - behind[k]) / (2.0 * NUDGE));
        let second = |bend: Vec3| miss.dot(&across(bend)) / (NUDGE * NUDGE);
        let cross = first[0].dot(&first[1]) - second(both - ahead[0] - ahead[1] + here);
        let square = |k: usize| first[k].norm_squared() - second(ahead[k] - here * 2.0 + behind[k]);
        let slope = Vector2::new(first[0].dot(miss), first[1].dot(miss));
        (slope, Matrix2::new(square(0), cross, cross, square(1)))
    }

    /// The damped step over the dials that are free to take it; none when there is nowhere to go.
    fn step(
        &self,
        mut slope: Vector2<f64>,
        mut curvature: Matrix2<f64>,
        damping: f64,
        values: Vector2<f64>,
    ) -> Option<Vector2<f64>> {
        let scale = curvature.amax();
        for (k, &dial) in self.dials.iter().enumerate() {
            // At its limit and pushed against it, a dial stays; the other is solved alone.
            if slope[k] != 0.0
                && self.posed.clamped(dial, values[k] + slope[k].signum()) == values[k]
            {
                slope[k] = 0.0;
                curvature[(0, 1)] = 0.0;
                curvature[(1, 0)] = 0.0;
            }
        }
        if slope == Vector2::zeros() {
            return None;
        }
        let step = downhill(
            curvature + Matrix2::identity() * (damping * scale),
            slope,
            scale,
        );
        let longest = step.amax();
        Some(if longest > STEP {
            step * (STEP / longest)
        } else {
            step
        })
    }
}

/// The Newton step where the surface is a bowl. Elsewhere the slope in the same units, which goes
/// downhill as well: damping shortens it until it does so far enough.
fn downhill(curvature: Matrix2<f64>, slope: Vector2<f64>, scale: f64) -> Vector2<f64> {
    // A dial without effect has no curvature; it gets some, so that it stays instead of blurring.
    let floor = scale * 1e-12 + f64::MIN_POSITIVE;
    let bowl = curvature + Matrix2::identity() * floor;
    match bowl.cholesky() {
        Some(factor) => factor.solve(&slope),
        None => slope / floor.max(curvature.amax()),
    }
}
