//! How near a prediction was, as data. Its sentence is its `Display`.
use crate::stay::Stay;
use crate::words::capital;
use std::fmt::{self, Display, Formatter};

/// Points that count as well placed, mm.
const NEAR_POINT: f64 = 6.0;
/// Ends of a path that count as reached, mm.
const NEAR_END: f64 = 2.0 * NEAR_POINT;
/// Angles that count as well drawn, degrees.
const NEAR_ANGLE: f64 = 3.0;
/// Axes that count as well drawn, degrees.
const NEAR_AXIS: f64 = 5.0;

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
    /// Whether it counts as near.
    pub fn near(&self) -> bool {
        match self {
            Self::Pin { off, .. } => *off <= NEAR_POINT,
            Self::Path { stray, missed } => *stray <= NEAR_POINT && *missed <= NEAR_END,
            Self::Axis { turn, off } => *turn <= NEAR_AXIS && *off <= NEAR_POINT,
            Self::Region { covered, clear, .. } => *covered >= 0.6 && *clear <= 0.25,
            Self::Nowhere { .. } => false,
            Self::Angle { drawn, angle } => libm::fabs(angle - drawn) <= NEAR_ANGLE,
            Self::Stay { nodes } => nodes.iter().all(Stapled::right),
        }
    }
}

impl Display for Verdict {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Pin { node, off, travel } => write!(
                f,
                "Your pin is {off:.1} mm from where the {} lands. It moves {travel:.1} mm.",
                hand::spoken(node)
            ),
            Self::Path { stray, missed } => {
                write!(f, "Your line stays within {stray:.1} mm of the path.")?;
                if *missed > NEAR_END {
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
                let how = if self.near() {
                    "near"
                } else if angle - drawn > 0.0 {
                    "more than you drew"
                } else {
                    "less than you drew"
                };
                write!(f, "You drew {drawn:.1}°. It is {angle:.1}°: {how}.")
            }
            Self::Stay { nodes } if self.near() => {
                let staying = nodes.iter().filter(|node| node.what.stays);
                let staying: Vec<&str> = staying.map(|node| node.what.called.as_str()).collect();
                match staying.as_slice() {
                    [] => f.write_str("Right: none of them stays."),
                    [one] => write!(f, "Right: only the {one} stays."),
                    [all @ .., last] => {
                        write!(f, "Right: the {} and the {last} stay.", all.join(", the "))
                    }
                }
            }
            Self::Stay { nodes } => {
                let wrong = nodes.iter().filter(|node| !node.right());
                let wrong: Vec<_> = wrong.map(|node| node.what.to_string()).collect();
                write!(f, "Not quite. {}.", capital(&wrong.join(", ")))
            }
        }
    }
}
