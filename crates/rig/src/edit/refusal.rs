//! Why an edit is refused.
use crate::Fault;
use crate::fault::{Explain, Item, Kind, say};
use std::fmt;

/// Why an edit is refused. All by name.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Refusal {
    /// It is gone from the document.
    Lost(Item),
    CarriesItself {
        node: String,
    },
    /// What is to be hung carries what it would hang from.
    Circle {
        child: String,
        carrier: String,
    },
    NothingGathered,
    /// The end does not hang below the base.
    NoChain {
        base: String,
        end: String,
    },
    /// The base carries what its own target would hang from.
    TargetInChain {
        base: String,
        carrier: String,
    },
    /// The dial has a drive of that already.
    DrivenAlready {
        dial: String,
        does: Does,
        what: String,
    },
    OtherUnit {
        dial: String,
    },
    /// The dial does not drive what is to be geared.
    NotDriven {
        dial: String,
    },
    /// The setting is not of this rig.
    OtherFigure,
    /// The node would grip a dial that is gone.
    GripLost {
        node: String,
    },
    /// The document that it would make cannot be.
    Document(Kind),
}

/// What a drive does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Does {
    Turns,
    Moves,
    ActsOn,
}

impl Explain for Refusal {
    fn explain(&self) -> (String, String) {
        match self {
            Self::Lost(item) => say(
                format!("that {item} is no longer in the document"),
                "choose one that is",
            ),
            Self::CarriesItself { node } => say(
                format!("the {node} cannot carry itself"),
                "hang it from another node",
            ),
            Self::Circle { child, carrier } => say(
                format!(
                    "the {child} carries the {carrier}, so the {carrier} cannot carry the {child}"
                ),
                format!("put a mount where the {carrier} is, and hang the {child} from that"),
            ),
            Self::NothingGathered => say("no anchor was chosen to gather", "choose at least one"),
            Self::NoChain { base, end } => say(
                format!("'{end}' does not hang below '{base}', so there is no chain to turn"),
                format!("choose a base that carries '{end}'"),
            ),
            Self::TargetInChain { base, carrier } => say(
                format!(
                    "'{base}' carries '{carrier}', so '{carrier}' cannot carry what '{base}' is \
                     held to"
                ),
                format!("hang the target from the bench, or from a mount outside '{base}'"),
            ),
            Self::DrivenAlready { dial, does, what } => {
                let does = match does {
                    Does::Turns => "turns",
                    Does::Moves => "moves",
                    Does::ActsOn => "acts on",
                };
                say(
                    format!("the dial '{dial}' already {does} '{what}' that way"),
                    "use that dial, or give the new one another name",
                )
            }
            Self::OtherUnit { dial } => say(
                format!("the dial '{dial}' is in another unit"),
                "use its unit, or give the new dial another name",
            ),
            Self::NotDriven { dial } => say(
                format!("the dial '{dial}' does not drive that"),
                "choose something that it drives",
            ),
            Self::OtherFigure => say(
                "that pose is of another figure",
                "keep one of this figure first",
            ),
            Self::GripLost { node } => say(
                format!("'{node}' cannot grip a dial that is not in the document"),
                "choose one that is",
            ),
            Self::Document(kind) => kind.explain(),
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

impl From<Fault> for Refusal {
    fn from(fault: Fault) -> Self {
        Self::Document(fault.kind)
    }
}
