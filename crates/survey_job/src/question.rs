//! What can be asked. Dials are told by their places in the document's list: ids are not in files.
use crate::Found;
use hand::survey::Tolerance;
use hand::{Pivot, Recipe};
use rig::{DialId, Rig, Setting};
use serde::{Deserialize, Serialize};

/// What a [`Bench`](crate::Bench) is told.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Order {
    /// Questions from here on are about this document, as its file has it. Sent only when its
    /// structure changes: where its dials stand comes with each question.
    Figure(String),
    /// A question, with a number that its replies bear. It replaces what is still worked at in
    /// the same lane.
    Ask {
        /// Greater than any before it.
        number: u32,
        /// What is asked.
        question: Question,
    },
    /// What is worked at in this lane is wanted no more.
    Leave(Lane),
}

/// Questions of one lane replace each other; the first lane is worked at first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum Lane {
    Reach,
    Spans,
    Survey,
    Lifts,
    Advice,
    Seek,
}

/// A question. Angles in degrees, lengths in mm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Question {
    /// A grid of poses: [`hand::survey::Survey::run`].
    Survey {
        /// Where everything stands.
        standing: Setting,
        /// Along a row.
        across: Side,
        /// From row to row.
        up: Side,
    },
    /// How far a dial goes from neutral: [`hand::survey::greatest`].
    Reach {
        /// Where everything stands.
        standing: Setting,
        /// The dial's place.
        dial: usize,
        /// Up, not down.
        rising: bool,
        /// What is allowed.
        tolerance: Tolerance,
    },
    /// The same of several dials, down and up: each dial's safe span, the others as they stand.
    Spans {
        /// Where everything stands.
        standing: Setting,
        /// The dials' places.
        dials: Vec<usize>,
        /// What is allowed.
        tolerance: Tolerance,
    },
    /// How far the lift goes about each of these pivots, of a hand as built.
    Lifts {
        /// The hand.
        recipe: Box<Recipe>,
        /// The pivots.
        pivots: Vec<Pivot>,
        /// What is allowed.
        tolerance: Tolerance,
    },
    /// What ends a dial, the others as they stand, and what would help: [`hand::advice::advice`].
    Advice {
        /// Where everything stands.
        standing: Setting,
        /// The dial's place.
        dial: usize,
        /// Up, not down.
        rising: bool,
        /// What is allowed.
        tolerance: Tolerance,
        /// A place of the pivot to be tried too.
        axis: Option<Found>,
    },
    /// The axis of greatest safe lift of a hand as built: [`hand::advice::Search`].
    Seek {
        /// The hand.
        recipe: Box<Recipe>,
        /// What is allowed.
        tolerance: Tolerance,
    },
}

impl Question {
    /// Which it is replaced in.
    pub fn lane(&self) -> Lane {
        match self {
            Self::Survey { .. } => Lane::Survey,
            Self::Reach { .. } => Lane::Reach,
            Self::Spans { .. } => Lane::Spans,
            Self::Lifts { .. } => Lane::Lifts,
            Self::Advice { .. } => Lane::Advice,
            Self::Seek { .. } => Lane::Seek,
        }
    }
}

/// One side of a survey's grid, as [`hand::survey::Sweep`] says.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Side {
    /// The dial's place.
    pub dial: usize,
    /// First value.
    pub from: f64,
    /// Last value.
    pub to: f64,
    /// How many.
    pub count: usize,
}

/// A dial's place in a rig's list; none: it has no such dial.
pub(crate) fn place(rig: &Rig, dial: DialId) -> Option<usize> {
    rig.dials.iter().position(|known| known.id == dial)
}

impl Side {
    /// From a sweep of this rig; none: it has no such dial.
    pub fn new(rig: &Rig, sweep: hand::survey::Sweep) -> Option<Self> {
        Some(Self {
            dial: place(rig, sweep.dial)?,
            from: sweep.from,
            to: sweep.to,
            count: sweep.count,
        })
    }
}

impl Question {
    /// How far a dial goes, of a pose of the figure; none: it has no such dial.
    pub fn reach(
        posed: &rig::Posed,
        dial: DialId,
        rising: bool,
        tolerance: Tolerance,
    ) -> Option<Self> {
        Some(Self::Reach {
            standing: posed.setting().clone(),
            dial: place(posed.rig(), dial)?,
            rising,
            tolerance,
        })
    }

    /// What ends a dial and what would help, of a pose of the figure; none: it has no such dial.
    pub fn advice(
        posed: &rig::Posed,
        dial: DialId,
        rising: bool,
        tolerance: Tolerance,
        axis: Option<Found>,
    ) -> Option<Self> {
        Some(Self::Advice {
            standing: posed.setting().clone(),
            dial: place(posed.rig(), dial)?,
            rising,
            tolerance,
            axis,
        })
    }

    /// The safe spans of dials, of a pose of the figure; none: it lacks one of them.
    pub fn spans(posed: &rig::Posed, dials: &[DialId], tolerance: Tolerance) -> Option<Self> {
        let places = dials.iter().map(|&dial| place(posed.rig(), dial));
        Some(Self::Spans {
            standing: posed.setting().clone(),
            dials: places.collect::<Option<_>>()?,
            tolerance,
        })
    }
}
