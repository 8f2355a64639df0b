//! What is wrong with a lesson.
use rig::fault::{self, Explain};

/// What is wrong with a lesson or a figure of it, and where.
pub type Fault = rig::Fault<Kind>;

/// What can be wrong with a lesson.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Kind {
    /// Its file, or a figure of it.
    Figure(fault::Kind),
    Lesson {
        what: String,
        mend: String,
    },
}

impl Explain for Kind {
    fn explain(&self) -> (String, String) {
        match self {
            Self::Figure(kind) => kind.explain(),
            Self::Lesson { what, mend } => fault::say(what, mend),
        }
    }
}

impl From<fault::Kind> for Kind {
    fn from(kind: fault::Kind) -> Self {
        Self::Figure(kind)
    }
}
