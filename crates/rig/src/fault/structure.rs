//! Wholes that cannot be evaluated.
use super::explain::{Explain, say};

/// Why a rig is none, though its names and numbers could be. All by name.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Structure {
    /// The setting has too many or too few values.
    OtherSetting,
    /// An id that leads to no node.
    NoNode,
    /// A drive's id that leads to no anchor.
    NoAnchor,
    /// Each hangs from the other, through others perhaps.
    Circle {
        child: String,
        parent: String,
    },
    NotFinite {
        node: String,
    },
    NotAChain {
        anchor: String,
        base: String,
        end: String,
    },
    BoneCount {
        anchor: String,
        wanted: Turned,
        bones: usize,
    },
    NotAFinger {
        anchor: String,
    },
    /// Both anchors would turn the node.
    Shared {
        first: String,
        second: String,
        node: String,
    },
    /// The anchor, whose base this is, holds to what it carries itself.
    HoldsToItself {
        anchor: String,
        base: String,
        target: String,
        moved: String,
    },
    /// From the inner joint to the outer one.
    NoLength {
        near: String,
        far: String,
    },
}

/// What a solver turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Turned {
    OneBone,
    TwoBones,
    ThreeBones,
    AnyBones,
    Joint,
    JointAboutY,
}

impl Turned {
    fn in_words(self) -> &'static str {
        match self {
            Self::OneBone => "exactly one bone",
            Self::TwoBones => "exactly two bones",
            Self::ThreeBones => "exactly three bones",
            Self::AnyBones => "at least one bone",
            Self::Joint => "one joint that can turn",
            Self::JointAboutY => "one joint that can turn about its y axis",
        }
    }
}

impl Explain for Structure {
    fn explain(&self) -> (String, String) {
        match self {
            Self::OtherSetting => say(
                "it is of another rig",
                "give a value for each dial and a switch for each anchor",
            ),
            Self::NoNode => say(
                "it names a node that is not in the document",
                "name one that is",
            ),
            Self::NoAnchor => say(
                "it drives an anchor that is not in the document",
                "name one that is",
            ),
            Self::Circle { child, parent } => say(
                format!("'{child}' hangs from '{parent}', which hangs from '{child}' in turn"),
                format!("hang '{parent}' from something else, or leave its parent out"),
            ),
            Self::NotFinite { node } => say(
                format!("'{node}' has a number that is not finite"),
                "give it plain numbers",
            ),
            Self::NotAChain { anchor, base, end } => say(
                format!(
                    "the anchor '{anchor}' needs a chain, but '{end}' does not hang below '{base}'"
                ),
                format!(
                    "choose a base that carries '{end}', or the same joint for base and end if \
                     the anchor only turns it"
                ),
            ),
            Self::BoneCount {
                anchor,
                wanted,
                bones,
            } => say(
                format!(
                    "the anchor '{anchor}' turns {}, but its chain has {bones}",
                    wanted.in_words()
                ),
                "choose another base or end, or another solver",
            ),
            Self::NotAFinger { anchor } => say(
                format!("the anchor '{anchor}' does not turn a finger"),
                "choose as base a joint with two free turns, next to each other in its order, that \
                 carries two joints with one free turn each",
            ),
            Self::Shared {
                first,
                second,
                node,
            } => say(
                format!("the anchors '{first}' and '{second}' would both turn '{node}'"),
                "end one chain where the other begins",
            ),
            Self::HoldsToItself {
                anchor,
                base,
                target,
                moved,
            } => say(
                format!(
                    "the anchor '{anchor}' holds to '{target}', but '{moved}', which it moves, \
                     carries '{target}'"
                ),
                format!("hang '{target}' from something outside '{base}'"),
            ),
            Self::NoLength { near, far } => say(
                format!("the bone from '{near}' to '{far}' has no length"),
                format!("move '{far}' away from '{near}'"),
            ),
        }
    }
}
