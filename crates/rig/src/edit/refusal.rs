//! Why an edit is refused.
use crate::Fault;

/// Why an edit is refused, and the mend. Both are sentences for the screen.
#[derive(Clone, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Refusal {
    pub why: String,
    pub mend: String,
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}; {}.", self.why, self.mend)
    }
}

impl std::error::Error for Refusal {}

impl From<Fault> for Refusal {
    fn from(fault: Fault) -> Self {
        Self {
            why: fault.what,
            mend: fault.mend,
        }
    }
}

/// A refusal.
///
/// # Errors
/// Always.
pub fn refuse<T>(why: impl Into<String>, mend: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal {
        why: why.into(),
        mend: mend.into(),
    })
}
