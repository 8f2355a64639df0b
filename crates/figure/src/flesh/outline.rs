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

/// A bit for each point of a ring. No hand's has as many: a palm of twelve digits has 78.
type Bits = u128;

/// The numbers of the bits that are set, lowest first.
fn each(mut bits: Bits) -> impl Iterator<Item = u32> {
    std::iter::from_fn(move || {
        let lowest = (bits != 0).then(|| bits.trailing_zeros());
        bits &= bits.wrapping_sub(1);
        lowest
    })
}

/// Finds outlines. What it needs for one it keeps for the next.
#[derive(Default)]
pub(super) struct Tracer {
    /// By row: the points inside. The first row and the last are outside.
    rows: Vec<Bits>,
    /// The same by point.
    inside: Vec<bool>,
    /// By edge: the last round in which an outline crossed it.
    crossed: Vec<u32>,
    round: u32,
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
        self.inside.clear();
        self.inside.resize((rows + 2) * sides, false);
        self.rows.clear();
        self.rows.push(0);
        for (row, inside) in self.inside.chunks_exact_mut(sides).enumerate() {
            if (1..=rows).contains(&row) {
                let ring = first + (row - 1) * sides;
                let bits = inside.iter_mut().enumerate().rev();
                self.rows.push(bits.fold(0, |bits, (side, inside)| {
                    *inside = value(ring + side) > 0.0;
                    (bits << 1) | Bits::from(*inside)
                }));
            }
        }
        self.rows.push(0);
        if self.rows.iter().all(|bits| *bits == 0) {
            return;
        }
        let edges = 2 * self.inside.len();
        if self.crossed.len() < edges {
            self.crossed.resize(edges, 0);
        }
        self.round += 1;
        let grid = Grid {
            sides: sides as u32,
            points: self.inside.len() as u32,
            first: first as u32,
            value: &value,
        };
        let last: Bits = 1 << (sides - 1);
        let turned = |bits: Bits| (bits >> 1) | if bits & 1 == 0 { 0 } else { last };
        // An outline crosses where one end of an edge is inside and the other is not.
        for row in 1..=rows {
            for side in each(self.rows[row] ^ turned(self.rows[row])) {
                self.follow(&grid, grid.sides * row as u32 + side, found);
            }
        }
        for row in 0..=rows {
            for side in each(self.rows[row] ^ self.rows[row + 1]) {
                let from = grid.sides * row as u32 + side;
                self.follow(&grid, grid.points + from, found);
            }
        }
    }

    /// Goes once round the outline that crosses an edge, unless that was done.
    fn follow(&mut self, grid: &Grid, mut edge: u32, found: &mut Outlines) {
        let begin = found.crossings.len();
        while self.crossed[edge as usize] != self.round {
            self.crossed[edge as usize] = self.round;
            found.crossings.push(grid.crossing(edge));
            edge = self.next(grid, edge);
        }
        let end = found.crossings.len();
        if end - begin > 2 {
            found.ends.push(end);
        } else {
            found.crossings.truncate(begin);
        }
    }

    /// The edge by which the outline that leaves a cell by this one came in.
    fn next(&self, grid: &Grid, edge: u32) -> u32 {
        let (points, sides) = (grid.points, grid.sides);
        let inside = |point: u32| self.inside[point as usize];
        // The first corner of the cell, and which of its edges this is, round it: along its row,
        // on from its right, along the next row, on from itself.
        let (corner, leave) = if edge < points {
            if inside(edge) {
                (edge, 0)
            } else {
                (edge - sides, 2)
            }
        } else if inside(edge - points) {
            (grid.left(edge - points), 1)
        } else {
            (edge - points, 3)
        };
        let right = grid.right(corner);
        let corners = [corner, right, right + sides, corner + sides];
        let [a, b, c, d] = corners.map(inside);
        let enter = if a == c && b == d {
            // A saddle: the outline goes round the corner that it leaves, or on to the other.
            let sum: f64 = corners.iter().map(|&corner| grid.value(corner)).sum();
            (leave + if sum > 0.0 { 1 } else { 3 }) % 4
        } else if !a && b {
            0
        } else if !b && c {
            1
        } else if !c && d {
            2
        } else {
            3
        };
        match enter {
            0 => corner,
            1 => points + right,
            2 => corner + sides,
            _ => points + corner,
        }
    }
}

/// Rings of a skin between two rows of outside. Edges have numbers: from a point along its row,
/// then from a point to the next row.
struct Grid<'a> {
    sides: u32,
    /// How many points it has, with those of the rows of outside.
    points: u32,
    /// The first point of the rings in the skin.
    first: u32,
    value: &'a dyn Fn(usize) -> f64,
}

impl Grid<'_> {
    /// The next point of a row.
    fn right(&self, point: u32) -> u32 {
        let next = point + 1;
        if next.is_multiple_of(self.sides) {
            next - self.sides
        } else {
            next
        }
    }

    /// The point before in a row.
    fn left(&self, point: u32) -> u32 {
        if point.is_multiple_of(self.sides) {
            point + self.sides - 1
        } else {
            point - 1
        }
    }

    /// A point's number in the skin. The rows of outside have none.
    fn point(&self, i: u32) -> u32 {
        self.first + i - self.sides
    }

    fn value(&self, i: u32) -> f64 {
        if i < self.sides || i >= self.points - self.sides {
            -1.0
        } else {
            (self.value)(self.point(i) as usize)
        }
    }

    fn crossing(&self, edge: u32) -> Crossing {
        let (from, to) = if edge < self.points {
            (edge, self.right(edge))
        } else {
            (edge - self.points, edge - self.points + self.sides)
        };
        // The row of outside that it touches gives way to the ring beside it.
        let ring = if from < self.sides {
            Some(to)
        } else if to >= self.points - self.sides {
            Some(from)
        } else {
            None
        };
        if let Some(ring) = ring.map(|ring| self.point(ring)) {
            return Crossing {
                from: ring,
                to: ring,
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
