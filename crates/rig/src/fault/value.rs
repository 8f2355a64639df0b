//! Names and numbers that nothing can have.
use super::Item;
use super::explain::{Explain, say};

/// What is wrong with a name, a number or a grip.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Value {
    Nameless(Item),
    /// Two of them have this name.
    SameName(Item, String),
    /// Not finite, or larger than anything in a rig.
    NotANumber {
        which: &'static str,
        value: f64,
        most: f64,
    },
    /// The same of a number that somebody wishes for.
    NoNumber,
    Negative {
        which: &'static str,
        value: f64,
    },
    /// Its squares do not sum to 1.
    NotARotation,
    /// A bend axis of zero.
    NoBendAxis,
    /// A link that passes on what is past 0, on neither side of it.
    NoSide,
    /// A tip's round end and a pad that no digit has.
    NoContact {
        radius: f64,
        pad: f64,
    },
    /// A round surface that the place planted is not on.
    NotOnRound {
        ahead: f64,
        from: f64,
        to: f64,
    },
    Reversed {
        min: f64,
        max: f64,
    },
    Outside {
        which: &'static str,
        value: f64,
        min: f64,
        max: f64,
    },
    /// So many dials in a grip.
    GripCount(usize),
    GripUnknown,
}

impl Explain for Value {
    fn explain(&self) -> (String, String) {
        match self {
            Self::Nameless(item) => say(format!("the {item} has no name"), "give it one"),
            Self::SameName(item, name) => say(
                format!("two {item}s are named '{name}'"),
                "rename one of them",
            ),
            Self::NotANumber { which, value, most } => say(
                format!("its {which} is {value:?}, which is not a number a rig can have"),
                format!("give it a number between -{most:e} and {most:e}"),
            ),
            Self::NoNumber => say("that is not a number a rig can have", "give a plain number"),
            Self::Negative { which, value } => {
                say(format!("its {which} is {value:?}"), "give it 0 or more")
            }
            Self::NotARotation => say(
                "its rotation is not a unit quaternion",
                "give x, y, z, w whose squares sum to 1, or leave the rotation out",
            ),
            Self::NoBendAxis => say(
                "its bend axis is zero, which has no direction",
                "give the axis the middle joint turns about, such as [0, 0, 1]",
            ),
            Self::NoSide => say(
                "it passes on what is past 0, and that has no side",
                "give a value above 0 or below it, or leave 'past' out to pass on everything",
            ),
            Self::NoContact { radius, pad } => say(
                format!(
                    "its contact's tip has a radius of {radius:?} mm and its pad one of {pad:?} mm"
                ),
                "give the tip more than 0, and the pad at least as much",
            ),
            Self::NotOnRound { ahead, from, to } => say(
                format!(
                    "it is planted off its round surface, which goes from {from:?}° to {to:?}° \
                     about an axis {ahead:?} mm ahead"
                ),
                "let the round part begin at 0° or less and end at 0° or more; one that begins \
                 ahead begins at 0°, and one that ended behind ends at 0°",
            ),
            Self::Reversed { min, max } => say(
                format!("its lower limit {min} is above its upper limit {max}"),
                "give the smaller one first",
            ),
            Self::Outside {
                which,
                value,
                min,
                max,
            } => say(
                format!("its {which} {value} is outside its limits {min} to {max}"),
                "widen the limits or bring it inside them",
            ),
            Self::GripCount(count) => {
                say(format!("its grip names {count} dials"), "name one or two")
            }
            Self::GripUnknown => say(
                "its grip names a dial that is not in the document",
                "name one that is",
            ),
        }
    }
}
