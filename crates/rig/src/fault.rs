//! What is wrong with a file or a document.
use crate::text::line;

/// What is wrong with a file or document: where, and the mend. Through `Display` one sentence of
/// one line on screen, whatever the names in it hold.
#[derive(Clone, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct Fault {
    pub place: String,
    pub what: String,
    pub mend: String,
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let [place, what, mend] = [(&self.place, 120), (&self.what, 255), (&self.mend, 220)]
            .map(|(part, most)| line(part, most));
        write!(f, "{place}: {what}; {mend}.")
    }
}

impl std::error::Error for Fault {}
