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
    pub from: usize,
    pub to: usize,
    pub part: f64,
    /// Whether it is on the first or last ring only because the grid ends there.
    pub rim: bool,
}

impl Crossing {
    pub fn of<T>(&self, values: &[T]) -> T
    where
        T: Copy + std::ops::Add<Output = T> + std::ops::Mul<f64, Output = T>,
    {
        values[self.from] * (1.0 - self.part) + values[self.to] * self.part
    }
}

const NONE: u32 = u32::MAX;

/// Closed outlines of where `value` is positive on these rings, by marching squares on the grid
/// (Lorensen & Cline 1987 in two dimensions), inside to the left in the grid.
pub(super) fn outlines(
    rings: Range<usize>,
    sides: usize,
    value: impl Fn(usize) -> f64,
) -> Vec<Vec<Crossing>> {
    let (rows, first) = (rings.len(), rings.start * sides);
    if rows == 0 || sides < 3 {
        return Vec::new();
    }
    // A row of outside before the first and after the last.
    let mut values = vec![-1.0; (rows + 2) * sides];
    for (i, slot) in values[sides..(rows + 1) * sides].iter_mut().enumerate() {
        *slot = value(first + i);
    }
    let inside: Vec<bool> = values.iter().map(|v| *v > 0.0).collect();
    let count = |row: usize| {
        let row = &inside[row * sides..(row + 1) * sides];
        row.iter().map(|i| usize::from(*i)).sum::<usize>()
    };
    let counts: Vec<usize> = (0..rows + 2).map(count).collect();
    if counts.iter().all(|c| *c == 0) {
        return Vec::new();
    }
    // Edges by number: along rings, then from ring to ring. Each leads to where its outline
    // goes on.
    let grid = (rows + 2) * sides;
    let mut next = vec![NONE; 2 * grid];
    for row in 0..=rows {
        let (both, low, high) = (
            counts[row] + counts[row + 1],
            row * sides,
            (row + 1) * sides,
        );
        if both == 0 || both == 2 * sides {
            continue;
        }
        let (below, above) = (&inside[low..high], &inside[high..high + sides]);
        for side in 0..sides {
            let right = if side + 1 == sides { 0 } else { side + 1 };
            let inside = [below[side], below[right], above[right], above[side]];
            if inside[0] == inside[1] && inside[1] == inside[2] && inside[2] == inside[3] {
                continue;
            }
            let corners = [low + side, low + right, high + right, high + side];
            let edges = [
                low + side,
                grid + low + right,
                high + side,
                grid + low + side,
            ];
            let joined = corners.iter().map(|&c| values[c]).sum::<f64>() > 0.0;
            for k in (0..4).filter(|&k| inside[k] && !inside[(k + 1) % 4]) {
                // The outline leads back in where this run of inside corners began, or, when the
                // two runs of a saddle join, where the next one does.
                let begins = |k: &usize| !inside[*k] && inside[(*k + 1) % 4];
                let entry = if joined {
                    (1..4).map(|d| (k + d) % 4).find(begins)
                } else {
                    (1..4).map(|d| (k + 4 - d) % 4).find(begins)
                };
                if let Some(entry) = entry {
                    next[edges[k]] = edges[entry] as u32;
                }
            }
        }
    }
    // Back to numbers of points, without the rows of outside.
    let point = |i: usize| first + i.clamp(sides, grid - sides - 1) - sides;
    let crossing = |edge: usize| {
        let (from, to, rim) = if edge < grid {
            let begin = edge - edge % sides;
            (edge, begin + (edge + 1 - begin) % sides, false)
        } else {
            let (from, row) = (edge - grid, (edge - grid) / sides);
            (from, from + sides, row == 0 || row == rows)
        };
        if rim {
            let side = from % sides;
            let at = if from < sides {
                sides + side
            } else {
                rows * sides + side
            };
            return Crossing {
                from: point(at),
                to: point(at),
                part: 0.0,
                rim,
            };
        }
        let (a, b) = (values[from], values[to]);
        Crossing {
            from: point(from),
            to: point(to),
            part: a / (a - b),
            rim,
        }
    };
    let mut loops = Vec::new();
    for start in 0..next.len() {
        let mut edge = start;
        let mut outline = Vec::new();
        while next[edge] != NONE {
            outline.push(crossing(edge));
            let on = next[edge] as usize;
            next[edge] = NONE;
            edge = on;
        }
        if outline.len() > 2 {
            loops.push(outline);
        }
    }
    loops
}

/// Closed outlines as one path.
pub(super) fn closed(outlines: &[Vec<Crossing>], at: &[Px]) -> Vec<Seg> {
    let mut segs = Vec::new();
    for outline in outlines {
        for (k, crossing) in outline.iter().enumerate() {
            let Px(x, y) = crossing.of(at);
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
