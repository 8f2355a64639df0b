//! A thumb: two axes at its base, then two hinges that flex each on their own.
//!
//! Four freedoms for a place of three numbers. With the hinges given the base is solved in
//! closed form as a finger's is, so where no limit of the base is in the way the whole comes
//! down to the pair of flexions nearest to the rest at which the pad is as far as the target.
//! Else all four angles are sought together, from a few fixed starts.
use super::boxed::{self, Pace, Unknown, Valley};
use super::link;
use super::pad::Pad;
use super::saddle::{Aim, Saddle, Sight, turn};
use super::solved::Solved;
use crate::Vec3;
use core::f64::consts::PI;
use nalgebra::{Matrix2, Matrix3, Matrix4, Vector4};

/// A residual, mm, that is none.
const REACHED: f64 = 1e-9;
/// Of poses that miss alike the one nearer the rest is taken: so many mm a squared radian are
/// alike.
const ALIKE: f64 = 1e-7;
/// A step, radians, after which one that converges quadratically is at rest.
const STILL: f64 = 1e-9;
/// How a descent goes, but for what damping begins with: that goes by the pad's curvature.
const DOWNHILL: Pace = Pace {
    tries: 200,
    first: 0.0,
    raise: (10.0, 0.0),
    ease: [0.1; 3],
    longest: f64::INFINITY,
    still: STILL,
    // In a valley's bottom the rest is for settling.
    flat: 1e-13,
};
/// Rows and columns of the flexions tried as starts.
const STARTS: usize = 3;
/// Lines across each range on which starts as far as the target are tried.
const LINES: usize = 6;
/// By how much nearer to the target such a start has to be if it is farther from the rest, mm²
/// by rad².
const TRADE: f64 = 100.0;

/// What a thumb's solve needs beside its pad and its base.
#[derive(Clone, Debug, Default)]
pub(super) struct Thumb {
    /// Of the base's outer and inner turn, the middle's and the last's.
    limits: [(f64, f64); 4],
    rest: [f64; 2],
    /// Flexions at which the pad is farthest from the base and nearest to it, and how far.
    ends: [([f64; 2], f64); 2],
}

impl Thumb {
    /// Works out what does not depend on the target. `limits` are the hinges'.
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

    /// Brings the pad to the target, the flexions as near to the rest as can be.
    pub(super) fn solve(&self, pad: &Pad, sight: &Sight) -> Solved {
        let mut search = Search {
            thumb: self,
            pad,
            sight,
            used: 0,
        };
        Solved {
            angles: search.angles().into(),
            farthest: self.ends[0].1,
            distance: sight.distance,
            iterations: search.used,
        }
    }

    fn inside(&self, which: usize, angle: f64) -> f64 {
        link::inside(angle, self.limits[which].0, self.limits[which].1)
    }

    /// A flexion of the middle (2) or the last joint (3), as a part of its range.
    fn part(&self, which: usize, part: f64) -> f64 {
        let (low, high) = self.limits[which];
        low + (high - low) * part
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

struct Search<'a> {
    thumb: &'a Thumb,
    pad: &'a Pad,
    sight: &'a Sight<'a>,
    used: u32,
}

/// Half the squared distance of the pad, with slopes and curves.
struct Level {
    value: f64,
    slope: [f64; 2],
    /// By middle twice, by both, by last twice.
    curve: [f64; 3],
}

/// The best few of the starts offered, best first.
struct Starts<const N: usize>([(f64, Vector4<f64>); N]);

impl<const N: usize> Default for Starts<N> {
    fn default() -> Self {
        Self([(f64::INFINITY, Vector4::zeros()); N])
    }
}

impl<const N: usize> Starts<N> {
    fn offer(&mut self, mut start: (f64, Vector4<f64>)) {
        for kept in &mut self.0 {
            if start.0 < kept.0 {
                core::mem::swap(kept, &mut start);
            }
        }
    }

