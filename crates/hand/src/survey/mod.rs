//! The survey: two dials swept over a grid, every plant measured at each pose
//! (docs/mathematics.md 12).
//!
//! A plant counts while its anchor holds it fully; one that is let go, or being let go, has
//! nothing to keep. A plant without an anchor (a fist's knuckle) always counts.
pub mod contour;
mod greatest;
mod meter;
mod packed;
mod progress;
pub mod report;

pub use greatest::{Greatest, Release, Stop, greatest, releases};
pub(crate) use meter::Meter;
pub use meter::{Cell, Limit, LimitKind, Room, joint_room, room};
pub use progress::Progress;

use contour::contour;
use rig::{AnchorId, Dial, DialId, Fault, NodeId, Posed, Rig};

/// Narrowest range of a sweep, in its dial's unit: its values could hardly be told apart.
const NARROWEST: f64 = 1e-9;
/// The same as a part of how far from 0 the range is.
const GRAIN: f64 = 1e-12;
/// More poses than this are refused: a page must not hang.
pub const MOST_CELLS: usize = 1_000_000;
/// More slips than this are refused, one for each plant in each cell: each takes 16 bytes.
pub const MOST_SLIPS: usize = 10_000_000;

/// How many poses these sweeps make together, before any is made.
///
/// # Errors
/// When there are more than [`MOST_CELLS`], or with the document's plants more than
/// [`MOST_SLIPS`].
pub fn cells(rig: &Rig, sweeps: &[Sweep]) -> Result<usize, Fault> {
    let plants = rig.plants.len();
    let most = MOST_CELLS.min(MOST_SLIPS / plants.max(1));
    let within = |most| {
        sweeps.iter().try_fold(1, |cells: usize, sweep| {
            let cells = cells.checked_mul(sweep.count);
            cells.filter(|&cells| cells <= most)
        })
    };
    within(most).ok_or_else(|| {
        let counts: Vec<_> = sweeps.iter().map(|sweep| sweep.count.to_string()).collect();
        let grid = counts.join(" by ");
        let (what, most) = match within(MOST_CELLS) {
            None => (format!("a grid of {grid} is too fine"), MOST_CELLS),
            Some(_) => {
                let what = format!("a grid of {grid} is too fine for {plants} plants");
                (what, most)
            }
        };
        Fault {
            place: "survey".to_owned(),
            what,
            mend: format!("give no more than {most} poses in all"),
        }
    })
}

/// One side of the grid: a dial over a range, in the dial's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sweep {
    /// The dial.
    pub dial: DialId,
    /// First value.
    pub from: f64,
    /// Last value, greater than the first.
    pub to: f64,
    /// How many values, both ends included: at least 2.
    pub count: usize,
}

impl Sweep {
    /// The value at a place of the grid; both ends are exact.
    pub fn value(&self, at: usize) -> f64 {
        let last = self.count - 1;
        if at >= last {
            return self.to;
        }
        self.from + (self.to - self.from) * (at as f64 / last as f64)
    }

    /// How far apart the values are.
    pub fn step(&self) -> f64 {
        (self.to - self.from) / (self.count - 1) as f64
    }

    /// The place whose value is nearest.
    pub fn nearest(&self, value: f64) -> usize {
        let at = libm::round((value - self.from) / self.step());
        // Saturates, and a NaN becomes 0.
        (at as usize).min(self.count - 1)
    }

    /// Where a place between grid places lies, in the dial's unit.
    fn between(&self, a: usize, b: usize, t: f64) -> f64 {
        self.value(a) + (self.value(b) - self.value(a)) * t
    }

    /// Whether the document can be swept so.
    ///
    /// # Errors
    /// When it has no such dial, the range is none, too narrow or outside the dial's limits, or
    /// there are fewer than two values.
    pub fn check(&self, rig: &Rig) -> Result<(), Fault> {
        let fault = |place: &str, what: String, mend: String| {
            Err(Fault {
                place: place.to_owned(),
                what,
                mend,
            })
        };
        let Some(Dial { name, min, max, .. }) = rig.dial(self.dial) else {
            return fault(
                "survey",
                "it sweeps a dial that is not in the document".to_owned(),
                "name one that is".to_owned(),
            );
        };
        let place = format!("the sweep of '{name}'");
        // Written so that a NaN is refused too.
        if !(self.from >= *min && self.to <= *max && self.from < self.to) {
            return fault(
                &place,
                format!("{} to {} is not a range of this dial", self.from, self.to),
                format!("go from a smaller to a greater value, within {min} and {max}"),
            );
        }
        let far = if -self.from > self.to {
            -self.from
        } else {
            self.to
        };
        if self.to - self.from < NARROWEST || self.to - self.from < GRAIN * far {
            return fault(
                &place,
                format!("{} to {} is too narrow a range", self.from, self.to),
                "take in more of the dial".to_owned(),
            );
        }
        if self.count < 2 {
            return fault(
                &place,
                format!("{} values make no sweep", self.count),
                "give at least 2".to_owned(),
            );
        }
        Ok(())
    }
}

