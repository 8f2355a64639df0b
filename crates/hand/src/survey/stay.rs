//! How far all that is planted stays down, and who lets go first: told beside what is safe, which
//! it has no say in.
use super::walk::Walk;
use super::{Cell, Survey};
use rig::{DialId, NodeId, Posed};

/// How far a dial goes from neutral with all still down that is down at neutral.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stay {
    /// Its value there, in its unit.
    pub value: f64,
    /// Who lets go beyond, of several at once the first in the document; none: the dial's own
    /// end, or the grid's.
    pub first: Option<NodeId>,
    /// How many are down at neutral; 0: the other dials have let all go, and the value is neutral.
    pub count: usize,
}

/// How far a dial goes up (`rising`) or down from neutral with all still down that is down there;
/// the other dials stay as they stand in `posed`. None when the document has no such dial or
/// nothing is planted and held.
pub fn stay(posed: &Posed, dial: DialId, rising: bool) -> Option<Stay> {
    let mut walk = Walk::new(posed, dial, rising)?;
    if !walk.meter.holds_any(posed) {
        return None;
    }
    let plants: Vec<_> = walk.meter.plants().collect();
    walk.glance(walk.dial.neutral);
    let down: Vec<_> = (0..plants.len())
        .filter(|&at| walk.slips[at].is_some())
        .collect();
    if down.is_empty() {
        return Some(Stay {
            value: walk.dial.neutral,
            first: None,
            count: 0,
        });
    }
    let gone = |walk: &Walk| down.iter().find(|&&at| walk.slips[at].is_none()).copied();
    let found = walk.first(Walk::glance, |walk, _| gone(walk).is_some());
    let (value, first) = match found {
        None => (walk.end, None),
        Some((good, bad)) => {
            walk.glance(bad);
            (good, gone(&walk).map(|at| plants[at]))
        }
    };
    let count = down.len();
    Some(Stay {
        value,
        first,
        count,
    })
}

impl Survey {
    /// Who is down where both dials are neutral and not in a pose measured of the same hand.
    pub fn let_go(&self, cell: &Cell) -> impl Iterator<Item = NodeId> {
        let (home, here) = (self.cells[self.home].down, cell.down);
        let plants = self.plants.iter().enumerate();
        plants
            .filter(move |&(at, _)| home.has(at) && !here.has(at))
            .map(|(_, &node)| node)
    }

    /// Whether all is down in a cell that is down where both dials are neutral: something is.
    pub fn all_down(&self, cell: usize) -> bool {
        let home = self.cells[self.home].down;
        home.count() > 0 && self.cells[cell].down.holds(home)
    }

    /// For each value of `up`: how far `across` goes down and up from neutral, from cell to cell,
    /// with all down that is where both are neutral, and who has let go in the next cell. None
    /// where that is not so at its neutral, or nothing is down at all.
    pub fn stays(&self) -> Vec<Option<[Stay; 2]>> {
        let width = self.across.count;
        let count = self.cells[self.home].down.count();
        let home = self.home % width;
        let row = |row: &[Cell]| {
            let first = |column: usize| self.let_go(&row[column]).next();
            if count == 0 || first(home).is_some() {
                return None;
            }
            let stay = |last: usize, next: Option<usize>| Stay {
                value: self.across.value(last),
                first: next.and_then(first),
                count,
            };
            let low = (0..home).rev().find(|&at| first(at).is_some());
            let high = (home + 1..width).find(|&at| first(at).is_some());
            Some([
                stay(low.map_or(0, |at| at + 1), low),
                stay(high.map_or(width - 1, |at| at - 1), high),
            ])
        };
        self.cells.chunks(width).map(row).collect()
    }
}
