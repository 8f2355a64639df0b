//! The outlines of what meets a condition on a skin, in its grid and in the picture.
use crate::Seg;
use std::ops::{Add, Mul, Range};

/// A place in the picture that can be mixed.
#[derive(Clone, Copy)]
pub(super) struct Px(pub f64, pub f64);

impl Add for Px {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self(self.0 + o.0, self.1 + o.1)
    }
}
impl Mul<f64> for Px {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self(self.0 * k, self.1 * k)
    }
}

/// Where an outline crosses the grid: so far from one point towards another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Crossing {
    pub from: u32,
    pub to: u32,
    pub part: f64,
    /// Whether it is on the first or last ring only because the grid ends there.
    pub rim: bool,
}

impl Crossing {
    pub fn of<T>(&self, values: &[T]) -> T
    where
        T: Copy + Add<Output = T> + Mul<f64, Output = T>,
    {
        self.mixed(|point| values[point])
    }

    /// The same of what is known of each point when it is asked.
    pub fn mixed<T>(&self, value: impl Fn(usize) -> T) -> T
    where
        T: Add<Output = T> + Mul<f64, Output = T>,
    {
        value(self.from as usize) * (1.0 - self.part) + value(self.to as usize) * self.part
    }
}

/// Closed outlines, one after the other in one list, which is used again.
#[derive(Default)]
pub(super) struct Outlines {
    crossings: Vec<Crossing>,
    /// Where in it each ends.
    ends: Vec<usize>,
}

impl Outlines {
    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    pub fn iter(&self) -> impl Iterator<Item = &[Crossing]> {
        let begins = std::iter::once(&0).chain(&self.ends);
        begins
            .zip(&self.ends)
            .map(|(&begin, &end)| &self.crossings[begin..end])
    }

    /// Leaves out those of which this says no.
    pub fn retain(&mut self, keep: impl Fn(&[Crossing]) -> bool) {
        let (mut begin, mut kept) = (0, 0);
        let crossings = &mut self.crossings;
        self.ends.retain_mut(|end| {
            let own = begin..*end;
            begin = *end;
            let keep = keep(&crossings[own.clone()]);
            if keep {
                *end = kept + own.len();
                crossings.copy_within(own, kept);
                kept = *end;
            }
            keep
        });
        crossings.truncate(kept);
    }

    /// As one path.
    pub fn path(&self, at: impl Fn(usize) -> Px) -> Vec<Seg> {
        let mut segs = Vec::with_capacity(self.crossings.len() + self.ends.len());
        for outline in self.iter() {
            for (k, crossing) in outline.iter().enumerate() {
                let Px(x, y) = crossing.mixed(&at);
                segs.push(if k == 0 {
                    Seg::Move(x, y)
                } else {
                    Seg::Line(x, y)
                });
            }
            segs.push(Seg::Close);
        }
        segs
    }
}

const NONE: u32 = u32::MAX;

/// A bit for each point of a ring. No hand's has as many: a palm of twelve digits has 78.
type Bits = u128;

/// The bits that are set, lowest first: each with its number.
fn each(mut bits: Bits) -> impl Iterator<Item = (u32, Bits)> {
    std::iter::from_fn(move || {
        let lowest = bits & bits.wrapping_neg();
        bits ^= lowest;
        (lowest != 0).then(|| (lowest.trailing_zeros(), lowest))
    })
}

/// Finds outlines. What it needs for one it keeps for the next.
#[derive(Default)]
pub(super) struct Tracer {
    /// By row: the points inside.
    inside: Vec<Bits>,
    /// By row: the edges along it, and on from it, that an outline crosses.
    crossed: [Vec<Bits>; 2],
    /// By edge, those along rows first: at which edge the outline that crosses it goes on.
    next: Vec<u32>,
}

impl Tracer {
    /// Closed outlines of where `value` is positive on these rings, by marching squares on the grid
    /// (Lorensen & Cline 1987 in two dimensions), inside to the left in the grid. `found` is
    /// emptied first.
    pub fn trace(
        &mut self,
        rings: Range<usize>,
        sides: usize,
        value: impl Fn(usize) -> f64,
        found: &mut Outlines,
    ) {
        found.crossings.clear();
        found.ends.clear();
        let (rows, first) = (rings.len(), rings.start * sides);
        if rows == 0 || !(3..Bits::BITS as usize).contains(&sides) {
            return;
        }
        // A row of outside before the first and after the last.
        self.inside.clear();
        self.inside.push(0);
        let points = first..first + rows * sides;
        for ring in points.step_by(sides) {
            let ring = (ring..ring + sides).rev();
            let bits = ring.fold(0, |bits, i| (bits << 1) | Bits::from(value(i) > 0.0));
            self.inside.push(bits);
        }
        self.inside.push(0);
        if self.inside.iter().any(|bits| *bits != 0) {
            let grid = Grid {
                rows: rows as u32,
                sides: sides as u32,
                first: first as u32,
                value: &value,
            };
            self.join(&grid);
            self.follow(&grid, found);
        }
    }