/// A grid of poses, measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Survey {
    /// The dial along a row.
    pub across: Sweep,
    /// The dial from row to row.
    pub up: Sweep,
    /// Rows along `up`, each along `across`.
    pub cells: Vec<Cell>,
    /// What is planted, in document order.
    pub plants: Vec<NodeId>,
    /// Slip of every plant, mm, cell by cell in the order of `plants`; none where it is let go.
    pub slips: Vec<Option<f64>>,
    /// Where both dials are neutral: the cell nearest to it.
    pub home: usize,
    /// What it was made for: the other dials' values, and which anchors are on.
    others: Vec<(DialId, f64)>,
    active: Vec<(AnchorId, bool)>,
}

impl Survey {
    /// Measures the whole grid; the other dials stay as they stand in `posed`.
    ///
    /// # Errors
    /// When a sweep is none, both are of one dial, the grid is too big, or nothing is planted.
    pub fn run(posed: &Posed, across: Sweep, up: Sweep) -> Result<Self, Fault> {
        let mut progress = Progress::new(posed, across, up)?;
        progress.step(usize::MAX);
        Ok(progress.into_survey())
    }

    /// Whether it was made for the pose's other dials and anchors: if not it is out of date.
    pub fn is_of(&self, posed: &Posed) -> bool {
        self.others
            .iter()
            .all(|&(dial, value)| posed.has_dial(dial) && posed.dial(dial) == value)
            && self.active.iter().all(|&(anchor, active)| {
                posed.has_anchor(anchor) && posed.is_active(anchor) == active
            })
    }

    /// A cell by its place along `across` and `up`.
    pub fn cell(&self, across: usize, up: usize) -> &Cell {
        &self.cells[up * self.across.count + across]
    }

    /// The two dials' values in a cell.
    pub fn values(&self, cell: usize) -> (f64, f64) {
        let (row, column) = (cell / self.across.count, cell % self.across.count);
        (self.across.value(column), self.up.value(row))
    }

    /// Whether nothing slips further than the tolerance, mm. A limit may be hit all the same:
    /// see [`Cell::limit`].
    pub fn safe(&self, cell: usize, tolerance: f64) -> bool {
        self.cells[cell].slip <= tolerance
    }

    /// Plants that cannot hold in a cell: those that slip further than the tolerance.
    pub fn lost(&self, cell: usize, tolerance: f64) -> impl Iterator<Item = NodeId> {
        let count = self.plants.len();
        let slips = &self.slips[cell * count..(cell + 1) * count];
        let lost = self.plants.iter().zip(slips);
        lost.filter(move |(_, slip)| slip.is_some_and(|slip| slip > tolerance))
            .map(|(&node, _)| node)
    }

    /// By cell: whether it can be reached from neutral through safe cells side by side. Where
    /// the grid does not hold neutral, the walk starts from the cell nearest to it.
    pub fn reachable(&self, tolerance: f64) -> Vec<bool> {
        let (width, height) = (self.across.count, self.up.count);
        let mut reached = vec![false; self.cells.len()];
        let mut stack = vec![self.home];
        while let Some(cell) = stack.pop() {
            if reached[cell] || !self.safe(cell, tolerance) {
                continue;
            }
            reached[cell] = true;
            let (row, column) = (cell / width, cell % width);
            stack.extend((column > 0).then(|| cell - 1));
            stack.extend((column + 1 < width).then(|| cell + 1));
            stack.extend((row > 0).then(|| cell - width));
            stack.extend((row + 1 < height).then(|| cell + width));
        }
        reached
    }

