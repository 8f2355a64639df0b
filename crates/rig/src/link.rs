//! Links: what the dials make of one channel, passed on to others.
use crate::NodeId;
use kinematics::Channel;

/// What the dials make of one channel reaches others as well: all of it, which they follow, or
/// what of it runs over, which they take off it.
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
    /// All of it, counted from here; the channel keeps it too.
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

impl Share {
    /// What of a channel is passed on, and what of it stays.
    pub(crate) fn parted(self, whole: f64) -> (f64, f64) {
        match self {
            Self::All { from } => (whole - from, whole),
            Self::Past { from, softness } => {
                let side = if from < 0.0 { -1.0 } else { 1.0 };
                let over = side * ramp(side * (whole - from), softness);
                (over, whole - over)
            }
        }
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
    use super::Share;

    /// Both sides of 0, outside and inside the changeover: parts of a closed form, and together
    /// always the whole.
    #[test]
    fn what_runs_over_is_taken_off() {
        for side in [-1.0, 1.0] {
            let share = Share::Past {
                from: side * 55.0,
                softness: 4.0,
            };
            for (whole, over) in [
                (-90.0, 0.0),
                (54.0, 0.0),
                (57.0, 0.5),
                (59.0, 2.0),
                (75.0, 18.0),
            ] {
                let (passed, kept) = share.parted(side * whole);
                assert!((passed - side * over).abs() < 1e-12);
                assert!((passed + kept - side * whole).abs() < 1e-12);
            }
        }
        assert_eq!(Share::All { from: 2.0 }.parted(-3.0), (-5.0, -3.0));
    }
}
