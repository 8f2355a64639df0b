//! Why the browser keeps nothing, and how that is told.

/// Why nothing is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// The browser allows nothing, or loses what it is given.
    Denied,
    Full,
    /// A newer build has been here.
    Newer,
    /// The browser does not answer.
    Slow,
}

impl Why {
    /// What has happened, and what can be done about it.
    pub fn told(self) -> (&'static str, &'static str) {
        match self {
            Self::Denied => (
                "This browser window does not keep anything, so nothing will be left when it closes.",
                "Everything else works. Save a file to keep your work, or open a normal window.",
            ),
            Self::Full => (
                "The browser's storage is full, so new work is not kept.",
                "Free some space or save a file; what was kept before is untouched.",
            ),
            Self::Newer => (
                "A newer Handstand has kept work in this browser, so this one keeps nothing.",
                "Reload the page to get the newer one, or save a file.",
            ),
            Self::Slow => (
                "The browser's storage does not answer, so new work is not kept yet.",
                "It is tried again. Closing other tabs of this page may help; saving a file is safe.",
            ),
        }
    }
}
