//! The axes a hand could press about, as the plate shows them.
use hand::Pivot;

/// An axis on the plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxisShown {
    pub kind: AxisKind,
    /// Where, against the fitted axis.
    pub pivot: Pivot,
}

/// Which axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum AxisKind {
    /// The hand presses about it.
    Pivot,
    /// Nearest to the planted knuckles.
    Fitted,
    /// Found by search.
    Greatest,
}

impl AxisKind {
    pub fn name(self) -> &'static str {
        match self {
            Self::Pivot => "pivot now",
            Self::Fitted => "fitted axis",
            Self::Greatest => "greatest safe lift",
        }
    }
}