    fn found(&self) -> impl Iterator<Item = Vector4<f64>> {
        let found = self.0.iter().filter(|start| start.0 < f64::INFINITY);
        found.map(|start| start.1)
    }
}

/// Angles, and what they leave.
#[derive(Clone, Copy)]
struct Found {
    angles: Vector4<f64>,
    score: f64,
}

impl Found {
    /// Whether it is the better one. Of equal ones that is told by the angles that a mirror
    /// leaves alone: the two ends of the outer turn come in another order there.
    fn is_before(&self, other: &Self) -> bool {
        let key = |found: &Self| {
            let [outer, inner, middle, last] = found.angles.into();
            [found.score, middle, last, inner, libm::fabs(outer)]
        };
        key(self) < key(other)
    }
}

/// The pad seen from the target at four angles, with first and second derivatives.
struct View {
    error: Vec3,
    slopes: [Vec3; 4],
    /// Axes of the base.
    axes: [Vec3; 2],
    curves: [Vec3; 3],
}

impl View {
    fn curve(&self, i: usize, j: usize) -> Vec3 {
        match (i, j) {
            (0 | 1, _) => self.axes[i].cross(&self.slopes[j]),
            _ => self.curves[i + j - 4],
        }
    }
}

impl Search<'_> {
    fn angles(&mut self) -> Vector4<f64> {
        let level = self.level();
        if let Some(found) = level.and_then(|at| self.pointed(at)) {
            return found;
        }
        let [(farthest, most), (nearest, least)] = self.thumb.ends;
        let distance = self.sight.distance;
        let end = if distance > most {
            Some(farthest)
        } else if distance < least {
            Some(nearest)
        } else {
            None
        };
        if let Some(found) = end.and_then(|end| self.pointed(end)) {
            return found;
        }
        let mut near = Starts::<1>::default();
        let mut edged = [(); 4].map(|()| Starts::<1>::default());
        for row in 0..STARTS {
            for column in 0..STARTS {
                let [middle, last] = [row, column].map(|at| (at as f64 + 0.5) / STARTS as f64);
                let q = [self.thumb.part(2, middle), self.thumb.part(3, last)];
                let pad = self.pad.place(libm::sincos(q[0]), libm::sincos(q[1])).at;
                near.offer(self.start(q, self.sight.nearest(&pad), 0.0));
                for (edge, aim) in self.sight.edged(&pad) {
                    edged[edge].offer(self.start(q, aim, 0.0));
                }
            }
        }
        let mut level = Starts::<2>::default();
        let wanted = distance * distance;
        let lines = if end.is_some() { 0 } else { LINES };
        for line in 0..lines {
            for which in [0, 1] {
                let at = self.thumb.part(2 + which, line as f64 / (LINES - 1) as f64);
                for other in self.pad.crossings(which, at, wanted) {
                    let (other, past) = link::nearest(other, self.thumb.limits[3 - which]);
                    if past == 0.0 {
                        let q = if which == 0 { [at, other] } else { [other, at] };
                        let pad = self.pad.place(libm::sincos(q[0]), libm::sincos(q[1])).at;
                        level.offer(self.start(q, self.sight.nearest(&pad), TRADE));
                    }
                }
            }
        }
        let mut best: Option<Found> = None;
        // The best of all is most often the best of an edge too.
        let edged = || edged.iter().flat_map(Starts::found);
        let inside = near
            .found()
            .filter(|near| edged().all(|edge| edge != *near));
        for start in inside.chain(edged()).chain(level.found()) {
            let found = self.follow(start);
            if best.is_none_or(|best| found.is_before(&best)) {
                best = Some(found);
            }
        }
        best.map_or_else(Vector4::zeros, |best| best.angles)
    }

    /// A start, and how bad it is, a radian squared from the rest counting for `trade` mm².
    fn start(&self, [middle, last]: [f64; 2], aim: Aim, trade: f64) -> (f64, Vector4<f64>) {
        let [outer, inner] = aim.angles;
        let angles = Vector4::new(outer, inner, middle, last);
        let score = aim.error.norm_squared() + trade * self.unrest(&angles);
        (score, angles)
    }

    /// The base pointed exactly, if its limits allow that.
    fn pointed(&self, [middle, last]: [f64; 2]) -> Option<Vector4<f64>> {
        let place = self.pad.place(libm::sincos(middle), libm::sincos(last));
        let [outer, inner] = self.sight.point(&place.at)?;
        Some(Vector4::new(outer, inner, middle, last))
    }

