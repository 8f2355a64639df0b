//! What has a name or is counted.
use std::fmt;

/// What a fault or a refusal is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Item {
    Document,
    Node,
    Anchor,
    Dial,
    Drive,
    Link,
    Plant,
    Digit,
}

impl fmt::Display for Item {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Document => "document",
            Self::Node => "node",
            Self::Anchor => "anchor",
            Self::Dial => "dial",
            Self::Drive => "drive",
            Self::Link => "link",
            Self::Plant => "plant",
            Self::Digit => "digit",
        })
    }
}
