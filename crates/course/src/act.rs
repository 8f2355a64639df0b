//! What a task that builds asks for, act by act, as its file has it.
use crate::said::Said;
use rig::OwnAxis;
use rig::file::bounds::MOST_LISTED;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One act of several, done in their order. Names are those of the step's document, and of the
/// mount that is put; angles degrees, lengths mm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "act", rename_all = "kebab-case")]
pub enum Act {
    /// Put a mount where the reader wants it: any place will do, and turning it shows whether the
    /// place is right.
    Put(Put),
    /// Hang a node from that mount: nothing may move.
    Hang(Hang),
    /// Run the dial that turns the mount.
    Turn(Turn),
}

/// A mount to be put.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Put {
    /// What to do, in a few words.
    pub title: String,
    /// And how.
    pub how: String,
    /// What the mount will be called.
    pub mount: String,
    /// What it hangs from.
    pub under: String,
}

/// A node to be hung anew.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Hang {
    /// What to do, in a few words.
    pub title: String,
    /// And how.
    pub how: String,
    /// Which node.
    pub node: String,
    /// From which: a mount put before.
    pub from: String,
    /// The dial that turns what the node then hangs from; it drives nothing before.
    pub dial: String,
    /// About which of the mount's own axes.
    pub about: OwnAxis,
    /// Degrees per unit of the dial.
    pub gain: f64,
    /// Where these nodes must still be with every dial neutral, world mm.
    #[schemars(length(max = MOST_LISTED))]
    pub rest: Vec<(String, [f64; 3])>,
    /// Said when it would hang from what it carries: the mend.
    pub mend: String,
}

/// A run of the dial, which shows whether the mount is where it belongs: at the place of what is to
/// stay.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Turn {
    /// What to do, in a few words.
    pub title: String,
    /// And how.
    pub how: String,
    /// The dial, from its neutral value.
    pub dial: String,
    /// To there.
    pub to: f64,
    /// Steps of the run.
    pub samples: u32,
    /// The most that any plant may slip on the way, mm, with every anchor holding.
    pub most: f64,
    /// The node that must move.
    pub moves: String,
    /// Said when nothing slips and that node stays.
    pub still: String,
    /// The node that must stay.
    pub stays: String,
    /// A direction's name, as in 'the mount stands too high', and a unit vector.
    pub towards: Vec<(String, [f64; 3])>,
    /// Said when something slips: `{ways}` is filled in with those names, `{moved}` with how far
    /// what should stay goes with every anchor let go, `{half}` with half the turn, and `{off}`
    /// with how far off the mount is, a number without its unit.
    pub off: Said,
}

impl Act {
    /// What to do, in a few words.
    pub fn title(&self) -> &str {
        match self {
            Self::Put(put) => &put.title,
            Self::Hang(hang) => &hang.title,
            Self::Turn(turn) => &turn.title,
        }
    }

    /// And how.
    pub fn how(&self) -> &str {
        match self {
            Self::Put(put) => &put.how,
            Self::Hang(hang) => &hang.how,
            Self::Turn(turn) => &turn.how,
        }
    }
}
