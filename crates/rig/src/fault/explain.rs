//! From data to the two clauses that a screen shows.

/// What went wrong, as data that can be told.
pub trait Explain {
    /// What is wrong, and what mends it: two clauses without a full stop.
    fn explain(&self) -> (String, String);

    /// What is wrong.
    fn why(&self) -> String {
        self.explain().0
    }

    /// What mends it.
    fn mend(&self) -> String {
        self.explain().1
    }
}

impl Explain for recipe::Impossible {
    fn explain(&self) -> (String, String) {
        self.explain()
    }
}

/// Both clauses.
pub fn say(what: impl Into<String>, mend: impl Into<String>) -> (String, String) {
    (what.into(), mend.into())
}
