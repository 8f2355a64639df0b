//! Why there is no survey.
use rig::fault::{Explain, say};

/// Why a grid of poses is not measured. Values are in the dial's unit.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum NoSurvey {
    /// More poses than may be; `plants` where it is so many that make them too many.
    TooFine {
        counts: Vec<usize>,
        plants: Option<usize>,
        most: usize,
    },
    NoDial,
    NotARange {
        from: f64,
        to: f64,
        min: f64,
        max: f64,
    },
    TooNarrow {
        from: f64,
        to: f64,
    },
    TooFewValues(usize),
    /// Both sweeps are of one dial.
    OneDial,
    NothingHeld,
}

impl Explain for NoSurvey {
    fn explain(&self) -> (String, String) {
        match self {
            Self::TooFine {
                counts,
                plants,
                most,
            } => {
                let counts: Vec<_> = counts.iter().map(usize::to_string).collect();
                let grid = counts.join(" by ");
                let of = plants.map_or(String::new(), |plants| format!(" for {plants} plants"));
                say(
                    format!("a grid of {grid} is too fine{of}"),
                    format!("give no more than {most} poses in all"),
                )
            }
            Self::NoDial => say(
                "it sweeps a dial that is not in the document",
                "name one that is",
            ),
            Self::NotARange { from, to, min, max } => say(
                format!("{from} to {to} is not a range of this dial"),
                format!("go from a smaller to a greater value, within {min} and {max}"),
            ),
            Self::TooNarrow { from, to } => say(
                format!("{from} to {to} is too narrow a range"),
                "take in more of the dial",
            ),
            Self::TooFewValues(count) => {
                say(format!("{count} values make no sweep"), "give at least 2")
            }
            Self::OneDial => say(
                "both sweeps turn the same dial",
                "choose another for one of them",
            ),
            Self::NothingHeld => say(
                "nothing is planted and held, so nothing can slip",
                "plant a digit, or take its release back",
            ),
        }
    }
}
