//! How near a prediction was, as data. Its sentence is its `Display`.
use crate::stay::Stay;
use crate::words::capital;
use std::fmt::{self, Display, Formatter};

/// Points that are right, and those that are near, mm. All these bands are chosen here.
const POINT: [f64; 2] = [6.0, 15.0];
/// The same of how far a line stops short of a path's end, mm.
const END: [f64; 2] = [12.0, 30.0];
/// The same of angles, degrees.
const ANGLE: [f64; 2] = [3.0, 8.0];
/// The same of axes, degrees.
const AXIS: [f64; 2] = [5.0, 10.0];
/// Parts of the places that are covered, and of the paint that lies clear of them.
const COVERED: [f64; 2] = [0.8, 0.6];
const CLEAR: [f64; 2] = [0.1, 0.25];
/// Staples that are wrong.
const WRONG: [usize; 2] = [0, 1];

/// How good a prediction was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Grade {
    Right,
    Near,
    NotSo,
}

impl Grade {
    /// The first that holds of those for right and for near.
    fn of(holds: impl Fn(usize) -> bool) -> Self {
        match (holds(0), holds(1)) {
            (true, _) => Self::Right,
            (_, true) => Self::Near,
            _ => Self::NotSo,
        }
    }
}

impl Display for Grade {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Right => "Right",
            Self::Near => "Near",
            Self::NotSo => "Not so",
        })
    }
}

/// How near the drawing was: 'Your line stays within 1.8 mm of the path.' Predictions are never
/// failed.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// Of a pin.
    Pin {
        /// The node that moves.
        node: String,
        /// From the pin to where it lands, mm.
        off: f64,
        /// How far it moves, mm.
        travel: f64,
    },
    /// Of a line along a path.
    Path {
        /// The farthest of the line from the path, mm.
        stray: f64,
        /// The farther of the path's ends from the line, mm.
        missed: f64,
    },
    /// Of a line along an axis.
    Axis {
        /// Between the two, degrees, without a sign.
        turn: f64,
        /// From the axis's middle to the line, mm.
        off: f64,
    },
    /// Of paint where a node may stand.
    Region {
        /// That node.
        node: String,
        /// Which part of those places is painted, from 0 to 1.
        covered: f64,
        /// Which part of the paint lies clear of them, from 0 to 1.
        clear: f64,
    },
    /// The node may stand nowhere.
    Nowhere {
        /// That node.
        node: String,
    },
    /// Of a ray.
    Angle {
        /// What was drawn, degrees.
        drawn: f64,
        /// What it is, degrees.
        angle: f64,
    },
    /// Of staples.
    Stay {
        /// Each node asked about.
        nodes: Vec<Stapled>,
    },
}

/// What was said of a node that may stay, and what it does.
#[derive(Clone, Debug, PartialEq)]
pub struct Stapled {
    /// What becomes of it.
    pub what: Stay,
    /// Whether it was stapled.
    pub stapled: bool,
}

impl Stapled {
    fn right(&self) -> bool {
        self.what.stays == self.stapled
    }
}

impl Verdict {
    /// How good it was.
    pub fn grade(&self) -> Grade {
        Grade::of(|at| match self {
            Self::Pin { off, .. } => *off <= POINT[at],
            Self::Path { stray, missed } => *stray <= POINT[at] && *missed <= END[at],
            Self::Axis { turn, off } => *turn <= AXIS[at] && *off <= POINT[at],
            Self::Region { covered, clear, .. } => *covered >= COVERED[at] && *clear <= CLEAR[at],
            Self::Nowhere { .. } => false,
            Self::Angle { drawn, angle } => libm::fabs(angle - drawn) <= ANGLE[at],
            Self::Stay { nodes } => nodes.iter().filter(|node| !node.right()).count() <= WRONG[at],
        })
    }
}

impl Display for Verdict {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let grade = self.grade();
        if !matches!(self, Self::Nowhere { .. }) {
            write!(f, "{grade}. ")?;
        }
        match self {
            Self::Pin { node, off, travel } => write!(
                f,
                "Your pin is {off:.1} mm from where the {} lands. It moves {travel:.1} mm.",
                hand::spoken(node)
            ),
            Self::Path { stray, missed } => {
                write!(f, "Your line stays within {stray:.1} mm of the path.")?;
                if *missed > END[0] {
                    write!(f, " It stops {missed:.1} mm short of the path's end.")?;
                }
                Ok(())
            }
            Self::Axis { turn, off } => write!(
                f,
                "Your line is turned {turn:.1}° from the fitted axis and passes {off:.1} mm beside its middle."
            ),
            Self::Region {
                node,
                covered,
                clear,
            } => write!(
                f,
                "Your paint covers {:.0} % of the places where the {node} may stand; {:.0} % of your paint lies clear of them.",
                100.0 * covered,
                100.0 * clear
            ),
            Self::Nowhere { node } => write!(f, "There is nowhere the {node} may stand."),
            Self::Angle { drawn, angle } => {
                let how = match grade {
                    Grade::Right => "",
                    _ if angle - drawn > 0.0 => ", more than you drew",
                    _ => ", less than you drew",
                };
                write!(f, "You drew {drawn:.1}°. It is {angle:.1}°{how}.")
            }
            Self::Stay { nodes } if grade == Grade::Right => {
                let staying = nodes.iter().filter(|node| node.what.stays);
                let staying: Vec<&str> = staying.map(|node| node.what.called.as_str()).collect();
                match staying.as_slice() {
                    [] => f.write_str("None of them stays."),
                    [one] => write!(f, "Only the {one} stays."),
                    [all @ .., last] => {
                        write!(f, "The {} and the {last} stay.", all.join(", the "))
                    }
                }
            }
            Self::Stay { nodes } => {
                let wrong = nodes.iter().filter(|node| !node.right());
                let wrong: Vec<_> = wrong.map(|node| node.what.to_string()).collect();
                write!(f, "{}.", capital(&wrong.join(", ")))
            }
        }
    }
}
