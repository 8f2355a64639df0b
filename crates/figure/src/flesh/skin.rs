//! Skin: rings of points round an axis.
use rig::Vec3;

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
