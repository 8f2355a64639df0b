//! A thumb: two axes at its base, then two hinges that flex each on their own.
//!
//! Four freedoms for a place of three numbers. With the hinges given the base is solved in
//! closed form as a finger's is, so where no limit of the base is in the way the whole comes
//! down to the pair of flexions nearest to the rest at which the pad is as far as the target.
//! Else all four angles are sought together, from a few fixed starts.
use super::link;
use super::pad::Pad;
use super::saddle::{Aim, Saddle, Sight, turn};
use super::solved::Solved;
use crate::Vec3;
use core::f64::consts::PI;
use nalgebra::{Matrix3, Matrix4, Vector4};

/// A residual, mm, that is none.
const REACHED: f64 = 1e-9;
/// Of poses that miss alike the one nearer the rest is taken: so many mm a squared radian are
/// alike.
const ALIKE: f64 = 1e-7;
/// A step, radians, after which one that converges quadratically is at rest.
const STILL: f64 = 1e-9;
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
        let mut q = best.0;
        let mut damping = 0.0;
        let mut here = measure(pad, q);
        for _ in 0..40 {
            let slope = here.slope.map(|slope| sign * slope);
            let held = |i: usize| {
                let (low, high) = self.limits[2 + i];
                (q[i] <= low && slope[i] < 0.0) || (q[i] >= high && slope[i] > 0.0)
            };
            let [mm, ml, ll] = here.curve.map(|curve| -sign * curve);
            let (mm, ll) = (mm + damping, ll + damping);
            let step = match (held(0), held(1)) {
                (true, true) => break,
                (true, false) if ll > 0.0 => [0.0, slope[1] / ll],
                (false, true) if mm > 0.0 => [slope[0] / mm, 0.0],
                (false, false) if mm > 0.0 && mm * ll > ml * ml => {
                    let det = mm * ll - ml * ml;
                    [
                        (ll * slope[0] - ml * slope[1]) / det,
                        (mm * slope[1] - ml * slope[0]) / det,
                    ]
                }
                _ => {
                    damping = 4.0 * damping + 1e-3 * pad.bend();
                    continue;
                }
            };
            let next = [
                self.inside(2, q[0] + step[0]),
                self.inside(3, q[1] + step[1]),
            ];
            let there = measure(pad, next);
            if sign * there.value > sign * here.value {
                (q, here, damping) = (next, there, 0.25 * damping);
            } else if step[0] * step[0] + step[1] * step[1] < STILL * STILL {
                break;
            } else {
                damping = 4.0 * damping + 1e-3 * pad.bend();
            }
        }
        q
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

