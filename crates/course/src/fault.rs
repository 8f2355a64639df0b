//! What is wrong with a lesson file, as data.
use crate::lesson::MOST_STEPS;
use hand::Gauge;
use rig::file::bounds::MOST_LISTED;
use rig::text::{choices, line, quoted};
use rig::validate::LARGEST;
use std::fmt::{self, Display, Formatter};

/// Most steps of a run: a page must not hang.
pub const MOST_SAMPLES: u32 = 2000;

/// What is wrong with a lesson: where, and what. Its `Display` is one sentence of one line on
/// screen, with the mend, whatever the names in it hold.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// The way to it in the file: `steps[1].task.bands[0]`.
    pub place: String,
    /// What it is.
    pub kind: Kind,
}

/// What can be wrong.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// Of the file itself, or of a figure in it, whose own place is within that figure.
    File(Box<rig::Fault>),
    /// A number that no lesson can have.
    Outsize(f64),
    /// A list of so many entries.
    TooMany(usize),
    /// A lesson of so many steps.
    TooManySteps(usize),
    /// A lesson without a step.
    NoSteps,
    /// A lesson numbered 0.
    NotNumbered,
    /// More new words than one can learn at once.
    TooManyWords,
    /// A text is empty.
    NoText,
    /// Something to try before an exercise, of which nothing is predicted.
    NotTried,
    /// A text has a name in braces that nothing fills in.
    Unfilled {
        /// The name.
        name: String,
        /// What could be meant.
        fill: Fill,
    },
    /// The figure has no such node.
    NoNode {
        /// As the file has it.
        name: String,
        /// All that the figure has.
        known: Vec<String>,
    },
    /// The figure has no such dial.
    NoDial {
        /// As the file has it.
        name: String,
        /// All that the figure has.
        known: Vec<String>,
    },
    /// A gauge cannot be read on the figure.
    Unread {
        /// Which.
        gauge: Gauge,
        /// What the gauge says.
        why: String,
    },
    /// A dial cannot have this value.
    OutsideLimits {
        /// Which dial.
        dial: String,
        /// The value, in its unit.
        value: f64,
    },
    /// No dial is set.
    NoValues,
    /// A range from one value to the same.
    NoRange,
    /// A run of so many steps.
    Samples(u32),
    /// A number that must be more than zero, by its name.
    NotPositive(&'static str),
    /// No band in a list of bands.
    NoBands,
    /// A limit of a band has no sentence: the field it goes in.
    NoSentence(&'static str),
    /// A band has neither limit nor sentence.
    EmptyBand,
    /// A band's least is more than its most.
    BandBackwards,
    /// A gauge's tolerance runs from more to less.
    ToleranceBackwards,
    /// No direction is given to tell where a node is.
    NoDirection,
    /// A direction, by its name, is no unit vector.
    NotUnit(String),
    /// Fewer than two knuckles for an axis.
    NoRow,
    /// Two dials that are one.
    SameDials,
    /// No node is asked about.
    NoneAsked,
    /// A sweep without a run.
    NoRuns,
    /// A task that builds without an act.
    NoActs,
    /// A mount is to be put whose name the figure has already.
    Taken(String),
    /// An act names a mount that no act before it puts.
    NotPutBefore(String),
    /// An act runs a dial that no act before it gives something to turn.
    NotHungBefore(String),
    /// A dial that is to turn a mount drives something already.
    Driven(String),
    /// A node is elsewhere at rest than an act says.
    NotThere(String),
}

/// What may stand in braces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fill {
    /// The numbers of a band's finding.
    Band,
    /// The lesson's live numbers.
    Readings,
    /// The numbers of a mount out of place.
    Strays,
}

impl Kind {
    /// As a fault at a place.
    pub(crate) fn at(self, place: impl Into<String>) -> Fault {
        let place = place.into();
        Fault { place, kind: self }
    }