    /// Where the worst slip crosses the tolerance, as lines of (across, up) in the dials' units,
    /// the safe side on their left; closed (the last point is the first) unless the grid cuts
    /// them.
    pub fn boundary(&self, tolerance: f64) -> Vec<Vec<(f64, f64)>> {
        let slips: Vec<_> = self.cells.iter().map(|cell| cell.slip).collect();
        contour(self.across.count, &slips, tolerance)
            .iter()
            .map(|line| line.iter().map(|crossing| self.place(crossing)).collect())
            .collect()
    }

    /// The safe region as closed outlines of (across, up), the grid's rim included where it cuts
    /// the region; holes run the other way round. First what neutral leads to, then what only a
    /// jump could reach.
    pub fn region(&self, tolerance: f64) -> [Vec<Vec<(f64, f64)>>; 2] {
        let reachable = self.reachable(tolerance);
        [true, false].map(|wanted| {
            self.outlines(tolerance, |at| {
                let slip = self.cells[at].slip;
                // The other region's cells are as good as unsafe here.
                if slip <= tolerance && reachable[at] != wanted {
                    f64::INFINITY
                } else {
                    slip
                }
            })
        })
    }

    /// Closed outlines of where no limit is hit, halfway between cells that are free and cells
    /// that are not.
    pub fn free(&self) -> Vec<Vec<(f64, f64)>> {
        self.outlines(0.5, |at| f64::from(self.cells[at].limit.is_some()))
    }

    /// Closed outlines of where a value is not above a level, as (across, up).
    fn outlines(&self, level: f64, value: impl Fn(usize) -> f64) -> Vec<Vec<(f64, f64)>> {
        let values: Vec<_> = (0..self.cells.len()).map(value).collect();
        contour::outlines(self.across.count, &values, level)
            .iter()
            .map(|line| line.iter().map(|crossing| self.place(crossing)).collect())
            .collect()
    }

    /// Where a level is crossed, in the dials' units.
    fn place(&self, crossing: &contour::Crossing) -> (f64, f64) {
        let width = self.across.count;
        let (a, b, t) = (crossing.inside, crossing.outside, crossing.part);
        (
            self.across.between(a % width, b % width, t),
            self.up.between(a / width, b / width, t),
        )
    }

    /// For each value of `up`: how far `across` goes either way from neutral with the slip
    /// within the tolerance, interpolated between cells. None where it is not so at neutral.
    pub fn reach(&self, tolerance: f64) -> Vec<Option<(f64, f64)>> {
        let width = self.across.count;
        let home = self.home % width;
        let row = |row: &[Cell]| {
            let slip = |at: usize| row[at].slip;
            if slip(home) > tolerance {
                return None;
            }
            let end = |inside: usize, outside: Option<usize>| match outside {
                None => self.across.value(inside),
                Some(outside) => {
                    let t = (tolerance - slip(inside)) / (slip(outside) - slip(inside));
                    self.across.between(inside, outside, t)
                }
            };
            let low = (0..home).rev().find(|&at| slip(at) > tolerance);
            let high = (home + 1..width).find(|&at| slip(at) > tolerance);
            Some((
                end(low.map_or(0, |at| at + 1), low),
                end(high.map_or(width - 1, |at| at - 1), high),
            ))
        };
        self.cells.chunks(width).map(row).collect()
    }

    /// Whether the grid has a safe cell that neutral leads to, and if not, why: one sentence.
    ///
    /// # Errors
    /// When it has none.
    pub fn verdict(&self, rig: &Rig, tolerance: f64) -> Result<(), String> {
        let safe = (0..self.cells.len()).any(|cell| self.safe(cell, tolerance));
        if safe && self.safe(self.home, tolerance) {
            return Ok(());
        }
        let least = self.cells.iter().fold(f64::INFINITY, |least, cell| {
            if cell.slip < least { cell.slip } else { least }
        });
        let home = &self.cells[self.home];
        let who = home
            .slipping
            .and_then(|node| rig.node(node))
            .map_or("what is planted", |node| node.name.as_str());
        let all_lost = self.lost(self.home, tolerance).count() == self.plants.len();
        Err(if safe {
            format!(
                "the safe region does not hold neutral, where the {who} slips {:.2} mm; nothing leads there from the planted pose",
                home.slip
            )
        } else if all_lost {
            format!(
                "there is no safe region: even at neutral nothing that is planted reaches its place (the {who} misses by {:.2} mm); plant the hand nearer",
                home.slip
            )
        } else {
            format!(
                "there is no safe region: everywhere on this grid something slips, by {least:.2} mm at least; allow more than {tolerance} mm, or sweep nearer to neutral"
            )
        })
    }
}
