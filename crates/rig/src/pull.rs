//! Dragging: dial values that bring a node to where the pointer is.
use crate::{DialId, NodeId, Posed};
use kinematics::Vec3;
use nalgebra::{Matrix2, Matrix3x2, Vector2};

/// Longest step at once, degrees or mm.
const STEP: f64 = 10.0;
/// Half the width of a numeric derivative, degrees or mm.
const NUDGE: f64 = 1e-4;
const MOST_STEPS: usize = 40;

/// Sets the dials (one or two; more are left alone) so that `node`'s origin comes nearest to `to`
/// as seen along `sight` (a unit vector; distance is measured across it), within the dials'
/// limits, and evaluates. Damped Gauss-Newton (Levenberg 1944, Marquardt 1963) with numeric
/// derivatives from the present values; steps are held to 10° or 10 mm.
/// Returns the values. Ids must be the posed document's.
pub fn pull(
    posed: &mut Posed,
    node: NodeId,
    dials: &[DialId],
    to: Vec3,
    sight: Vec3,
) -> Vec<(DialId, f64)> {
    let dials = &dials[..dials.len().min(2)];
    let across = |v: Vec3| v - sight * sight.dot(&v);
    let mut values = Vector2::zeros();
    for (value, &dial) in values.iter_mut().zip(dials) {
        *value = posed.dial(dial);
    }
    let mut miss = across(to - posed.point(node));
    let mut damping = 1e-6;
    for _ in 0..MOST_STEPS {
        let jacobian = derivatives(posed, node, dials, &values).map_columns(across);
        let Some(step) = step(&jacobian, &miss, damping, posed, dials, &values) else {
            break;
        };
        let longest = step.amax();
        let step = if longest > STEP {
            step * (STEP / longest)
        } else {
            step
        };
        let tried = set(posed, dials, values + step);
        let left = across(to - posed.point(node));
        if left.norm_squared() < miss.norm_squared() {
            let settled = (tried - values).amax() < 1e-10;
            (values, miss) = (tried, left);
            damping /= 10.0;
            if settled {
                break;
            }
        } else {
            damping *= 10.0;
            if damping > 1e6 {
                break;
            }
        }
    }
    set(posed, dials, values);
    dials.iter().copied().zip(values.iter().copied()).collect()
}

trait MapColumns {
    fn map_columns(self, f: impl Fn(Vec3) -> Vec3) -> Self;
}

impl MapColumns for Matrix3x2<f64> {
    fn map_columns(mut self, f: impl Fn(Vec3) -> Vec3) -> Self {
        for mut column in self.column_iter_mut() {
            column.copy_from(&f(column.clone_owned()));
        }
        self
    }
}

/// Sets and evaluates; the values as the dials' limits left them.
fn set(posed: &mut Posed, dials: &[DialId], values: Vector2<f64>) -> Vector2<f64> {
    for (&dial, &value) in dials.iter().zip(&values) {
        posed.set_dial(dial, value);
    }
    posed.evaluate();
    let mut held = Vector2::zeros();
    for (held, &dial) in held.iter_mut().zip(dials) {
        *held = posed.dial(dial);
    }
    held
}

/// Motion of the node per unit of each dial; zero for a dial that is not there.
fn derivatives(
    posed: &mut Posed,
    node: NodeId,
    dials: &[DialId],
    values: &Vector2<f64>,
) -> Matrix3x2<f64> {
    let mut jacobian = Matrix3x2::zeros();
    for at in 0..dials.len() {
        let mut nudge = Vector2::zeros();
        nudge[at] = NUDGE;
        let high = set(posed, dials, values + nudge)[at];
        let upper = posed.point(node);
        let low = set(posed, dials, values - nudge)[at];
        if high > low {
            jacobian.set_column(at, &((upper - posed.point(node)) / (high - low)));
        }
    }
    set(posed, dials, *values);
    jacobian
}

/// The damped step over the dials that are free to take it; none when none is.
fn step(
    jacobian: &Matrix3x2<f64>,
    miss: &Vec3,
    damping: f64,
    posed: &Posed,
    dials: &[DialId],
    values: &Vector2<f64>,
) -> Option<Vector2<f64>> {
    let mut jacobian = *jacobian;
    let scale = jacobian.norm_squared();
    if scale == 0.0 {
        return None;
    }
    // A dial at its limit that would be pushed past it is taken out, and the rest solved again.
    for _ in 0..=dials.len() {
        let normal = jacobian.transpose() * jacobian + Matrix2::identity() * (damping * scale);
        let step = normal.try_inverse()? * (jacobian.transpose() * miss);
        let blocked = (0..dials.len())
            .find(|&at| step[at] != 0.0 && posed.held_at(dials[at], values[at], step[at]));
        match blocked {
            None => return (step != Vector2::zeros()).then_some(step),
            Some(at) => jacobian.set_column(at, &Vec3::zeros()),
        }
    }
    None
}
