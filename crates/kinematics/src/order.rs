//! Which channel order keeps farthest from gimbal lock over a joint's range of motion.
use crate::{Order, Vec3};
use core::f64::consts::{PI, TAU};

/// Places across each turn's range from which the search starts.
const STARTS: u32 = 5;
/// Rounds of a search that has not come to rest.
const ROUNDS: u32 = 1000;
/// A change, radians, that is none.
const STILL: f64 = 1e-10;

/// Each order's least distance to gimbal lock, as [`lock_margin`] has it. In the order of
/// [`Order::ALL`].
pub fn lock_margins(own: Order, ranges: [(f64, f64); 3]) -> [(Order, f64); 6] {
    Order::ALL.map(|order| (order, lock_margin(own, ranges, order)))
}

/// An order's least distance to gimbal lock, radians, over the rotations that turns within
/// `ranges` (by axis: x, y, z; radians) compose to in the order `own`. A range that is not finite
/// or goes past a whole turn is a whole turn.
///
/// An order with axes i, j, k is locked where the entry m_ik of the rotation's matrix is ±1, so
/// its greatest size is sought. By each turn the entry is a level and a wave, whose greatest
/// value over a range is known in closed form; turn after turn is put there until all stay,
/// from each of 125 places, which finds the greatest to 1e-6 radians of distance in every case
/// checked (reference/orders.rs).
pub fn lock_margin(own: Order, ranges: [(f64, f64); 3], order: Order) -> f64 {
    let ranges = ranges.map(|(min, max)| {
        if max - min < TAU {
            (min, max)
        } else {
            (-PI, PI)
        }
    });
    let mut least = f64::INFINITY;
    for start in 0..STARTS * STARTS * STARTS {
        let parts = [start, start / STARTS, start / (STARTS * STARTS)].map(|at| at % STARTS);
        let mut turns = [0.0; 3];
        for axis in 0..3 {
            let (min, max) = ranges[axis];
            turns[axis] = min + (max - min) * f64::from(parts[axis]) / f64::from(STARTS - 1);
        }
        for sign in [1.0, -1.0] {
            let margin = order.margin(&climb(own, order, ranges, turns, sign), own);
            if margin < least {
                least = margin;
            }
        }
    }
    least
}

impl Order {
    /// Distance to lock of the rotation that turns compose to in another order.
    fn margin(self, turns: &[f64; 3], own: Self) -> f64 {
        let m = own.compose(*turns).to_rotation_matrix();
        let [i, j, k] = self.axes();
        // By the cosine of the middle turn too, which keeps its digits beside the lock.
        libm::atan2(libm::hypot(m[(i, i)], m[(i, j)]), libm::fabs(m[(i, k)]))
    }
}

/// The turns moved, one after the other, to where the entry times `sign` is greatest.
fn climb(
    own: Order,
    order: Order,
    ranges: [(f64, f64); 3],
    mut turns: [f64; 3],
    sign: f64,
) -> [f64; 3] {
    let [row, _, column] = order.axes();
    let axes = own.axes();
    for _ in 0..ROUNDS {
        let mut moved = 0.0;
        for (place, &axis) in axes.iter().enumerate() {
            // row · (turns before) on the left of this turn, (turns after) · column on the right.
            let mut left = Vec3::ith(row, sign);
            for &outer in &axes[..place] {
                left = about(outer, -turns[outer], left);
            }
            let mut right = Vec3::ith(column, 1.0);
            for &inner in axes[place + 1..].iter().rev() {
                right = about(inner, turns[inner], right);
            }
            let level = left[axis] * right[axis];
            let cosine = left.dot(&right) - level;
            let sine = left.dot(&Vec3::ith(axis, 1.0).cross(&right));
            let best = crest(cosine, sine, ranges[axis], turns[axis]);
            moved += libm::fabs(best - turns[axis]);
            turns[axis] = best;
        }
        if moved <= STILL {
            break;
        }
    }
    turns
}

/// Where in a range the wave is greatest; `now` where that is nowhere higher.
fn crest(cosine: f64, sine: f64, (min, max): (f64, f64), now: f64) -> f64 {
    let height = |at: f64| {
        let (s, c) = libm::sincos(at);
        cosine * c + sine * s
    };
    let top = libm::atan2(sine, cosine);
    // The first top not below the range's start.
    let top = top + TAU * libm::ceil((min - top) / TAU);
    let mut best = (now, height(now) + 1e-15);
    for at in [top, min, max] {
        if at <= max && height(at) > best.1 {
            best = (at, height(at));
        }
    }
    best.0
}

/// A vector turned about a coordinate axis.
fn about(axis: usize, angle: f64, v: Vec3) -> Vec3 {
    let (s, c) = libm::sincos(angle);
    let (j, k) = ((axis + 1) % 3, (axis + 2) % 3);
    let mut turned = v;
    turned[j] = v[j] * c - v[k] * s;
    turned[k] = v[j] * s + v[k] * c;
    turned
}

#[cfg(test)]
mod tests {
    use super::*;
    use core::f64::consts::FRAC_PI_2;

    #[test]
    fn a_hinge_is_safe_in_every_order_that_does_not_have_it_in_the_middle() {
        let range = (-2.0, 2.0);
        for axis in 0..3 {
            let mut ranges = [(0.0, 0.0); 3];
            ranges[axis] = range;
            for (order, margin) in lock_margins(Order::Xyz, ranges) {
                let locked = order.axes()[1] == axis;
                let expected = if locked { 0.0 } else { FRAC_PI_2 };
                assert!(
                    libm::fabs(margin - expected) < 1e-9,
                    "{order:?} {axis} {margin}"
                );
            }
        }
    }

    #[test]
    fn its_own_order_locks_by_its_middle_turn_alone() {
        for own in Order::ALL {
            let mut ranges = [(-1.0, 0.3); 3];
            ranges[own.axes()[1]] = (-0.4, 1.1);
            let margins = lock_margins(own, ranges);
            let (_, margin) = margins[Order::ALL
                .iter()
                .position(|&order| order == own)
                .unwrap_or(0)];
            assert!(libm::fabs(margin - (FRAC_PI_2 - 1.1)) < 1e-9);
        }
    }
}
