//! Why there is nothing to mark or to compare, as data. Its sentence, for the reader of the
//! lesson, is its `Display`.
use crate::words::capital;
use hand::Gauge;
use std::fmt::{self, Display, Formatter};

/// What stands in the way of marking an exercise or comparing a prediction.
#[derive(Clone, Debug, PartialEq)]
pub enum Obstacle {
    /// One of the two poses is not kept yet.
    NoPoses,
    /// The node was not dragged yet.
    NoDrag(String),
    /// No line was drawn, or one that points nowhere.
    NoLine,
    /// Nothing was painted.
    NoPaint,
    /// The drawing is of another kind than the step asks for.
    OtherDrawing,
    /// The step is a prediction, which is not marked.
    Prediction,
    /// The step is an exercise, which is not predicted.
    Exercise,
    /// A dial that the step needs is gone from the figure.
    DialGone(String),
    /// A node that the step needs is gone from the figure.
    NodeGone(String),
    /// A gauge cannot be read on the figure as it stands.
    Unread {
        /// Which.
        gauge: Gauge,
        /// What the gauge says.
        why: String,
    },
    /// The knuckles lie in no row.
    NoAxis(hand::Impossible),
}

impl Display for Obstacle {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoPoses => f.write_str("Keep both poses first."),
            Self::NoDrag(node) => write!(f, "Drag the {node} first."),
            Self::NoLine => f.write_str("Draw a line first."),
            Self::NoPaint => f.write_str("Paint somewhere first."),
            Self::OtherDrawing => f.write_str("That drawing is for another step: draw again."),
            Self::Prediction => f.write_str("A prediction is compared, not marked."),
            Self::Exercise => f.write_str("This step is an exercise: there is nothing to predict."),
            Self::DialGone(name) => write!(f, "The dial '{name}' is gone: undo its removal."),
            Self::NodeGone(name) => write!(f, "The node '{name}' is gone: undo its removal."),
            Self::Unread { why, .. } => {
                let why = capital(why.trim_end_matches('.'));
                write!(f, "{why}: undo until it is back.")
            }
            Self::NoAxis(why) => rig::Fault::<rig::fault::Kind>::from(why.clone()).fmt(f),
        }
    }
}

impl std::error::Error for Obstacle {}
