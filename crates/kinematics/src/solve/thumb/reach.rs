//! How far a thumb's flexions bring the pad.
use super::super::boxed::{self, Pace, Unknown, Valley};
use super::super::link;
use super::super::pad::Pad;
use super::super::saddle::Saddle;
use core::cell::Cell;
use core::f64::consts::PI;
use nalgebra::{Matrix2, Vector4};

/// A residual, mm, that is none.
pub(super) const REACHED: f64 = 1e-9;
/// A step, radians, after which one that converges quadratically is at rest.
pub(super) const STILL: f64 = 1e-9;
/// How a descent goes, but for what damping begins with: that goes by the pad's curvature.
pub(super) const DOWNHILL: Pace = Pace {
    tries: 200,
    first: 0.0,
    raise: (10.0, 0.0),
    ease: [0.1; 3],
    longest: f64::INFINITY,
    still: STILL,
    // In a valley's bottom the rest is for settling.
    flat: 1e-13,
};

/// The ranges of the four angles, and what follows from them.
#[derive(Clone, Debug, Default)]
pub(super) struct Reach {
    /// Of the base's outer and inner turn, the middle's and the last's.
    pub(super) limits: [(f64, f64); 4],
    pub(super) rest: [f64; 2],
    /// Flexions at which the pad is farthest from the base and nearest to it, and how far.
    pub(super) ends: [([f64; 2], f64); 2],
}

impl Reach {
    pub(super) fn make(
        &mut self,
        pad: &Pad,
        saddle: &Saddle,
        limits: [(f64, f64); 2],
        rest: [f64; 2],
    ) {
        // Flexion is not taken past half a turn from the rest, or from where the limits come
        // nearest to that.
        let near = |(min, max): (f64, f64), rest: f64| {
            let rest = link::inside(rest, min, max);
            let low = if min < rest - PI { rest - PI } else { min };
            let high = if max > rest + PI { rest + PI } else { max };
            (low, high)
        };
        let [outer, inner] = saddle.limits();
        self.limits = [
            outer,
            inner,
            near(limits[0], rest[0]),
            near(limits[1], rest[1]),
        ];
        self.rest = rest;
        self.ends = [1.0, -1.0].map(|sign| {
            let at = self.extreme(pad, sign);
            (at, distance(pad, at))
        });
    }

    /// The farthest the pad can be from the base, mm.
    pub(super) fn farthest(&self) -> f64 {
        self.ends[0].1
    }

    pub(super) fn inside(&self, which: usize, angle: f64) -> f64 {
        link::inside(angle, self.limits[which].0, self.limits[which].1)
    }

    /// A flexion of the middle (2) or the last joint (3), as a part of its range.
    pub(super) fn part(&self, which: usize, part: f64) -> f64 {
        let (low, high) = self.limits[which];
        low + (high - low) * part
    }

    /// The rest flexions, or the nearest to them that there are.
    pub(super) fn rested(&self) -> [f64; 2] {
        [0, 1].map(|i| self.inside(2 + i, self.rest[i]))
    }

    /// How far the flexions are from the rest, squared.
    pub(super) fn unrest(&self, x: &Vector4<f64>) -> f64 {
        let by = [x[2] - self.rest[0], x[3] - self.rest[1]];
        by[0] * by[0] + by[1] * by[1]
    }

    /// The flexions at which the pad is farthest from the base (`sign` 1) or nearest to it (−1).
    fn extreme(&self, pad: &Pad, sign: f64) -> [f64; 2] {
        let mut best = ([0.0; 2], f64::NEG_INFINITY);
        for row in 0..=16 {
            for column in 0..=16 {
                let q = [
                    self.part(2, f64::from(row) / 16.0),
                    self.part(3, f64::from(column) / 16.0),
                ];
                let value = sign * distance(pad, q);
                if value > best.1 {
                    best = (q, value);
                }
            }
        }
        let mut unknowns = [2, 3].map(|which| Unknown::new(best.0[which - 2], self.limits[which]));
        let mut far = Far {
            pad,
            sign,
            level: measure(pad, best.0),
            curve: Matrix2::zeros(),
        };
        let pace = Pace {
            raise: (4.0, 1e-3 * pad.bend()),
            ease: [0.25; 3],
            ..DOWNHILL
        };
        boxed::descend(&mut far, &mut unknowns, &pace);
        unknowns.map(|unknown| unknown.at)
    }

