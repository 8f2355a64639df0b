//! From world mm to view pixels and back.
use rig::Vec3;

/// Where one looks from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sight {
    /// From +z: x to the right, y up.
    Side,
    /// From +x, looking at the fingertips: −z to the right, y up.
    Front,
    /// From above: x to the right, −z up.
    Top,
    /// Free: turned about world y by `yaw`, then tipped by `pitch` (radians); 0, 0 is the side view,
    /// a positive pitch looks down on the bench.
    #[allow(missing_docs)]
    Oblique { yaw: f64, pitch: f64 },
}

/// An orthographic view.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Direction.
    pub sight: Sight,
    /// World point at the middle of the picture.
    pub centre: Vec3,
    /// Pixels per mm.
    pub scale: f64,
    /// Picture size, px.
    pub size: (f64, f64),
}

/// A picture never shows less than this, so that a single joint is not blown up to fill it (mm).
const LEAST_EXTENT: f64 = 20.0;

impl View {
    /// Unit vectors right, up and towards the viewer, in the world.
    pub fn axes(&self) -> [Vec3; 3] {
        match self.sight {
            Sight::Side => [Vec3::x(), Vec3::y(), Vec3::z()],
            Sight::Front => [-Vec3::z(), Vec3::y(), Vec3::x()],
            Sight::Top => [Vec3::x(), -Vec3::z(), Vec3::y()],
            Sight::Oblique { yaw, pitch } => {
                // The rows of Rx(pitch) · Ry(yaw), which turns the world in front of a fixed eye.
                let (sy, cy) = libm::sincos(yaw);
                let (sp, cp) = libm::sincos(pitch);
                [
                    Vec3::new(cy, 0.0, sy),
                    Vec3::new(sp * sy, cp, -sp * cy),
                    Vec3::new(-cp * sy, sp, cp * cy),
                ]
            }
        }
    }

    /// World to pixels, and depth towards the viewer in mm.
    pub fn project(&self, p: &Vec3) -> (f64, f64, f64) {
        let [right, up, towards] = self.axes();
        let d = p - self.centre;
        (
            self.size.0 / 2.0 + right.dot(&d) * self.scale,
            self.size.1 / 2.0 - up.dot(&d) * self.scale,
            towards.dot(&d),
        )
    }

    /// The world point under a pixel, in the view plane through `through`.
    pub fn unproject(&self, x: f64, y: f64, through: &Vec3) -> Vec3 {
        let [right, up, towards] = self.axes();
        self.centre
            + right * ((x - self.size.0 / 2.0) / self.scale)
            + up * ((self.size.1 / 2.0 - y) / self.scale)
            + towards * towards.dot(&(through - self.centre))
    }

    /// A view of this direction and size that shows all points with a margin (px).
    ///
    /// Without points it shows the world's origin. A margin too great for the picture is cut down
    /// to a quarter of its lesser side.
    pub fn fit(sight: Sight, size: (f64, f64), points: &[Vec3], margin: f64) -> View {
        let mut view = View {
            sight,
            centre: Vec3::zeros(),
            scale: 1.0,
            size,
        };
        let axes = view.axes();
        let mut low = [f64::INFINITY; 3];
        let mut high = [f64::NEG_INFINITY; 3];
        for p in points.iter().filter(|p| p.iter().all(|c| c.is_finite())) {
            for (i, axis) in axes.iter().enumerate() {
                low[i] = low[i].min(axis.dot(p));
                high[i] = high[i].max(axis.dot(p));
            }
        }
        if low[0] > high[0] {
            (low, high) = ([0.0; 3], [0.0; 3]);
        }
        let margin = margin.min(size.0.min(size.1) / 4.0).max(0.0);
        let room = |side: f64, i: usize| {
            (side - 2.0 * margin).max(1.0) / (high[i] - low[i]).max(LEAST_EXTENT)
        };
        view.scale = room(size.0, 0).min(room(size.1, 1));
        view.centre = (0..3).map(|i| axes[i] * ((low[i] + high[i]) / 2.0)).sum();
        view
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    const SIGHTS: [Sight; 5] = [
        Sight::Side,
        Sight::Front,
        Sight::Top,
        Sight::Oblique {
            yaw: 0.6,
            pitch: 0.4,
        },
        Sight::Oblique {
            yaw: -2.5,
            pitch: -0.9,
        },
    ];

    fn points() -> Vec<Vec3> {
        (0..200)
            .map(|i| {
                Vec3::new(
                    (i * 37 % 101) as f64 - 50.0,
                    (i * 53 % 97) as f64,
                    (i * 71 % 89) as f64 * 1.7,
                )
            })
            .collect()
    }

    #[test]
    fn projecting_and_back_gives_the_point() {
        for sight in SIGHTS {
            let view = View {
                sight,
                centre: Vec3::new(3.0, -8.0, 20.0),
                scale: 2.7,
                size: (900.0, 640.0),
            };
            for p in points() {
                let (x, y, _) = view.project(&p);
                assert!(
                    (view.unproject(x, y, &p) - p).norm() < 1e-9,
                    "{sight:?} {p:?}"
                );
                let q = view.unproject(123.0, 456.0, &p);
                let (x, y, depth) = view.project(&q);
                assert!(
                    (x - 123.0).abs() < 1e-9
                        && (y - 456.0).abs() < 1e-9
                        && (depth - view.project(&p).2).abs() < 1e-9
                );
            }
        }
    }

    #[test]
    fn axes_are_a_right_handed_frame_and_named_views_are_cases_of_the_free_one() {
        let of = |sight| {
            View {
                sight,
                centre: Vec3::zeros(),
                scale: 1.0,
                size: (1.0, 1.0),
            }
            .axes()
        };
        for sight in SIGHTS {
            let [r, u, t] = of(sight);
            assert!((r.cross(&u) - t).norm() < 1e-15 && (u.norm() - 1.0).abs() < 1e-15);
        }
        for (named, yaw, pitch) in [
            (Sight::Side, 0.0, 0.0),
            (Sight::Front, -FRAC_PI_2, 0.0),
            (Sight::Top, 0.0, FRAC_PI_2),
        ] {
            for (a, b) in of(named).iter().zip(of(Sight::Oblique { yaw, pitch })) {
                assert!((a - b).norm() < 1e-15, "{named:?}");
            }
        }
    }

    #[test]
    fn fit_shows_all_points_and_touches_the_margin() {
        for sight in SIGHTS {
            let view = View::fit(sight, (800.0, 500.0), &points(), 40.0);
            let (mut tightest, mut inside) = (f64::INFINITY, true);
            for p in points() {
                let (x, y, _) = view.project(&p);
                let gap = x.min(800.0 - x).min(y).min(500.0 - y);
                inside &= gap > 40.0 - 1e-9;
                tightest = tightest.min(gap);
            }
            assert!(inside && tightest < 40.0 + 1e-6, "{sight:?}: {tightest}");
        }
    }

    #[test]
    fn fit_of_nothing_or_of_one_point_is_finite() {
        for points in [
            vec![],
            vec![Vec3::new(5.0, 5.0, 5.0)],
            vec![Vec3::new(f64::NAN, 0.0, 0.0)],
        ] {
            let view = View::fit(Sight::Side, (10.0, 10.0), &points, 40.0);
            assert!(view.scale.is_finite() && view.scale > 0.0 && view.centre.norm().is_finite());
        }
    }
}
