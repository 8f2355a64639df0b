//! Who is down.
use rig::{AnchorId, Posed};
use std::fmt::{self, Display, Formatter};

/// The part of a hold from which on a digit counts as fully down: what is left to go moves its
/// flesh by about 0.1 mm, and shows as 99 %. Chosen here.
const DOWN: f64 = 0.99;

/// How a digit is held by its contact.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hold {
    /// Fully.
    Down,
    /// It lets go, or is let go of: this part is left, between 0 and 1.
    LettingGo(f64),
    /// Not at all.
    Up,
}

impl Hold {
    /// Of a chain, by its anchor, in an evaluated pose. Panics on an anchor that the pose does not
    /// have.
    pub fn of(posed: &Posed, anchor: AnchorId) -> Self {
        match posed.hold(anchor) {
            hold if hold >= DOWN => Self::Down,
            hold if hold > 1.0 - DOWN => Self::LettingGo(hold),
            _ => Self::Up,
        }
    }
}

impl Display for Hold {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Down => f.write_str("down"),
            Self::LettingGo(left) => write!(f, "letting go, {:.0} % down", 100.0 * left),
            Self::Up => f.write_str("up"),
        }
    }
}
