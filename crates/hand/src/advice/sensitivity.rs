//! What misplacing a pivot costs.
use super::NoAdvice;
use super::fault;
use super::margin::{Margin, least, margins};
use super::movable::Movable;
use crate::survey::Meter;
use recipe::Part;
use rig::{DialId, Fault, NodeId, Posed};

/// Half the width of a difference, mm or degrees.
const NUDGE: f64 = 1e-3;

/// Which way a pivot is misplaced, in its carrier's frame at rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Towards the fingertips.
    Ahead,
    /// Off the surface.
    Up,
    /// Across the hand.
    Aside,
    /// Turned about the surface's normal.
    Yaw,
}

impl Direction {
    /// In the order of a movable pivot's dials.
    const ALL: [Self; 4] = [Self::Ahead, Self::Up, Self::Aside, Self::Yaw];
}

/// How what is planted answers to a pivot's place, at the pose asked about: by mm, or by degree
/// of yaw.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensitivity {
    /// The pivot.
    pub pivot: NodeId,
    /// Which way it is misplaced.
    pub direction: Direction,
    /// mm of worst slip. 0 while slack takes it up.
    pub slip: f64,
    /// mm of the least reach margin: what slack loses (or, positive, gains) before a digit lets
    /// go, or slips where it holds a point.
    pub reach: f64,
    /// mm of each digit's own margin, of those that have one, in document order.
    pub digits: Vec<(NodeId, f64)>,
}

/// The worst slip and the margins.
struct Answer {
    slip: f64,
    margins: Vec<Margin>,
}

impl Answer {
    /// How the slip and the least margin rise to another answer, by unit of the way there.
    fn slopes(&self, to: &Self, width: f64) -> (f64, f64) {
        (
            slope(self.slip, to.slip, width),
            slope(least(&self.margins), least(&to.margins), width),
        )
    }

    /// How each margin does that is in both.
    fn by_digit(&self, to: &Self, width: f64) -> Vec<(NodeId, f64)> {
        let same = |low: &Margin| {
            let high = to.margins.iter().find(|high| high.node == low.node)?;
            Some((low.node, slope(low.mm, high.mm, width)))
        };
        self.margins.iter().filter_map(same).collect()
    }
}

fn slope(low: f64, high: f64, width: f64) -> f64 {
    let slope = (high - low) / width;
    // No margin at all is infinite, and its slope would not be a number.
    if slope.is_finite() { slope } else { 0.0 }
}

fn answer(meter: &Meter, posed: &Posed, slips: &mut [Option<f64>]) -> Answer {
    Answer {
        slip: meter.slips_of(posed, slips).slip,
        margins: margins(posed),
    }
}

/// By central differences at the pose: what each pivot of the press does when misplaced each
/// way. A pivot that is not turned costs nothing.
///
/// # Errors
/// When there are no pivots by a press's names, or nothing is planted and held.
pub fn sensitivities(posed: &Posed) -> Result<Vec<Sensitivity>, Fault<NoAdvice>> {
    let rig = posed.rig();
    let meter = Meter::new(rig);
    if !meter.holds_any(posed) {
        return Err(fault(NoAdvice::AnyPivot));
    }
    let pivots = recipe::Press::ALL.into_iter();
    let pivots = pivots.filter_map(|pivot| rig.part(&Part::Pivot(pivot)));
    let mut slips = meter.slips();
    let mut found = Vec::new();
    for pivot in pivots {
        let Some(mut movable) = Movable::new(posed, pivot.id) else {
            continue;
        };
        for (at, direction) in Direction::ALL.into_iter().enumerate() {
            let mut nudged = |by: f64| {
                let mut place = [0.0; 4];
                place[at] = by;
                movable.place(place);
                movable.posed.evaluate();
                answer(&meter, &movable.posed, &mut slips)
            };
            let (low, high) = (nudged(-NUDGE), nudged(NUDGE));
            let (slip, reach) = low.slopes(&high, 2.0 * NUDGE);
            found.push(Sensitivity {
                pivot: pivot.id,
                direction,
                slip,
                reach,
                digits: low.by_digit(&high, 2.0 * NUDGE),
            });
        }
    }
    if found.is_empty() {
        return Err(fault(NoAdvice::NoPivots));
    }
    Ok(found)
}

/// The same for a dial: mm of worst slip, and of the least reach margin, by unit of it.
pub fn by_dial(posed: &Posed, dial: DialId) -> Option<(f64, f64)> {
    let rig = posed.rig();
    let at = posed.has_dial(dial).then(|| posed.dial(dial))?;
    let meter = Meter::new(rig);
    let mut slips = meter.slips();
    let mut posed = posed.clone();
    let mut nudged = |by: f64| {
        posed.set_dial(dial, at + by);
        posed.evaluate();
        let value = posed.dial(dial);
        (value, answer(&meter, &posed, &mut slips))
    };
    let ((from, low), (to, high)) = (nudged(-NUDGE), nudged(NUDGE));
    Some(low.slopes(&high, to - from))
}