    /// The flexions within their limits nearest to the rest at which the pad is as far as the
    /// target, if they can be told to be the nearest.
    ///
    /// Newton's method on the Lagrangian ½‖q − rest‖² − λ·(½‖pad‖² − ½ distance²), a bounded
    /// quadratic programme in each step. Where λ times the most that the second derivative can
    /// be is less than 1 the Lagrangian is convex everywhere, and no other place can be nearer.
    pub(super) fn level(&self, pad: &Pad, distance: f64, used: &Cell<u32>) -> Option<[f64; 2]> {
        let wanted = 0.5 * distance * distance;
        let mut q = self.rested();
        let mut lambda = 0.0;
        for _ in 0..12 {
            used.set(used.get() + 1);
            let level = measure(pad, q);
            let [a, b] = level.slope;
            let [mm, ml, ll] = level.curve.map(|curve| -lambda * curve);
            let (mm, ll) = (1.0 + mm, 1.0 + ll);
            let steep = a * a + b * b;
            if !(mm > 0.0 && mm * ll > ml * ml && steep > 0.0) {
                return None;
            }
            let times = |[x, y]: [f64; 2]| [mm * x + ml * y, ml * x + ll * y];
            let off = [q[0] - self.rest[0], q[1] - self.rest[1]];
            // Steps that level: to = start + s · along.
            let start = [a, b].map(|part| part * (wanted - level.value) / steep);
            let along = [-b, a];
            let dot = |u: [f64; 2], v: [f64; 2]| u[0] * v[0] + u[1] * v[1];
            let pull = |step: [f64; 2]| {
                let by = times(step);
                [by[0] + off[0], by[1] + off[1]]
            };
            let best = -dot(along, pull(start)) / dot(along, times(along));
            let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
            let mut stops = [None; 2];
            for i in 0..2 {
                let (min, max) = self.limits[2 + i];
                narrow(
                    (min - q[i] - start[i], max - q[i] - start[i]),
                    along[i],
                    (&mut low, &mut high),
                    |end| stops[end] = Some(i),
                )?;
            }
            if low > high {
                return None;
            }
            let s = link::inside(best, low, high);
            let step = [start[0] + s * along[0], start[1] + s * along[1]];
            let left = pull(step);
            let stopped = if best < low {
                stops[0]
            } else if best > high {
                stops[1]
            } else {
                None
            };
            lambda = match stopped {
                None => dot([a, b], left) / steep,
                Some(0) => left[1] / b,
                Some(_) => left[0] / a,
            };
            let before = q;
            for i in 0..2 {
                q[i] = self.inside(2 + i, q[i] + step[i]);
            }
            let moved = dot(step, step);
            if moved <= STILL * STILL {
                let sure = libm::fabs(lambda) * pad.bend() <= 1.0;
                return sure.then_some(q);
            }
            if q == before {
                return None;
            }
        }
        None
    }
}

/// Less half the squared distance of the pad from the base (`sign` 1), or that (−1).
struct Far<'a> {
    pad: &'a Pad,
    sign: f64,
    level: Level,
    curve: Matrix2<f64>,
}

impl Valley for Far<'_> {
    fn cost(&mut self, unknowns: &[Unknown]) -> f64 {
        self.level = measure(self.pad, [unknowns[0].to(), unknowns[1].to()]);
        -self.sign * self.level.value
    }

    fn derive(&mut self, unknowns: &mut [Unknown]) -> Option<f64> {
        for (unknown, slope) in unknowns.iter_mut().zip(self.level.slope) {
            unknown.slope = -self.sign * slope;
        }
        let [mm, ml, ll] = self.level.curve.map(|curve| -self.sign * curve);
        self.curve = Matrix2::new(mm, ml, ml, ll);
        Some(-self.sign * self.level.value)
    }

    fn model(&mut self, unknowns: &mut [Unknown], damping: f64) -> bool {
        boxed::newton(&self.curve, unknowns, damping)
    }

    fn fall(&self, unknowns: &[Unknown]) -> f64 {
        boxed::foretold(&self.curve, unknowns)
    }
}

fn distance(pad: &Pad, [middle, last]: [f64; 2]) -> f64 {
    pad.place(libm::sincos(middle), libm::sincos(last))
        .at
        .norm()
}

/// Half the squared distance of the pad, with slopes and curves.
fn measure(pad: &Pad, [middle, last]: [f64; 2]) -> Level {
    let (middle, last) = (libm::sincos(middle), libm::sincos(last));
    let place = pad.place(middle, last);
    let [mm, ml, ll] = pad.curves(middle, last);
    let [m, l] = place.slopes;
    let at = place.at;
    Level {
        value: 0.5 * at.norm_squared(),
        slope: [at.dot(&m), at.dot(&l)],
        curve: [
            m.dot(&m) + at.dot(&mm),
            m.dot(&l) + at.dot(&ml),
            l.dot(&l) + at.dot(&ll),
        ],
    }
}

/// Half the squared distance of the pad, with slopes and curves.
struct Level {
    value: f64,
    slope: [f64; 2],
    /// By middle twice, by both, by last twice.
    curve: [f64; 3],
}

/// Brings the ends of s together so that `along · s` stays within `range`; tells which end was
/// moved. `None` if no s does.
pub(super) fn narrow(
    (min, max): (f64, f64),
    along: f64,
    (low, high): (&mut f64, &mut f64),
    mut moved: impl FnMut(usize),
) -> Option<()> {
    if along == 0.0 {
        return (min <= 0.0 && max >= 0.0).then_some(());
    }
    let (a, b) = if along > 0.0 {
        (min / along, max / along)
    } else {
        (max / along, min / along)
    };
    if a > *low {
        *low = a;
        moved(0);
    }
    if b < *high {
        *high = b;
        moved(1);
    }
    Some(())
}
