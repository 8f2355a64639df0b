//! The line that a row of knuckles turns about.
use recipe::Impossible;
use rig::Vec3;

/// Eigenvalues of a row's scatter nearer to each other than this part tell no direction.
const ROUND: f64 = 1e-6;

/// The line through a row of knuckles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// Centre of the row, mm.
    pub through: Vec3,
    /// Turn about y, radians, that brings z along the row; within ±π/2.
    pub yaw: f64,
}

impl Axis {
    /// Unit direction along it.
    pub fn along(&self) -> Vec3 {
        let (sine, cosine) = libm::sincos(self.yaw);
        Vec3::new(sine, 0.0, cosine)
    }

    /// Fitted to a row of knuckles, all of the same weight; through a lone one, straight across.
    ///
    /// # Errors
    /// When there is none, or they lie in no row.
    pub fn of_row(row: &[Vec3]) -> Result<Self, Impossible> {
        if let [alone] = row {
            return Ok(Self {
                through: *alone,
                yaw: 0.0,
            });
        }
        let points: Vec<_> = row.iter().map(|&at| (at, 1.0)).collect();
        Self::fit(&points)
    }

    /// Fits a line parallel to the plane of x and z to points with weights, by total least
    /// squares: its direction is the eigenvector of the greater eigenvalue of the points' 2×2
    /// scatter (Pearson 1901, On lines and planes of closest fit), which half an
    /// arctangent gives.
    ///
    /// # Errors
    /// When fewer than two points weigh anything, or they lie round and point nowhere.
    pub fn fit(points: &[(Vec3, f64)]) -> Result<Self, Impossible> {
        let heavy = points.iter().filter(|(_, weight)| *weight > 0.0);
        if heavy.clone().count() < 2 {
            return Err(Impossible::LoneKnuckle);
        }
        let whole: f64 = heavy.clone().map(|(_, weight)| weight).sum();
        let through = heavy
            .clone()
            .map(|(point, weight)| point * *weight)
            .sum::<Vec3>()
            / whole;
        let (mut xx, mut xz, mut zz) = (0.0, 0.0, 0.0);
        for (point, weight) in heavy {
            let off = point - through;
            xx += weight * off.x * off.x;
            xz += weight * off.x * off.z;
            zz += weight * off.z * off.z;
        }
        let apart = libm::hypot(2.0 * xz, zz - xx);
        if apart.is_nan() || apart <= ROUND * (xx + zz) {
            return Err(Impossible::NoRow);
        }
        Ok(Self {
            through,
            yaw: 0.5 * libm::atan2(2.0 * xz, zz - xx),
        })
    }
}
