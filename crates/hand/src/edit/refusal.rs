//! Why an edit of a hand is refused.
use rig::Fault;
use rig::fault::{Explain, Item, say};
use std::fmt;

/// Why an edit of a hand is refused. All by name.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Refusal {
    /// As an edit of any rig.
    Rig(rig::Refusal),
    NotPlanted {
        node: String,
    },
    /// Nothing that is planted is moved by a dial.
    NothingToReplant,
    /// Another anchor holds to the target of this one.
    TargetShared {
        anchor: String,
    },
    NotAHand,
    /// The new hand needs a name that the user has given.
    NameTaken(Item, String),
    /// The new hand lacks what something of the user's needs.
    Lacks {
        name: String,
        needed: Need,
    },
}

/// What of the user's needs a part of the hand, by name.
#[derive(Clone, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Need {
    Node(String),
    Anchor(String),
    Dial(String),
    Link,
    Plant,
}

impl Explain for Refusal {
    fn explain(&self) -> (String, String) {
        match self {
            Self::Rig(refusal) => refusal.explain(),
            Self::NotPlanted { node } => {
                say(format!("'{node}' is not planted"), "choose a part that is")
            }
            Self::NothingToReplant => say(
                "nothing is planted, or no dial moves what is",
                "plant something first",
            ),
            Self::TargetShared { anchor } => say(
                format!("the target of '{anchor}' holds another anchor too"),
                "give each anchor a target of its own",
            ),
            Self::NotAHand => say(
                "this document was not built as a hand",
                "make a hand, or change this figure by its own edits",
            ),
            Self::NameTaken(item, name) => say(
                format!("the new hand has a {item} '{name}', and so has this document"),
                "rename yours first",
            ),
            Self::Lacks { name, needed } => {
                let needs = match needed {
                    Need::Node(own) => format!("'{own}' hangs from"),
                    Need::Anchor(own) => format!("the anchor '{own}' needs"),
                    Need::Dial(own) => format!("the dial '{own}' moves"),
                    Need::Link => "a channel passes on to".to_owned(),
                    Need::Plant => "something is planted by".to_owned(),
                };
                say(
                    format!("{needs} '{name}', which the new hand does not have"),
                    "delete that first, or keep the digit",
                )
            }
        }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (why, mend) = self.explain();
        write!(f, "{why}; {mend}.")
    }
}

impl std::error::Error for Refusal {}

impl From<rig::Refusal> for Refusal {
    fn from(refusal: rig::Refusal) -> Self {
        Self::Rig(refusal)
    }
}

impl From<Fault> for Refusal {
    fn from(fault: Fault) -> Self {
        Self::Rig(fault.into())
    }
}