    /// What is wrong, and the mend.
    fn told(&self) -> (String, String) {
        let (what, mend) = match self {
            // It says both itself, at its place in the lesson.
            Self::File(_) => return Default::default(),
            Self::Outsize(number) => {
                return (
                    format!("{number:e} is not a number a lesson can have"),
                    format!("give a number between -{LARGEST:e} and {LARGEST:e}"),
                );
            }
            Self::NoNode { name, known } => return unknown("node", name, known),
            Self::NoDial { name, known } => return unknown("dial", name, known),
            Self::Samples(samples) => {
                return (
                    format!("{samples} samples cannot be run"),
                    format!("give 2 to {MOST_SAMPLES}"),
                );
            }
            Self::TooMany(count) => (
                format!("it lists {count}, and {MOST_LISTED} is the most"),
                "leave some out",
            ),
            Self::TooManySteps(count) => (
                format!("it has {count} steps, and {MOST_STEPS} is the most"),
                "make two lessons of it",
            ),
            Self::NoSteps => ("there is none".into(), "give at least one"),
            Self::NotNumbered => ("lessons count from 1".into(), "give it a number"),
            Self::TooManyWords => (
                "a lesson brings at most three new words".into(),
                "move one to another lesson",
            ),
            Self::NoText => ("it is empty".into(), "write it"),
            Self::NotTried => (
                "only a prediction's figure is tried first".into(),
                "leave it out",
            ),
            Self::Unfilled { name, fill } => (
                format!("nothing fills in {}", quoted(&format!("{{{name}}}"))),
                match fill {
                    Fill::Band => "use {value}, {limit} or {at}",
                    Fill::Strays => "use {ways}, {off}, {half} or {moved}",
                    Fill::Readings => "name it in 'readings'",
                },
            ),
            Self::Unread { why, .. } => (
                why.trim_end_matches('.').into(),
                "name what the step's document has",
            ),
            Self::OutsideLimits { dial, value } => (
                format!("{value} is outside the limits of dial {}", quoted(dial)),
                "change the one or the other",
            ),
            Self::NoValues => ("no dial is given".into(), "give at least one"),
            Self::NoRange => (
                "the range is empty".into(),
                "let it run from one value to another",
            ),
            Self::NotPositive(called) => (
                format!("{called} is not more than zero"),
                "give a positive number",
            ),
            Self::NoBands => (
                "there is nothing to measure".into(),
                "give at least one band",
            ),
            Self::NoSentence(field) => (format!("'{field}' is missing"), "say what is wrong then"),
            Self::EmptyBand => (
                "the band has neither limit nor text".into(),
                "give 'least', 'most' or 'high'",
            ),
            Self::BandBackwards => ("'least' is more than 'most'".into(), "swap them"),
            Self::ToleranceBackwards => (
                "the tolerance runs backwards".into(),
                "give the least value first",
            ),
            Self::NoDirection => (
                "no direction is named".into(),
                "give at least one in 'towards'",
            ),
            Self::NotUnit(name) => (
                format!("the direction {} is not one long", quoted(name)),
                "give a unit vector",
            ),
            Self::NoRow => (
                "fewer than two knuckles make no axis".into(),
                "name another in 'knuckles'",
            ),
            Self::SameDials => ("the two dials are one".into(), "name two"),
            Self::NoneAsked => (
                "no node is asked about".into(),
                "name at least one in 'among'",
            ),
            Self::NoRuns => ("there is no run".into(), "give at least one in 'runs'"),
            Self::NoActs => ("there is no act".into(), "give at least one in 'acts'"),
            Self::Taken(name) => (
                format!("the figure has a node {} already", quoted(name)),
                "call the mount otherwise",
            ),
            Self::NotPutBefore(name) => (
                format!("no act before this puts a mount {}", quoted(name)),
                "name what one does",
            ),
            Self::NotHungBefore(name) => (
                format!(
                    "no act before this gives the dial {} a mount to turn",
                    quoted(name)
                ),
                "name what one does",
            ),
            Self::Driven(name) => (
                format!("the dial {} drives something already", quoted(name)),
                "leave out what it drives",
            ),
            Self::NotThere(name) => (
                format!("{} is not there at rest", quoted(name)),
                "give its place with every dial neutral",
            ),
        };
        (what, mend.into())
    }
}

fn unknown(kind: &str, name: &str, known: &[String]) -> (String, String) {
    let mend = match choices(known.iter().map(String::as_str)) {
        none if none.is_empty() => format!("give the figure a {kind} of that name"),
        names => format!("use one of {names}"),
    };
    (format!("there is no {kind} {}", quoted(name)), mend)
}

impl From<rig::Fault> for Fault {
    fn from(fault: rig::Fault) -> Self {
        let place = fault.place.clone();
        Kind::File(Box::new(fault)).at(place)
    }
}

impl Display for Fault {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        if let Kind::File(fault) = &self.kind {
            let mut fault = fault.clone();
            fault.place.clone_from(&self.place);
            return fault.fmt(f);
        }
        let (what, mend) = self.kind.told();
        let [place, what, mend] =
            [(&self.place, 120), (&what, 255), (&mend, 220)].map(|(part, most)| line(part, most));
        write!(f, "{place}: {what}; {mend}.")
    }
}

impl std::error::Error for Fault {}
