//! Along the poses that reach to the one nearest the rest.
use super::super::link;
use super::reach::{REACHED, STILL, narrow};
use super::view::Looking;
use crate::Vec3;
use nalgebra::{Matrix3, Vector4};

/// Radians that no angle goes farther at once towards the target: what slopes tell is true near by.
const LONGEST: f64 = 0.5;

/// Along the poses that reach, to the one nearest the rest: a quadratic programme in each
/// step, whose steps are those that reach as far as slopes tell, a line.
///
/// From a start that need not reach itself; that start and what it misses by where the way leads
/// to none that does, or to none nearer the rest.
pub(super) fn slide(looking: &Looking, start: Vector4<f64>, missed: f64) -> (Vector4<f64>, f64) {
    let reach = looking.reach;
    let (mut x, mut best) = (start, (start, missed, reach.unrest(&start)));
    for _ in 0..20 {
        let view = looking.view(&x);
        let [p, q, r, s] = view.slopes;
        // What the four slopes, so weighed, cancel to.
        let along = Vector4::new(
            q.dot(&r.cross(&s)),
            -p.dot(&r.cross(&s)),
            p.dot(&q.cross(&s)),
            -p.dot(&q.cross(&r)),
        );
        let size = along.norm();
        let square: Matrix3<f64> = view.slopes.iter().map(|v| v * v.transpose()).sum();
        let Some(factors) = square.cholesky().filter(|_| size > 0.0) else {
            break;
        };
        let along = along / size;
        let pull = factors.solve(&view.error);
        let mut start = Vector4::from_fn(|i, _| -view.slopes[i].dot(&pull));
        let size = start.amax();
        if size > LONGEST {
            start *= LONGEST / size;
        }
        let off = [x[2] - reach.rest[0], x[3] - reach.rest[1]];
        let weights = factors.solve(&(view.slopes[2] * off[0] + view.slopes[3] * off[1]));
        let mut bent = Vec3::zeros();
        for (row, at) in view.bends().iter().zip(&along) {
            for (bend, by) in row.iter().zip(&along) {
                bent += bend * (at * by);
            }
        }
        let flat = along[2] * along[2] + along[3] * along[3];
        let curve = flat - weights.dot(&bent);
        let slope = along[2] * (off[0] + start[2]) + along[3] * (off[1] + start[3]);
        let (mut low, mut high) = (-0.3, 0.3);
        let mut fits = true;
        for i in 0..4 {
            let (min, max) = reach.limits[i];
            fits &= narrow(
                (min - x[i] - start[i], max - x[i] - start[i]),
                along[i],
                (&mut low, &mut high),
                |_| (),
            )
            .is_some();
        }
        let wanted = if curve > 0.1 * flat && curve > 0.0 {
            -slope / curve
        } else if slope > 0.0 {
            low
        } else {
            high
        };
        let by = if fits && low <= high {
            link::inside(wanted, low, high)
        } else {
            0.0
        };
        let step = start + along * by;
        for i in 0..4 {
            x[i] = reach.inside(i, x[i] + step[i]);
        }
        if step.amax() <= STILL {
            let (residual, unrest) = (looking.view(&x).error.norm(), reach.unrest(&x));
            if residual <= REACHED && (best.1 > REACHED || unrest < best.2) {
                best = (x, residual, unrest);
            }
            break;
        }
    }
    (best.0, best.1)
}

/// How hard the flexions are held off the rest by a pose that reaches: rad² for a mm by which it
/// were to miss. None where it could move no way at all.
///
/// The multiplier of the reach where ½ unrest is least: μ with slope·μ = −(flexion off its rest)
/// for each angle that no limit stops.
pub(super) fn strain(looking: &Looking, x: &Vector4<f64>) -> Option<f64> {
    let (reach, view) = (looking.reach, looking.view(x));
    let (mut square, mut pull) = (Matrix3::zeros(), Vec3::zeros());
    for i in 0..4 {
        let (min, max) = reach.limits[i];
        if x[i] <= min || x[i] >= max {
            continue;
        }
        square += view.slopes[i] * view.slopes[i].transpose();
        if i >= 2 {
            pull += view.slopes[i] * (x[i] - reach.rest[i - 2]);
        }
    }
    square.cholesky().map(|factors| factors.solve(&pull).norm())
}
