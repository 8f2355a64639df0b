//! How fully a contact holds: a function of where the hand is, never of how it came there.
use super::super::link::inside;
use core::f64::consts::PI;

/// The margin, as a part of the tip's radius, at which nothing is held any more: 10.5 mm out of
/// reach for a tip of 7.2 mm (chosen here: a joint turns by at most 12° for one degree of a dial,
/// wherever the others stand, short of a knuckle at its limit; with −6.5 and 8 mm by 17°).
pub(crate) const LET_GO: f64 = -10.5 / 7.2;
/// The window above it over which hold comes: 12 mm for a tip of 7.2 mm. Under 4 mm the letting go
/// is rough.
pub(crate) const WINDOW: f64 = 12.0 / 7.2;
/// Half the knee about a margin of 0, 1.5 mm for a tip of 7.2 mm: without it the middle joint
/// meets the straight pose with a kink. Its upper end is where the window's is, so that what is
/// held fully is where it should be.
pub(crate) const KNEE: f64 = 1.5 / 7.2;
/// The pitch at which the tip's round end is used up (chosen here: the nail meets the surface).
pub(crate) const TIP_ENDS: f64 = 110.0 / 180.0 * PI;
/// The part before it over which hold goes.
pub(crate) const TIP_WINDOW: f64 = 15.0 / 180.0 * PI;

/// The reach forward of the knuckle, as a part of the straight finger's length, under which nothing
/// is held: what stands below its own knuckle has no direction to turn its knuckle in, and jumps
/// from one to another (chosen here).
pub(crate) const UNDER: f64 = 0.12;
/// The part above it over which hold comes: over 0.3 a joint turns by 13° for a degree, of a hand
/// that is over its tips and on its heel at once.
pub(crate) const UNDER_WINDOW: f64 = 0.36;

/// From 0 to 1 with no slope and no curvature at either end: t³(10 − 15t + 6t²).
pub(crate) fn step(t: f64) -> f64 {
    let t = inside(t, 0.0, 1.0);
    t * t * t * (10.0 - t * (15.0 - 6.0 * t))
}

/// The part of a hold that is left at a reach forward, as a part of the finger's length.
pub(crate) fn ahead(part: f64) -> f64 {
    step((part - UNDER) / UNDER_WINDOW)
}

/// The part of a hold that is left at a margin, mm, and a pitch, for a tip's radius.
pub(crate) fn left(margin: f64, pitch: f64, radius: f64) -> f64 {
    step((margin - LET_GO * radius) / (WINDOW * radius)) * step((TIP_ENDS - pitch) / TIP_WINDOW)
}

/// The margin to aim at: itself, 0 when it is less, and a parabola between.
pub(crate) fn kneed(margin: f64, radius: f64) -> f64 {
    let knee = KNEE * radius;
    if margin >= knee {
        margin
    } else if margin <= -knee {
        0.0
    } else {
        (margin + knee) * (margin + knee) / (4.0 * knee)
    }
}