    /// The flexions within their limits nearest to the rest at which the pad is as far as the
    /// target, if they can be told to be the nearest.
    ///
    /// Newton's method on the Lagrangian ½‖q − rest‖² − λ·(½‖pad‖² − ½ distance²), a bounded
    /// quadratic programme in each step. Where λ times the most that the second derivative can
    /// be is less than 1 the Lagrangian is convex everywhere, and no other place can be nearer.
    fn level(&mut self) -> Option<[f64; 2]> {
        let wanted = 0.5 * self.sight.distance * self.sight.distance;
        let mut q = [
            self.thumb.inside(2, self.thumb.rest[0]),
            self.thumb.inside(3, self.thumb.rest[1]),
        ];
        let mut lambda = 0.0;
        for _ in 0..12 {
            self.used += 1;
            let level = measure(self.pad, q);
            let [a, b] = level.slope;
            let [mm, ml, ll] = level.curve.map(|curve| -lambda * curve);
            let (mm, ll) = (1.0 + mm, 1.0 + ll);
            let steep = a * a + b * b;
            if !(mm > 0.0 && mm * ll > ml * ml && steep > 0.0) {
                return None;
            }
            let times = |[x, y]: [f64; 2]| [mm * x + ml * y, ml * x + ll * y];
            let off = [q[0] - self.thumb.rest[0], q[1] - self.thumb.rest[1]];
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
                let (min, max) = self.thumb.limits[2 + i];
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
                q[i] = self.thumb.inside(2 + i, q[i] + step[i]);
            }
            let moved = dot(step, step);
            if moved <= STILL * STILL {
                let sure = libm::fabs(lambda) * self.pad.bend() <= 1.0;
                return sure.then_some(q);
            }
            if q == before {
                return None;
            }
        }
        None
    }

    fn view(&mut self, x: &Vector4<f64>) -> View {
        self.used += 1;
        let (middle, last) = (libm::sincos(x[2]), libm::sincos(x[3]));
        let place = self.pad.place(middle, last);
        let base = [x[0], x[1]];
        let turn = |v: Vec3| turn(base, v);
        let at = turn(place.at);
        let (s, c) = libm::sincos(x[0]);
        let axes = [Vec3::x(), Vec3::new(0.0, c, s)];
        View {
            error: at - self.sight.target,
            slopes: [
                axes[0].cross(&at),
                axes[1].cross(&at),
                turn(place.slopes[0]),
                turn(place.slopes[1]),
            ],
            axes,
            curves: self.pad.curves(middle, last).map(turn),
        }
    }

    /// How far the flexions are from the rest, squared.
    fn unrest(&self, x: &Vector4<f64>) -> f64 {
        let by = [x[2] - self.thumb.rest[0], x[3] - self.thumb.rest[1]];
        by[0] * by[0] + by[1] * by[1]
    }

    /// From a start downhill to a least residual; and where that is none, along the poses
    /// that reach to the one nearest the rest.
    fn follow(&mut self, start: Vector4<f64>) -> Found {
        let mut unknowns = core::array::from_fn(|i| Unknown::new(start[i], self.thumb.limits[i]));
        let mut miss = Miss::new(self, place(&unknowns));
        let pace = Pace {
            raise: (10.0, 1e-4 * miss.search.pad.bend()),
            ..DOWNHILL
        };
        boxed::descend(&mut miss, &mut unknowns, &pace);
        let mut residual = miss.view.error.norm();
        if residual > REACHED {
            (unknowns, residual) = settle(miss, unknowns, residual);
        }
        let mut x = place(&unknowns);
        if residual <= REACHED {
            (x, residual) = self.slide(x, residual);
        }
        let left = if residual <= REACHED { 0.0 } else { residual };
        Found {
            angles: x,
            score: left + ALIKE * self.unrest(&x),
        }
    }

    /// Along the poses that reach, to the one nearest the rest: a quadratic programme in each
    /// step, whose steps are those that reach as far as slopes tell, a line.
    fn slide(&mut self, start: Vector4<f64>, reached: f64) -> (Vector4<f64>, f64) {
        let (mut x, mut best) = (start, (start, reached, self.unrest(&start)));
        for _ in 0..20 {
            let view = self.view(&x);
            let [p, q, r, s] = view.slopes;
            // What the four slopes, so weighed, cancel to.
            let along = Vector4::new(
                q.dot(&r.cross(&s)),
                -p.dot(&r.cross(&s)),
                p.dot(&q.cross(&s)),
                -p.dot(&q.cross(&r)),
            );
            let size = along.norm();
            let square: Matrix3<f64> = view.slopes.iter().map(|v| v * v.transpose()).sum();
            let Some(factors) = square.cholesky().filter(|_| size > 0.0) else {
                break;
            };
            let along = along / size;
            let pull = factors.solve(&view.error);
            let start = Vector4::from_fn(|i, _| -view.slopes[i].dot(&pull));
            let off = [x[2] - self.thumb.rest[0], x[3] - self.thumb.rest[1]];
            let weights = factors.solve(&(view.slopes[2] * off[0] + view.slopes[3] * off[1]));
            let mut bent = Vec3::zeros();
            for i in 0..4 {
                for j in 0..4 {
                    let (low, high) = if i < j { (i, j) } else { (j, i) };
                    bent += view.curve(low, high) * (along[i] * along[j]);
                }
            }
            let flat = along[2] * along[2] + along[3] * along[3];
            let curve = flat - weights.dot(&bent);
            let slope = along[2] * (off[0] + start[2]) + along[3] * (off[1] + start[3]);
            let (mut low, mut high) = (-0.3, 0.3);
            let mut fits = true;
            for i in 0..4 {
                let (min, max) = self.thumb.limits[i];
                fits &= narrow(
                    (min - x[i] - start[i], max - x[i] - start[i]),
                    along[i],
                    (&mut low, &mut high),
                    |_| (),
                )
                .is_some();
            }
            let wanted = if curve > 0.1 * flat && curve > 0.0 {
                -slope / curve
            } else if slope > 0.0 {
                low
            } else {
                high
            };
            let by = if fits && low <= high {
                link::inside(wanted, low, high)
            } else {
                0.0
            };
            let step = start + along * by;
            for i in 0..4 {
                x[i] = self.thumb.inside(i, x[i] + step[i]);
            }
            if step.amax() <= STILL {
                let (residual, unrest) = (self.view(&x).error.norm(), self.unrest(&x));
                if residual <= REACHED && unrest < best.2 {
                    best = (x, residual, unrest);
                }
                break;
            }
        }
        (best.0, best.1)
    }
}

