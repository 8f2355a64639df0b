//! Links: what the dials make of one channel, passed on to others.
use crate::NodeId;
use kinematics::Channel;

/// What the dials make of one channel reaches others as well: what of it runs over, which they
/// take off it, or all of it, which they follow.
///
/// What a link brings is not passed on by another: channels pass on what dials make of them. So
/// no order among links is needed, and they cannot run in a circle.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// Whose channel.
    pub node: NodeId,
    /// Which.
    pub channel: Channel,
    /// How much of it.
    pub share: Share,
    /// Who gets it.
    pub to: Vec<Passed>,
}

/// How much of a channel a link passes on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Share {
    /// All that its dials make of it, counted from here, whether or not the channel keeps it.
    All {
        /// In the channel's unit.
        from: f64,
    },
    /// What is farther from 0 than `from`, on its side; the channel keeps the rest only.
    Past {
        /// In the channel's unit, not 0.
        from: f64,
        /// Width of the changeover there, in the channel's unit; 0: a kink.
        softness: f64,
    },
    /// What fades while another channel of the same node turns, as a knuckle spreads less the
    /// more it is bent: the channel keeps all at 0, and `left` of it from `until` on.
    Fading {
        /// The other channel: what its dials make of it.
        by: Channel,
        /// In its unit, not 0.
        until: f64,
        /// From 0 to 1.
        left: f64,
    },
}

/// A channel that gets gain · what is passed on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passed {
    /// Whose channel.
    pub node: NodeId,
    /// Which.
    pub channel: Channel,
    /// In its unit per unit of the link's channel.
    pub gain: f64,
}

/// What of a value is farther from 0 than a threshold, on its side.
pub(crate) fn past(value: f64, from: f64, softness: f64) -> f64 {
    let side = if from < 0.0 { -1.0 } else { 1.0 };
    side * ramp(side * (value - from), softness)
}

/// The part of a value that fading leaves, with no slope at either end: 1 − (1 − left)·t²(3 − 2t)
/// at t of the way.
pub(crate) fn faded(by: f64, until: f64, left: f64) -> f64 {
    let t = by / until;
    if t <= 0.0 {
        1.0
    } else if t < 1.0 {
        1.0 - (1.0 - left) * t * t * (3.0 - 2.0 * t)
    } else {
        left
    }
}

/// 0 up to 0, then x²/2w, then x − w/2 from w on: continuous with its first derivative.
pub(crate) fn ramp(x: f64, width: f64) -> f64 {
    if x <= 0.0 {
        0.0
    } else if x < width {
        x * x / (2.0 * width)
    } else {
        x - width / 2.0
    }
}

#[cfg(test)]
mod tests {
    use super::{faded, past};

    /// By hand: whole before the start and at it, half the loss half way, the rest from the end on,
    /// on either side of 0.
    #[test]
    fn what_fades_fades_from_0_to_its_end() {
        for side in [-1.0, 1.0] {
            for (by, part) in [
                (-30.0, 1.0),
                (0.0, 1.0),
                (45.0, 0.6),
                (90.0, 0.2),
                (120.0, 0.2),
            ] {
                assert!((faded(side * by, side * 90.0, 0.2) - part).abs() < 1e-15);
            }
        }
    }

    /// Both sides of 0, outside and inside the changeover: parts of a closed form.
    #[test]
    fn what_is_past_is_told_on_both_sides() {
        for side in [-1.0, 1.0] {
            for (whole, over) in [
                (-90.0, 0.0),
                (54.0, 0.0),
                (57.0, 0.5),
                (59.0, 2.0),
                (75.0, 18.0),
            ] {
                assert!((past(side * whole, side * 55.0, 4.0) - side * over).abs() < 1e-12);
            }
        }
    }
}
