//! Skin: rings of points round an axis, and the outlines of what meets a condition on it.
use rig::Vec3;
use std::ops::Range;

/// A grid of skin, ring after ring along an axis, each with the same number of points round it.
#[derive(Default)]
pub(super) struct Skin {
    pub sides: usize,
    /// World mm.
    pub at: Vec<Vec3>,
    /// Unit, outward.
    pub normal: Vec<Vec3>,
    /// The normal that tones go by: where one skin grows out of another, the other's.
    pub lit: Vec<Vec3>,
    /// How strongly a contour is inked here, 0 to 1.
    pub ink: Vec<f64>,
    /// The first ring that shades a surface it is near.
    pub touches: usize,
}

impl Skin {
    pub fn rings(&self) -> usize {
        self.at.len() / self.sides.max(1)
    }

    /// Mixes the normals for tones with those beside them, so that tones do not show the grid.
    pub fn calm(&mut self, times: usize) {
        let (sides, rings) = (self.sides, self.rings());
        for _ in 0..times {
            let from = self.lit.clone();
            for i in 0..rings {
                let rows = [i.saturating_sub(1), (i + 1).min(rings - 1)].map(|i| i * sides);
                for j in 0..sides {
                    let own = i * sides + j;
                    let left = i * sides + (j + sides - 1) % sides;
                    let right = i * sides + (j + 1) % sides;
                    let ends = from[rows[0] + j] + from[rows[1] + j];
                    let sum = from[own] * 2.0 + ends + from[left] + from[right];
                    self.lit[own] = sum.try_normalize(1e-9).unwrap_or(from[own]);
                }
            }
        }
    }

    /// A point of the skin between its grid's, and its normal: `ring` and `side` count from 0,
    /// sides go round.
    pub fn between(&self, ring: f64, side: f64) -> (Vec3, Vec3) {
        let place = self.place(ring, side);
        (place.of(&self.at), place.of(&self.normal))
    }

    /// The same place's normal for tones.
    pub fn lit(&self, ring: f64, side: f64) -> Vec3 {
        self.place(ring, side).of(&self.lit)
    }

    fn place(&self, ring: f64, side: f64) -> Place {
        let last = self.rings().saturating_sub(1);
        let ring = ring.clamp(0.0, last as f64);
        let (i, j) = (ring.floor(), side.floor());
        let rows = [i as usize, (i as usize + 1).min(last)].map(|i| i * self.sides);
        let columns = [j, j + 1.0].map(|j| (j as isize).rem_euclid(self.sides as isize) as usize);
        Place {
            corners: [
                rows[0] + columns[0],
                rows[0] + columns[1],
                rows[1] + columns[0],
                rows[1] + columns[1],
            ],
            parts: (ring - i, side - j),
        }
    }
}

/// A place within a cell of the grid.
struct Place {
    corners: [usize; 4],
    parts: (f64, f64),
}

impl Place {
    fn of(&self, values: &[Vec3]) -> Vec3 {
        let ([a, b, c, d], (u, v)) = (self.corners.map(|i| values[i]), self.parts);
        (a * (1.0 - v) + b * v) * (1.0 - u) + (c * (1.0 - v) + d * v) * u
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
