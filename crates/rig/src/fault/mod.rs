//! What is wrong with a file, a document or a wish: where, and which of the kinds there are, with
//! its data. Sentences are made of it only to be shown.
use crate::text::line;
use recipe::Impossible;
use std::fmt;

mod explain;
mod file;
mod item;
mod structure;
mod value;

pub use explain::{Explain, say};
pub use file::{Content, Excess, Found, Mismatch, Text, Version};
pub use item::Item;
pub use structure::{Structure, Turned};
pub use value::Value;

/// What is wrong, and where. Through `Display` one sentence of one line on screen, whatever the
/// names in it hold.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault<K = Kind> {
    /// Where in the file or document.
    pub place: String,
    /// What it is.
    pub kind: K,
}

impl<K> Fault<K> {
    /// A fault of this kind there.
    pub fn new(place: impl Into<String>, kind: impl Into<K>) -> Self {
        Self {
            place: place.into(),
            kind: kind.into(),
        }
    }
}

impl<K: Explain> Fault<K> {
    /// What is wrong, for the screen: a clause without a full stop.
    pub fn what(&self) -> String {
        self.kind.why()
    }

    /// What mends it, likewise.
    pub fn mend(&self) -> String {
        self.kind.mend()
    }
}

impl<K: Explain> fmt::Display for Fault<K> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (what, mend) = self.kind.explain();
        let [place, what, mend] =
            [(&self.place, 120), (&what, 255), (&mend, 220)].map(|(part, most)| line(part, most));
        write!(f, "{place}: {what}; {mend}.")
    }
}

impl<K: Explain + fmt::Debug> std::error::Error for Fault<K> {}

/// A hand that cannot be is wrong as a whole.
impl<K: From<Impossible>> From<Impossible> for Fault<K> {
    fn from(why: Impossible) -> Self {
        Self::new("hand", why)
    }
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $kind:ident,)*) => {
        /// What can be wrong with a document or its file.
        #[derive(Clone, Debug, PartialEq)]
        pub enum Kind {
            $($(#[$doc])* $kind($kind),)*
        }

        impl Explain for Kind {
            fn explain(&self) -> (String, String) {
                match self {
                    $(Self::$kind(kind) => kind.explain(),)*
                }
            }
        }

        $(impl From<$kind> for Kind {
            fn from(kind: $kind) -> Self {
                Self::$kind(kind)
            }
        })*
    };
}

kinds! {
    /// The file is no JSON.
    Text,
    /// Its format is not known.
    Version,
    /// There is too much of something.
    Excess,
    /// Its JSON is not of the format's form.
    Mismatch,
    /// What it says does not make a document.
    Content,
    /// A name or a number that nothing can have.
    Value,
    /// The whole cannot be evaluated.
    Structure,
    /// No hand can be so.
    Impossible,
}
