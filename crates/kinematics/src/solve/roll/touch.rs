//! A digit that is let go rests on the surface: how far its base must open for its flesh to lie
//! on it and not in it.
//!
//! A ball of flesh at a distance d from the base, seen along the base's axis of flexion, is over
//! the surface where the sine of its pitch is at most s, its room over d. Its pitch is therefore
//! brought down to asin s; the soft greatest of what the balls ask for is what is asked.
use core::f64::consts::{FRAC_PI_2, PI, TAU};

/// The pitch from which on asin goes on by its tangent, for it stands upright at a quarter turn:
/// of a digit let go, and of one held (chosen here: a held one must be where the contact is).
pub(crate) const STEEP: (f64, f64) = (60.0 / 180.0 * PI, 89.0 / 180.0 * PI);
/// How fast, radians, what is asked for ceases over a room greater than the distance, where a
/// ball can be turned anywhere: this times the square of the part above (chosen here: a curled
/// finger is not opened by a surface that it cannot meet).
const FREE: f64 = 8.0;
/// Width, radians, over which one ball takes over from another (chosen here: a quarter of it is
/// the most that a finger stands off where two ask for the same).
const SOFT: f64 = 8.0 / 180.0 * PI;
/// A base that is flexed backwards so far that the palm looks up: up to the first pitch the digit
/// rests in full, from the second not at all, for it would have to be opened through its back
/// (chosen here).
const TURNED: (f64, f64) = (120.0 / 180.0 * PI, 160.0 / 180.0 * PI);

/// A ball of flesh in the plane of flexion: its pitch, and the sine of the pitch it may have.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ball {
    pub(crate) pitch: f64,
    pub(crate) room: f64,
}

impl Ball {
    /// By how much, radians, it must be turned up; below 0: may be turned down. `held` is how
    /// fully the digit is.
    pub(crate) fn excess(&self, held: f64) -> f64 {
        self.wrapped() - steep(self.room, held).0
    }

    /// Its pitch, from straight up and back to that.
    pub(crate) fn wrapped(&self) -> f64 {
        libm::remainder(self.pitch - FRAC_PI_2, TAU) + FRAC_PI_2
    }
}

/// The pitch that a digit held so fully may have for its sine, and its slope: asin, as far as is
/// steep; then its tangent, and more where there is no such pitch.
pub(crate) fn steep(sine: f64, held: f64) -> (f64, f64) {
    let steep = STEEP.0 + held * (STEEP.1 - STEEP.0);
    let (top, slope) = libm::sincos(steep);
    let over = sine - 1.0;
    let over = if over > 0.0 { over } else { 0.0 };
    if sine > top {
        let free = FREE * over * over;
        (
            steep + (sine - top) / slope + free,
            1.0 / slope + 2.0 * FREE * over,
        )
    } else if sine < -top {
        (-steep + (sine + top) / slope, 1.0 / slope)
    } else {
        (libm::asin(sine), 1.0 / libm::sqrt(1.0 - sine * sine))
    }
}

/// How much of resting is left when the base, not flexed, has this pitch.
pub(crate) fn faced(level: f64) -> f64 {
    let over = (libm::fabs(level) - TURNED.0) / (TURNED.1 - TURNED.0);
    1.0 - super::hold::step(over)
}

/// By how much to open for all of these and for none: a soft greatest, exact when held fully.
pub(crate) fn opened(excesses: impl Iterator<Item = f64>, held: f64) -> f64 {
    softly(excesses, SOFT * (1.0 - held))
}

/// The greatest of these and none, one taking over from another within a width.
pub(crate) fn softly(excesses: impl Iterator<Item = f64>, soft: f64) -> f64 {
    excesses.fold(0.0, |most, excess| {
        let apart = libm::fabs(most - excess);
        let greater = if excess > most { excess } else { most };
        if apart < soft {
            let by = soft - apart;
            greater + by * by / (4.0 * soft)
        } else {
            greater
        }
    })
}
