//! Who is down.
use rig::{AnchorId, DOWN, Posed};
use std::fmt::{self, Display, Formatter};

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
            // Rounded as its gauge is; but neither end is said of what is between.
            Self::LettingGo(left) => {
                let percent = libm::round(100.0 * left).clamp(1.0, 99.0);
                write!(f, "letting go, {percent:.0} % down")
            }
            Self::Up => f.write_str("up"),
        }
    }
}
