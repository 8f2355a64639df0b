//! Why there is no advice.
use recipe::Impossible;
use rig::fault::{Explain, say};

/// Why a question about a press has no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum NoAdvice {
    /// A part that every press has is missing.
    NoPress,
    /// No pivots to compare.
    NoPivots,
    /// The pivot has no direction.
    NoDirection,
    /// The pivot hangs so that it cannot be moved.
    Fixed,
    /// No such joint.
    NoJoint,
    /// This joint does not turn.
    Stiff(String),
    /// No such dial, or nothing is planted and held.
    NothingTurned,
    /// Nothing is planted and held, so that any axis is as good.
    AnyAxis,
    /// Nothing is planted and held, so that no pivot matters.
    AnyPivot,
    /// The knuckles make no axis.
    Impossible(Impossible),
}

impl Explain for NoAdvice {
    fn explain(&self) -> (String, String) {
        match self {
            Self::NoPress => say(
                "this document has no pivot 'knuckles', 'wrist target' and dial 'lift'",
                "plant a hand",
            ),
            Self::NoPivots => say("this document has no press pivots", "plant a hand"),
            Self::NoDirection => say("the pivot has no direction", "plant the hand anew"),
            Self::Fixed => say("the pivot cannot be moved", "plant the hand anew"),
            Self::NoJoint => say("there is no such joint", "choose one"),
            Self::Stiff(name) => say(
                format!("'{name}' does not turn"),
                "choose a joint with a range of motion",
            ),
            Self::NothingTurned => say(
                "there is no such dial, or nothing is planted and held",
                "plant a digit",
            ),
            Self::AnyAxis => say(
                "nothing is planted and held, so any axis is as good",
                "plant a digit",
            ),
            Self::AnyPivot => say(
                "nothing is planted and held, so no pivot matters",
                "plant a digit",
            ),
            Self::Impossible(why) => why.explain(),
        }
    }
}

impl From<Impossible> for NoAdvice {
    fn from(why: Impossible) -> Self {
        Self::Impossible(why)
    }
}