/// Where four angles lead.
fn place(unknowns: &[Unknown]) -> Vector4<f64> {
    Vector4::from_fn(|i, _| unknowns[i].to())
}

/// ½ residual² + ½·ε·unrest. ε is such that near its end it weighs the residual against
/// [`ALIKE`].
struct Miss<'a, 'b> {
    search: &'a mut Search<'b>,
    view: View,
    epsilon: f64,
    curve: Matrix4<f64>,
}

impl<'a, 'b> Miss<'a, 'b> {
    fn new(search: &'a mut Search<'b>, at: Vector4<f64>) -> Self {
        Self {
            view: search.view(&at),
            search,
            epsilon: 0.0,
            curve: Matrix4::zeros(),
        }
    }

    fn here(&self, at: &Vector4<f64>) -> f64 {
        0.5 * (self.view.error.norm_squared() + self.epsilon * self.search.unrest(at))
    }
}

impl Valley for Miss<'_, '_> {
    fn cost(&mut self, unknowns: &[Unknown]) -> f64 {
        let at = place(unknowns);
        self.view = self.search.view(&at);
        self.here(&at)
    }

    fn derive(&mut self, unknowns: &mut [Unknown]) -> Option<f64> {
        let (view, rest) = (&self.view, self.search.thumb.rest);
        let residual = view.error.norm();
        if residual <= 1e-3 * REACHED {
            return None;
        }
        self.epsilon = 2.0 * ALIKE * residual;
        let mut curve = Matrix4::from_fn(|i, j| {
            let (i, j) = if i < j { (i, j) } else { (j, i) };
            view.slopes[i].dot(&view.slopes[j]) + view.error.dot(&view.curve(i, j))
        });
        for (i, unknown) in unknowns.iter_mut().enumerate() {
            unknown.slope = view.slopes[i].dot(&view.error);
            if i >= 2 {
                unknown.slope += self.epsilon * (unknown.at - rest[i - 2]);
                curve[(i, i)] += self.epsilon;
            }
        }
        self.curve = curve;
        Some(self.here(&Vector4::from_fn(|i, _| unknowns[i].at)))
    }

    fn model(&mut self, unknowns: &mut [Unknown], damping: f64) -> bool {
        boxed::newton(&self.curve, unknowns, damping)
    }

    fn fall(&self, unknowns: &[Unknown]) -> f64 {
        boxed::foretold(&self.curve, unknowns)
    }
}

/// Along a valley of poses that miss alike to the one nearest the rest: Newton's steps in
/// full, which may first climb its bent sides. The start where that leads nowhere better.
fn settle(mut miss: Miss, start: [Unknown; 4], residual: f64) -> ([Unknown; 4], f64) {
    let mut unknowns = start;
    for _ in 0..30 {
        if miss.derive(&mut unknowns).is_none() {
            break;
        }
        boxed::hold(&mut unknowns);
        if !boxed::step(&mut unknowns, |unknowns| miss.model(unknowns, 0.0)) {
            break;
        }
        let by = boxed::shorten(&mut unknowns, 0.3);
        miss.cost(&unknowns);
        boxed::take(&mut unknowns);
        if by <= STILL {
            let left = miss.view.error.norm();
            let score = |unknowns, left| left + ALIKE * miss.search.unrest(&place(unknowns));
            if score(&unknowns, left) < score(&start, residual) {
                return (unknowns, left);
            }
            break;
        }
    }
    (start, residual)
}

/// Brings the ends of s together so that `along · s` stays within `range`; tells which end was
/// moved. `None` if no s does.
fn narrow(
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
