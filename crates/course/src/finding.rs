//! What a check measured, as data; `telling` has the sentences.
use crate::said::Said;
use crate::task::{Band, Misplaced};
use hand::Gauge;
use rig::{Reading, Unit, Vec3};

/// The answer: passed, and what was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Whether every finding holds.
    pub passed: bool,
    /// In the order of the task.
    pub findings: Vec<Finding>,
}

impl Mark {
    pub(crate) fn of(findings: Vec<Finding>) -> Self {
        Self {
            passed: findings.iter().all(Finding::ok),
            findings,
        }
    }
}

/// One measured line of the answer: 'First pose: the knuckle is only 31.2 mm up.'
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What of the exercise it is about.
    pub part: Part,
    /// What was measured, and how it compares with what is asked.
    pub kind: Kind,
}

impl Finding {
    /// Whether it holds.
    pub fn ok(&self) -> bool {
        use Kind::*;
        matches!(
            self.kind,
            Within { .. }
                | Told { .. }
                | InPlace { .. }
                | Round { .. }
                | Put { .. }
                | Hung { .. }
                | Turned { .. }
        )
    }
}

/// A part of an exercise that has several.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// The whole of it, or a run with every anchor holding.
    Whole,
    /// The first of two kept poses.
    FirstPose,
    /// The second.
    SecondPose,
    /// A run with every anchor let go.
    LetGo,
}

/// A reading, and where along the run it was taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// The value with its unit.
    pub reading: Reading,
    /// Where it was that.
    pub at: At,
}

/// A place along a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum At {
    /// There is no run: as the figure stands.
    Now,
    /// So far from one pose to the other, from 0 to 1.
    Way(f64),
    /// Where the dial that runs has this value, in its unit.
    Dial(f64, Unit),
    /// Degrees round a centre from where the drag began, signed.
    Round(f64),
}

/// What was measured, against what, and how they compare.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// A gauge kept to its band all along.
    Within {
        /// With its limits.
        band: Band,
        /// The least reading.
        least: Seen,
        /// The greatest.
        greatest: Seen,
    },
    /// A gauge was under the least allowed; said in the lesson's own words.
    Under {
        /// With those words.
        band: Band,
        /// The least reading.
        value: Seen,
        /// The least allowed, in the gauge's unit.
        limit: f64,
    },
    /// A gauge was over the most allowed; said in the lesson's own words.
    Over {
        /// With those words.
        band: Band,
        /// The greatest reading.
        value: Seen,
        /// The most allowed, in the gauge's unit.
        limit: f64,
    },
    /// A band without limits: its greatest reading is told in the lesson's own words.
    Told {
        /// With those words.
        band: Band,
        /// The greatest reading.
        value: Seen,
    },
    /// No moment of the run was as far from neutral as the band asks.
    Unmeasured {
        /// Which asks that.
        band: Band,
    },
    /// A node is where it belongs.
    InPlace {
        /// Which, and where.
        place: Misplaced,
        /// How far off, mm.
        off: f64,
    },
    /// A node is not where it belongs.
    OutOfPlace {
        /// Which, and where that is.
        place: Misplaced,
        /// How far off, mm.
        off: f64,
        /// How much of it lies in each of the directions that the lesson names, mm, greatest
        /// first; without those in which it is too little to tell.
        towards: Vec<(f64, String)>,
    },
    /// A drag went far enough round with the gauge within its limit.
    Round {
        /// What was asked.
        asked: Ring,
        /// The longest stretch, degrees.
        turned: f64,
    },
    /// A drag left the gauge's limit.
    Strayed {
        /// What was asked.
        asked: Ring,
        /// The greatest reading.
        value: Seen,
        /// How far the node was from the centre there, mm.
        distance: f64,
        /// How far it is at the start, mm.
        start: f64,
    },
    /// A drag kept to the gauge's limit and ended too early.
    Short {
        /// What was asked.
        asked: Ring,
        /// How far round it went, degrees.
        turned: f64,
    },
    /// The mount is not put yet.
    NotPut {
        /// Which.
        mount: String,
    },
    /// The mount is put: anywhere.
    Put {
        /// Which.
        mount: String,
        /// Where, world mm.
        at: Vec3,
        /// How far from the nearest joint, mm, and which that is.
        near: Option<(f64, String)>,
    },
    /// The node hangs from something else.
    NotHung {
        /// Which.
        node: String,
        /// What it should hang from.
        from: String,
        /// What it does hang from.
        under: Option<String>,
    },
    /// The node hangs from the mount, and nothing moved.
    Hung {
        /// Which.
        node: String,
        /// Of so many nodes that were measured.
        count: usize,
        /// The greatest move, mm.
        most: f64,
    },
    /// Hung from the mount, something has moved.
    Jolted {
        /// The node that moved most.
        which: String,
        /// How far, mm.
        most: f64,
    },
    /// The dial has not gone so far yet.
    NotTurned {
        /// What the lesson calls doing so.
        title: String,
        /// Where it stands, in its unit.
        value: f64,
        /// Its unit.
        unit: Unit,
    },
    /// The dial went all the way, what should move did and nothing slipped.
    Turned {
        /// Where the run ended.
        at: At,
        /// What should move.
        node: String,
        /// The worst slip on the way.
        slip: Reading,
        /// How far that node is from rest there, mm.
        travel: f64,
    },
    /// Nothing slipped, and nothing moved.
    Still {
        /// The lesson's own words.
        said: String,
        /// The worst slip on the way.
        slip: Reading,
        /// How far what should move is from rest, mm.
        travel: f64,
    },
    /// Something slipped: the mount is not where what should stay is.
    Strays {
        /// The lesson's own words.
        said: Said,
        /// The directions in which it is off, greatest first.
        ways: Vec<String>,
        /// How far it is off, mm.
        off: f64,
        /// Half of how far it was turned, degrees.
        half: f64,
        /// How far what should stay moves with every anchor let go, mm.
        moved: f64,
        /// The worst slip on the way.
        slip: Reading,
    },
}

/// What a drag round a centre was asked to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring {
    /// The node that goes round.
    pub node: String,
    /// The node it goes round.
    pub centre: String,
    /// How far, degrees.
    pub angle: f64,
    /// What must stay small.
    pub gauge: Gauge,
    /// How small.
    pub limit: Reading,
}
