//! Skin: rings of points round an axis.
use rig::Vec3;
use std::ops::Range;

/// A grid of skin, ring after ring along an axis, each with the same number of points round it.
pub(super) struct Skin {
    pub sides: usize,
    /// World mm.
    pub at: Vec<Vec3>,
    /// Unit, outward.
    pub normal: Vec<Vec3>,
    /// The normal that tones go by: where one skin grows out of another, the other's. Empty in
    /// flesh that is made without tones.
    pub lit: Vec<Vec3>,
    /// How strongly a contour is inked here, 0 to 1.
    pub ink: Vec<f64>,
    /// The first ring of the hand's own: before it is the arm; of the finger's, before it is its knuckle.
    pub hand: usize,
    /// The first ring that shades a surface it is near.
    pub touches: usize,
    /// How firmly it is held to what it is planted on, 0 to 1.
    pub holds: f64,
    /// How firmly it bears on a surface, as drawn, 0 to 1.
    pub bears: f64,
}

impl Skin {
    /// A skin to be, with room for so many rings.
    pub fn with_room(sides: usize, rings: usize, toned: bool) -> Self {
        let points = sides * rings;
        Self {
            sides,
            at: Vec::with_capacity(points),
            normal: Vec::with_capacity(points),
            lit: Vec::with_capacity(if toned { points } else { 0 }),
            ink: Vec::with_capacity(points),
            hand: 0,
            touches: 0,
            holds: 0.0,
            bears: 0.0,
        }
    }

    pub fn rings(&self) -> usize {
        self.at.len() / self.sides.max(1)
    }

    /// Mixes the normals for tones with those beside them, so that tones do not show the grid.
    pub fn calm(&mut self, times: usize) {
        let (sides, rings) = (self.sides, self.lit.len() / self.sides.max(1));
        let mut from = self.lit.clone();
        for _ in 0..times {
            std::mem::swap(&mut from, &mut self.lit);
            for (i, mixed) in self.lit.chunks_exact_mut(sides).enumerate() {
                let ring = |i: usize| &from[i * sides..(i + 1) * sides];
                let (before, own, after) = (
                    ring(i.saturating_sub(1)),
                    ring(i),
                    ring((i + 1).min(rings - 1)),
                );
                let mut left = own[sides - 1];
                for (j, mixed) in mixed.iter_mut().enumerate() {
                    let right = own[if j + 1 == sides { 0 } else { j + 1 }];
                    let sum = own[j] * 2.0 + (before[j] + after[j]) + left + right;
                    *mixed = sum.try_normalize(1e-9).unwrap_or(own[j]);
                    left = own[j];
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

    /// The normal for tones of the grid's point that is nearest to a place, of those of some rings
    /// that are not far round from a side and look about the same way; without any, the own normal.
    pub fn lit_near(&self, at: &Vec3, own: &Vec3, rings: Range<usize>, side: usize) -> Vec3 {
        const ROUND: usize = 4;
        let mut near = (f64::INFINITY, *own);
        for ring in rings {
            for j in 0..2 * ROUND + 1 {
                let i = ring * self.sides + (side + self.sides + j - ROUND) % self.sides;
                let far = (self.at[i] - at).norm_squared();
                if far < near.0 && self.lit[i].dot(own) > 0.5 {
                    near = (far, self.lit[i]);
                }
            }
        }
        near.1
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