    /// Finds where each crossing of an edge leads.
    fn join(&mut self, grid: &Grid) {
        let (rows, sides) = (grid.rows, grid.sides);
        for crossed in &mut self.crossed {
            crossed.clear();
            crossed.resize(rows as usize + 2, 0);
        }
        let edges = 2 * grid.points() as usize;
        if self.next.len() < edges {
            self.next.resize(edges, NONE);
        }
        let last: Bits = 1 << (sides - 1);
        let full = last | (last - 1);
        // Bits of the points to the right, round the ring.
        let turned = |bits: Bits| (bits >> 1) | if bits & 1 == 0 { 0 } else { last };
        for row in 0..=rows {
            let [below, above] = [row, row + 1].map(|row| self.inside[row as usize]);
            if below == above && (below == 0 || below == full) {
                continue;
            }
            let (below_right, above_right) = (turned(below), turned(above));
            let any = below | below_right | above_right | above;
            let all = below & below_right & above_right & above;
            let (low, high) = (row * sides, (row + 1) * sides);
            for (side, bit) in each(any & !all) {
                let (right, right_bit) = if bit == last {
                    (0, 1)
                } else {
                    (side + 1, bit << 1)
                };
                let edges = [
                    low + side,
                    grid.points() + low + right,
                    high + side,
                    grid.points() + low + side,
                ];
                // Round the cell, a bit each: the corners inside, and the edges by which an
                // outline leaves and enters.
                let inside = |corner: Bits| usize::from(corner & bit != 0);
                let corners = inside(below)
                    | inside(below_right) << 1
                    | inside(above_right) << 2
                    | inside(above) << 3;
                let ahead = corners >> 1 | (corners & 1) << 3;
                let (leaves, enters) = (corners & !ahead, !corners & ahead);
                let mut lead = |leave: usize, enter: usize| {
                    self.next[edges[leave] as usize] = edges[enter];
                    let (row, bit) = match leave {
                        1 => (row, right_bit),
                        2 => (row + 1, bit),
                        _ => (row, bit),
                    };
                    self.crossed[leave % 2][row as usize] |= bit;
                };
                let leave = leaves.trailing_zeros() as usize;
                if leaves.count_ones() == 1 {
                    lead(leave, enters.trailing_zeros() as usize);
                    continue;
                }
                // A saddle: an outline goes round each of two corners, or between them.
                let sum: f64 = [low + side, low + right, high + right, high + side]
                    .iter()
                    .map(|&corner| grid.value(corner))
                    .sum();
                let turn = if sum > 0.0 { 1 } else { 3 };
                for leave in [leave, leave + 2] {
                    lead(leave, (leave + turn) % 4);
                }
            }
        }
    }

    /// Goes along every outline once, and leaves no trace of it.
    fn follow(&mut self, grid: &Grid, found: &mut Outlines) {
        for (crossed, start) in self.crossed.iter().zip([0, grid.points()]) {
            for (row, bits) in (0..).zip(crossed) {
                for (side, _) in each(*bits) {
                    let begin = found.crossings.len();
                    let mut edge = start + row * grid.sides + side;
                    loop {
                        let next = std::mem::replace(&mut self.next[edge as usize], NONE);
                        if next == NONE {
                            break;
                        }
                        found.crossings.push(grid.crossing(edge));
                        edge = next;
                    }
                    let end = found.crossings.len();
                    if end - begin > 2 {
                        found.ends.push(end);
                    } else {
                        found.crossings.truncate(begin);
                    }
                }
            }
        }
    }
}

/// Rings of a skin between two rows of outside. Edges have numbers: from a point along its row,
/// then from a point to the next row.
struct Grid<'a> {
    rows: u32,
    sides: u32,
    /// The first point of the rings in the skin.
    first: u32,
    value: &'a dyn Fn(usize) -> f64,
}

impl Grid<'_> {
    /// How many it has, with those of the rows of outside.
    fn points(&self) -> u32 {
        (self.rows + 2) * self.sides
    }

    /// A point's number in the skin. The rows of outside have none.
    fn point(&self, i: u32) -> u32 {
        self.first + i - self.sides
    }

    fn value(&self, i: u32) -> f64 {
        if i < self.sides || i >= self.points() - self.sides {
            -1.0
        } else {
            (self.value)(self.point(i) as usize)
        }
    }

    fn crossing(&self, edge: u32) -> Crossing {
        let (points, sides) = (self.points(), self.sides);
        let (from, to) = if edge < points {
            let wraps = (edge + 1).is_multiple_of(sides);
            (edge, if wraps { edge + 1 - sides } else { edge + 1 })
        } else {
            (edge - points, edge - points + sides)
        };
        // The row of outside that it touches gives way to the ring beside it.
        let outside = if from < sides {
            Some(to)
        } else if to >= points - sides {
            Some(from)
        } else {
            None
        };
        if let Some(ring) = outside {
            let (from, to) = (self.point(ring), self.point(ring));
            return Crossing {
                from,
                to,
                part: 0.0,
                rim: true,
            };
        }
        let (a, b) = (self.value(from), self.value(to));
        Crossing {
            from: self.point(from),
            to: self.point(to),
            part: a / (a - b),
            rim: false,
        }
    }
}
