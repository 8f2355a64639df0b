//! A grid of poses that was measured, and what can be asked of it.
use super::contour::{self, contour};
use super::{Cell, Sweep};
use rig::{AnchorId, DialId, NodeId, Posed, Rig};

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
    pub(super) others: Vec<(DialId, f64)>,
    pub(super) active: Vec<(AnchorId, bool)>,
}

impl Survey {
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