/// A cost's first and second derivatives, and the angles that a limit holds against it.
struct Valley {
    slope: Vector4<f64>,
    curve: Matrix4<f64>,
    held: [bool; 4],
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
        let (mut x, mut residual) = self.descend(start);
        (x, residual) = if residual <= REACHED {
            self.slide(x, residual)
        } else {
            self.settle(x, residual)
        };
        let miss = if residual <= REACHED { 0.0 } else { residual };
        Found {
            angles: x,
            score: miss + ALIKE * self.unrest(&x),
        }
    }

    /// Newton's method on ½ residual² + ½·ε·unrest within the limits, damped until it goes
    /// downhill. ε is such that near its end it weighs the residual against [`ALIKE`].
    fn descend(&mut self, start: Vector4<f64>) -> (Vector4<f64>, f64) {
        let mut x = start;
        let mut view = self.view(&x);
        let mut damping = 0.0;
        for _ in 0..60 {
            let residual = view.error.norm();
            if residual <= 1e-3 * REACHED {
                break;
            }
            let epsilon = 2.0 * ALIKE * residual;
            let cost = |error: &Vec3, unrest: f64| 0.5 * (error.norm_squared() + epsilon * unrest);
            let Valley { slope, curve, held } = self.valley(&x, &view);
            if held == [true; 4] {
                break;
            }
            let here = cost(&view.error, self.unrest(&x));
            let grain = 1e-4 * self.pad.bend();
            let mut moved = None;
            for _ in 0..40 {
                let damped = curve + Matrix4::from_diagonal_element(damping);
                if let Some(next) = self.next(&x, &slope, &damped, held) {
                    let there = self.view(&next);
                    let by = (next - x).amax();
                    let cost = cost(&there.error, self.unrest(&next));
                    if cost < here {
                        // In a valley's bottom the rest is for settling.
                        moved = (here - cost > 1e-13 * here).then_some(by);
                        (x, view) = (next, there);
                        damping *= 0.1;
                        break;
                    }
                    if by <= STILL {
                        break;
                    }
                }
                damping = 10.0 * damping + grain;
            }
            if moved.is_none_or(|by| by <= 1e-3 * STILL) {
                break;
            }
            if damping < 0.01 * grain {
                damping = 0.0;
            }
        }
        (x, view.error.norm())
    }

    /// How the cost of [`Self::descend`] falls and bends, and which angles are held at a limit.
    fn valley(&self, x: &Vector4<f64>, view: &View) -> Valley {
        let epsilon = 2.0 * ALIKE * view.error.norm();
        let mut slope = Vector4::from_fn(|i, _| view.slopes[i].dot(&view.error));
        let mut curve = Matrix4::from_fn(|i, j| {
            let (i, j) = if i < j { (i, j) } else { (j, i) };
            view.slopes[i].dot(&view.slopes[j]) + view.error.dot(&view.curve(i, j))
        });
        for i in 2..4 {
            slope[i] += epsilon * (x[i] - self.thumb.rest[i - 2]);
            curve[(i, i)] += epsilon;
        }
        let held = core::array::from_fn(|i| {
            let (low, high) = self.thumb.limits[i];
            (x[i] <= low && slope[i] > 0.0) || (x[i] >= high && slope[i] < 0.0)
        });
        Valley { slope, curve, held }
    }

    /// Along a valley of poses that miss alike to the one nearest the rest: Newton's steps in
    /// full, which may first climb its bent sides. The start where that leads nowhere better.
    fn settle(&mut self, start: Vector4<f64>, residual: f64) -> (Vector4<f64>, f64) {
        let mut x = start;
        for _ in 0..30 {
            let view = self.view(&x);
            let Valley { slope, curve, held } = self.valley(&x, &view);
            let Some(next) = self.next(&x, &slope, &curve, held) else {
                break;
            };
            let step = next - x;
            let by = step.amax();
            x += if by > 0.3 { step * (0.3 / by) } else { step };
            if by <= STILL {
                let left = self.view(&x).error.norm();
                let score = |x, left| left + ALIKE * self.unrest(x);
                if score(&x, left) < score(&start, residual) {
                    return (x, left);
                }
                break;
            }
        }
        (start, residual)
    }

    /// Where a Newton step leads, angles held where they are or stopped at a limit taken out of
    /// it one round after the other; `None` where the curve is not that of a valley.
    fn next(
        &self,
        x: &Vector4<f64>,
        slope: &Vector4<f64>,
        curve: &Matrix4<f64>,
        mut held: [bool; 4],
    ) -> Option<Vector4<f64>> {
        let mut step = Vector4::zeros();
        // Each round ends or holds one angle more.
        loop {
            let mut reduced = *curve;
            let mut left = slope - curve * step;
            for i in (0..4).filter(|&i| held[i]) {
                reduced.fill_row(i, 0.0);
                reduced.fill_column(i, 0.0);
                reduced[(i, i)] = 1.0;
                left[i] = step[i];
            }
            let free = reduced.cholesky()?.solve(&left);
            let mut stopped = false;
            for i in 0..4 {
                let to = x[i] - free[i];
                let kept = self.thumb.inside(i, to);
                if !held[i] && kept != to {
                    (held[i], step[i], stopped) = (true, x[i] - kept, true);
                }
            }
            if !stopped {
                let next = x - free;
                return Some(Vector4::from_fn(|i, _| self.thumb.inside(i, next[i])));
            }
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
