//! A grid of poses that was measured, and what can be asked of it.
use super::contour::{self, contour};
use super::{Cell, Ends, Sweep, Tolerance};
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

    /// Whether a cell is safe: see [`Cell::is_safe`]. A limit may be hit all the same, but not
    /// passed.
    pub fn safe(&self, cell: usize, tolerance: &Tolerance) -> bool {
        self.cells[cell].is_safe(tolerance)
    }

    /// Plants that cannot hold in a cell: those that slip further than the tolerance.
    pub fn lost(&self, cell: usize, tolerance: &Tolerance) -> impl Iterator<Item = NodeId> {
        let (count, most) = (self.plants.len(), tolerance.slip);
        let slips = &self.slips[cell * count..(cell + 1) * count];
        let lost = self.plants.iter().zip(slips);
        lost.filter(move |(_, slip)| slip.is_some_and(|slip| slip > most))
            .map(|(&node, _)| node)
    }

    /// By cell: whether it can be reached from neutral through safe cells side by side. Where
    /// the grid does not hold neutral, the walk starts from the cell nearest to it.
    pub fn reachable(&self, tolerance: &Tolerance) -> Vec<bool> {
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

    /// Where the strain crosses 1 ([`Cell::strain`]), as lines of (across, up) in the dials' units,
    /// the safe side on their left; closed (the last point is the first) unless the grid cuts
    /// them.
    pub fn boundary(&self, tolerance: &Tolerance) -> Vec<Vec<(f64, f64)>> {
        let strains: Vec<_> = self.strains(tolerance).collect();
        contour(self.across.count, &strains, 1.0)
            .iter()
            .map(|line| line.iter().map(|crossing| self.place(crossing)).collect())
            .collect()
    }

    /// The safe region as closed outlines of (across, up), the grid's rim included where it cuts
    /// the region; holes run the other way round. First what neutral leads to, then what only a
    /// jump could reach.
    pub fn region(&self, tolerance: &Tolerance) -> [Vec<Vec<(f64, f64)>>; 2] {
        let reachable = self.reachable(tolerance);
        [true, false].map(|wanted| {
            self.outlines(1.0, |at| {
                let strain = self.cells[at].strain(tolerance);
                // The other region's cells are as good as unsafe here.
                if strain <= 1.0 && reachable[at] != wanted {
                    f64::INFINITY
                } else {
                    strain
                }
            })
        })
    }

    fn strains(&self, tolerance: &Tolerance) -> impl Iterator<Item = f64> {
        self.cells.iter().map(|cell| cell.strain(tolerance))
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

    /// For each value of `up`: how far `across` goes either way from neutral within the
    /// tolerance, interpolated between cells. None where it is not so at neutral.
    pub fn reach(&self, tolerance: &Tolerance) -> Vec<Option<(f64, f64)>> {
        let width = self.across.count;
        let home = self.home % width;
        let row = |row: &[Cell]| {
            let strain = |at: usize| row[at].strain(tolerance);
            if strain(home) > 1.0 {
                return None;
            }
            let end = |inside: usize, outside: Option<usize>| match outside {
                None => self.across.value(inside),
                Some(outside) => {
                    let t = (1.0 - strain(inside)) / (strain(outside) - strain(inside));
                    self.across.between(inside, outside, t)
                }
            };
            let low = (0..home).rev().find(|&at| strain(at) > 1.0);
            let high = (home + 1..width).find(|&at| strain(at) > 1.0);
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
    pub fn verdict(&self, rig: &Rig, tolerance: &Tolerance) -> Result<(), String> {
        let safe = (0..self.cells.len()).any(|cell| self.safe(cell, tolerance));
        if safe && self.safe(self.home, tolerance) {
            return Ok(());
        }
        let home = &self.cells[self.home];
        let name = |node| {
            let node: Option<&rig::Node> = rig.node(node);
            node.map_or("what is planted", |node| node.name.as_str())
        };
        let slips = |node| format!("the {} slips {:.2} mm", name(node), home.slip);
        let why = match home.ends(tolerance) {
            Some(Ends::Slips(node)) => slips(node),
            Some(Ends::Sinks(node, kind)) => {
                let by = home.sunk(kind).by;
                format!("the {} is {by:.2} mm deep", name(node))
            }
            Some(Ends::Limit(limit)) => limit.told(rig),
            None => home.slipping.map_or_else(String::new, slips),
        };
        let held = self.plants.iter().enumerate();
        let held = held.filter(|(at, _)| home.down.has(*at)).count();
        let all_lost = held > 0 && self.lost(self.home, tolerance).count() == held;
        Err(if safe {
            format!(
                "the safe region does not hold neutral, where {why}; nothing leads there from the planted pose"
            )
        } else if all_lost {
            let who = home.slipping.map_or("what is planted", name);
            format!(
                "there is no safe region: even at neutral nothing that is planted reaches its place (the {who} misses by {:.2} mm); plant the hand nearer",
                home.slip
            )
        } else {
            let Tolerance { slip, pad, palm } = tolerance;
            format!(
                "there is no safe region: no pose on this grid stays within {slip} mm of slip, {pad} mm of depth of the digits and {palm} mm of the palm; at neutral {why}; allow more, or sweep nearer to neutral"
            )
        })
    }
}
