//! One joint turned into a direction: the target's rotation, or a share of its turn about y.
use super::link::Link;
use crate::{Rotation, Solver};
use core::f64::consts::PI;

/// By how much, radians, an angle may be past its limit before that is told: decomposing a
/// rotation leaves this much many times over.
const ROUNDING: f64 = 1e-9;

/// Turns the link as its anchor's solver says, towards the target's world rotation.
pub(super) fn solve(link: &mut Link, solver: Solver, target: &Rotation) {
    // Normalised: an inverse taken by conjugation doubles the frame's error in length.
    let turn = Rotation::new_normalize((link.frame.rotation.inverse() * target).into_inner());
    if let Solver::Twist { share } = solver {
        let mut angles = link.angles;
        angles[1] = share * twist(&turn);
        link.set_angles(angles);
    } else {
        link.set_turn(turn);
    }
}

/// Whether the link's turns, decomposed in its order, are outside its limits.
pub(super) fn is_past(link: &mut Link) -> bool {
    link.excess() > ROUNDING * ROUNDING
}

/// The turn about y in the swing–twist split of a rotation, within (−π, π]; 0 where half a turn
/// square to y leaves it open.
fn twist(turn: &Rotation) -> f64 {
    if turn.j == 0.0 {
        return 0.0;
    }
    // The half angle from the half with w ≥ 0, so that the whole is not past half a turn.
    let (y, w) = if turn.w < 0.0 {
        (-turn.j, -turn.w)
    } else {
        (turn.j, turn.w)
    };
    let angle = 2.0 * libm::atan2(y, w);
    if angle <= -PI { PI } else { angle }
}
