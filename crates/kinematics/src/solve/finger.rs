//! A finger: two axes at the knuckle, then two hinges that flex together.
use super::link;
use super::pad::Pad;
use super::saddle::{Aim, Saddle, Sight, swung, tipped};
use super::solved::Solved;
use crate::Vec3;
use alloc::vec;
use alloc::vec::Vec;
use core::f64::consts::PI;

/// How far the search for the branch's ends steps, radians of q. The squared distance is made
/// of waves no shorter than a turn over 1 + |c|, which do not rise and fall within a step.
const STEP: f64 = PI / 16.0;
/// The same where every branch is searched and limits add their own turns.
const FINE: f64 = PI / 32.0;
/// As many fine steps as a flexion half a turn either way of the rest can take, and the start.
const PLACES: usize = 65;
/// Pieces a branch is cut into for finding where on it to start.
const PIECES: usize = 32;
/// Residuals, mm, this near to each other are as good as each other: the flexion nearer
/// the rest is then taken.
const ALIKE: f64 = 1e-9;
/// A distance, mm, that is none.
const SHORT: f64 = 1e-10;
/// Enough halvings of π/16 to leave neighbouring numbers.
const HALVINGS: u32 = 64;
/// A step, radians, after which one that converges cubically is at rest.
const STILL: f64 = 1e-6;

/// What a finger's solve needs beside its pad and its knuckle: the distance along the branch
/// that holds the rest flexion, and the pad's places along all flexions.
#[derive(Clone, Debug)]
pub(super) struct Finger {
    coupling: f64,
    /// Limits of the last joint.
    last: (f64, f64),
    range: (f64, f64),
    rest: f64,
    /// Flexions along the branch, with the squared distance and its first two derivatives.
    /// Always [`PIECES`] + 1 of them, lowest flexion first.
    branch: Vec<(f64, [f64; 3])>,
    /// The squared distance rises along the branch.
    rising: bool,
    farthest: f64,
    /// Room for [`PLACES`], of which `count` are used, evenly over the range.
    places: Vec<Place>,
    count: usize,
    /// What holds the pad's curve: turned into the plane of the knuckle's axes (out, along, 0);
    /// and with the inner turn at either limit as it is, and turned into that plane.
    plane: Bounds,
    swung: [Bounds; 2],
    tipped: [Bounds; 2],
}

/// A box.
#[derive(Clone, Copy, Debug)]
struct Bounds {
    low: Vec3,
    high: Vec3,
}

impl Bounds {
    const NONE: Self = Self {
        low: Vec3::new(f64::INFINITY, f64::INFINITY, f64::INFINITY),
        high: Vec3::new(f64::NEG_INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY),
    };

    /// Takes in a ball.
    fn hold(&mut self, at: Vec3, radius: f64) {
        for i in 0..3 {
            let (low, high) = (at[i] - radius, at[i] + radius);
            if low < self.low[i] {
                self.low[i] = low;
            }
            if high > self.high[i] {
                self.high[i] = high;
            }
        }
    }

    /// Whether all of it is farther than `distance` from a place.
    fn is_beyond(&self, distance: f64, at: Vec3) -> bool {
        let mut square = 0.0;
        for i in 0..3 {
            let by = at[i] - link::inside(at[i], self.low[i], self.high[i]);
            square += by * by;
        }
        square > distance * distance
    }
}

/// The pad at one flexion, and how it moves per radian of q.
#[derive(Clone, Copy, Debug, Default)]
struct Place {
    q: f64,
    at: Vec3,
    slope: Vec3,
}

impl Place {
    /// Half the derivative of the squared distance from the base.
    fn outward(&self) -> f64 {
        self.at.dot(&self.slope)
    }
}

/// A flexion, and what is measured there.
#[derive(Clone, Copy)]
struct Side {
    at: f64,
    value: f64,
}

impl Default for Finger {
    fn default() -> Self {
        Self {
            coupling: 0.0,
            last: (0.0, 0.0),
            range: (0.0, 0.0),
            rest: 0.0,
            branch: vec![(0.0, [0.0; 3]); PIECES + 1],
            rising: false,
            farthest: 0.0,
            places: vec![Place::default(); PLACES],
            count: 0,
            plane: Bounds::NONE,
            swung: [Bounds::NONE; 2],
            tipped: [Bounds::NONE; 2],
        }
    }
}

impl Finger {
    /// Works out what does not depend on the target. `limits` are the hinges'.
    pub(super) fn make(
        &mut self,
        pad: &Pad,
        saddle: &Saddle,
        limits: [(f64, f64); 2],
        coupling: f64,
        rest: f64,
    ) {
        (self.coupling, self.last) = (coupling, limits[1]);
        let (low, high) = self.coupled(limits[0]);
        self.rest = link::inside(rest, low, high);
        // Flexion is not taken past half a turn from the rest.
        let (least, most) = (self.rest - PI, self.rest + PI);
        let low = if low < least { least } else { low };
        let high = if high > most { most } else { high };
        self.range = (low, high);

        // A turn is 64 steps, and by rounding a hair more.
        let steps = libm::ceil((high - low) / FINE) as usize;
        self.count = if steps < PLACES { steps + 1 } else { PLACES };
        for step in 0..self.count {
            let at = if step + 1 == self.count {
                high
            } else {
                low + step as f64 * FINE
            };
            self.places[step] = self.at(pad, at);
        }

        self.bound(saddle);

        let start = self.at(pad, self.rest);
        self.rising = start.outward() > 0.0;
        let ends = [false, true].map(|upward| self.end(pad, upward));
        for (piece, entry) in self.branch.iter_mut().enumerate() {
            let part = piece as f64 / PIECES as f64;
            let at = if piece == PIECES {
                ends[1]
            } else {
                ends[0] + (ends[1] - ends[0]) * part
            };
            entry.0 = at;
        }
        for piece in 0..=PIECES {
            self.branch[piece].1 = self.square(pad, self.branch[piece].0);
        }
        self.farthest = self.at(pad, ends[usize::from(self.rising)]).at.norm();
    }

    fn bound(&mut self, saddle: &Saddle) {
        let places = &self.places[..self.count];
        let speed = places.iter().map(|place| place.slope.norm());
        let speed = speed.fold(0.0, |most, speed| if speed > most { speed } else { most });
        // From a place the pad is never farther than half a step's way; half as much more for
        // being faster between two places than at either.
        let reach = 0.75 * FINE * speed;
        let out = |x: f64, z: f64| libm::sqrt(x * x + z * z);
        self.plane = Bounds::NONE;
        (self.swung, self.tipped) = ([Bounds::NONE; 2], [Bounds::NONE; 2]);
        for place in places {
            let at = place.at;
            self.plane
                .hold(Vec3::new(out(at.x, at.z), at.y, 0.0), reach);
            for (end, edge) in saddle.edges(1) {
                let at = swung(edge, at);
                self.swung[end].hold(at, reach);
                self.tipped[end].hold(Vec3::new(at.x, out(at.y, at.z), 0.0), reach);
            }
        }
    }

    /// The part of `range` in which the last joint keeps its limits. If none does, the last
    /// joint stands at its limit over all of it.
    fn coupled(&self, (min, max): (f64, f64)) -> (f64, f64) {
        let (low, high) = self.last;
        let (a, b) = if self.coupling > 0.0 {
            (low / self.coupling, high / self.coupling)
        } else if self.coupling < 0.0 {
            (high / self.coupling, low / self.coupling)
        } else {
            return (min, max);
        };
        let (low, high) = (if a > min { a } else { min }, if b < max { b } else { max });
        if low <= high { (low, high) } else { (min, max) }
    }

    /// The farthest the pad can be from the knuckle, mm.
    pub(super) fn farthest(&self) -> f64 {
        self.farthest
    }

    /// The flexions allowed.
    pub(super) fn range(&self) -> (f64, f64) {
        self.range
    }

    /// The last joint's angle at flexion q: c·q, stopped at its limits; at a limit when it is
    /// so but for rounding, for the end of [`Self::coupled`] is a quotient.
    pub(super) fn last(&self, q: f64) -> f64 {
        let (angle, (low, high)) = (self.coupling * q, self.last);
        // Nothing meets a limit that is none: it is infinitely far, and infinitely large.
        let meets = |limit: f64| {
            limit.is_finite() && libm::fabs(angle - limit) <= 1e-15 * libm::fabs(limit)
        };
        if angle <= low || meets(low) {
            low
        } else if angle >= high || meets(high) {
            high
        } else {
            angle
        }
    }

    /// Radians of the last joint per radian of q.
    pub(super) fn rate(&self, q: f64, last: f64) -> f64 {
        // Stopped past its limit only where the coupling allows no flexion at all.
        let moving = libm::fabs(last - self.coupling * q) <= 1e-12;
        if moving { self.coupling } else { 0.0 }
    }

    fn at(&self, pad: &Pad, q: f64) -> Place {
        let last = self.last(q);
        let place = pad.place(libm::sincos(q), libm::sincos(last));
        let [by_middle, by_last] = place.slopes;
        Place {
            q,
            at: place.at,
            slope: by_middle + by_last * self.rate(q, last),
        }
    }

    /// The squared distance and its first two derivatives.
    fn square(&self, pad: &Pad, q: f64) -> [f64; 3] {
        let last = self.last(q);
        pad.square(libm::sincos(q), libm::sincos(last), self.rate(q, last))
    }

    /// Where the branch of the rest ends.
    fn end(&self, pad: &Pad, upward: bool) -> f64 {
        let (mut here, end) = (self.rest, if upward { self.range.1 } else { self.range.0 });
        while here != end {
            let next = if upward { here + STEP } else { here - STEP };
            let next = link::inside(next, self.range.0, self.range.1);
            if (self.at(pad, next).outward() > 0.0) != self.rising {
                let [a, b] = [here, next].map(|at| Side {
                    at,
                    value: self.at(pad, at).outward(),
                });
                return zero(a, b, 1e-12, |q| self.at(pad, q).outward());
            }
            here = next;
        }
        end
    }

    /// Flexes the finger until its pad is as far from the knuckle as the target, on the branch
    /// of the distance that holds the rest flexion, then turns the knuckle in closed form. If
    /// limits or reach forbid that, the least distance over all faces of the limits is sought:
    /// on each face of the knuckle's the distance left is that of a fixed curve from a point,
    /// which leaves a search along the flexion, its ends included.
    pub(super) fn solve(&self, pad: &Pad, sight: &Sight) -> Solved {
        let mut search = Search {
            finger: self,
            pad,
            sight,
            used: 0,
            best: None,
        };
        let (q, [outer, inner]) = search.planted().unwrap_or_else(|| search.nearest());
        Solved {
            angles: [outer, inner, q, self.last(q)],
            farthest: self.farthest,
            distance: sight.distance,
            iterations: search.used,
        }
    }
}

struct Search<'a> {
    finger: &'a Finger,
    pad: &'a Pad,
    sight: &'a Sight<'a>,
    used: u32,
    best: Option<Found>,
}

#[derive(Clone, Copy)]
struct Found {
    q: f64,
    aim: Aim,
    left: f64,
}

impl Search<'_> {
    fn place(&mut self, q: f64) -> Place {
        self.used += 1;
        self.finger.at(self.pad, q)
    }

    /// The flexion on the rest's branch at which the pad is as far as the target, and the
    /// knuckle angles that bring it there, if the limits allow both.
    fn planted(&mut self) -> Option<(f64, [f64; 2])> {
        let q = self.level()?;
        let place = self.place(q);
        Some((q, self.sight.point(&place.at)?))
    }

    /// Where on the branch the squared distance is the target's. From the nearer of two places
    /// known, by steps to where the parabola through value, slope and curve meets it: on the
    /// flat near the straight pose too.
    fn level(&mut self) -> Option<f64> {
        let (branch, rising) = (&self.finger.branch, self.finger.rising);
        let wanted = self.sight.distance * self.sight.distance;
        let (first, last) = (branch[0].1[0], branch[PIECES].1[0]);
        let (least, most) = if rising { (first, last) } else { (last, first) };
        if !(least <= wanted && wanted <= most) {
            return None;
        }
        let after = branch.partition_point(|(_, square)| (square[0] < wanted) == rising);
        let after = if after == 0 { 1 } else { after };
        let after = if after > PIECES { PIECES } else { after };
        let [(low, below), (high, above)] = [branch[after - 1], branch[after]];
        let nearer = libm::fabs(below[0] - wanted) < libm::fabs(above[0] - wanted);
        let (mut q, mut square) = if nearer { (low, below) } else { (high, above) };
        for _ in 0..HALVINGS {
            let [value, slope, curve] = square;
            let excess = value - wanted;
            if libm::fabs(excess) <= 1e-15 * wanted {
                break;
            }
            let root = slope * slope - 2.0 * curve * excess;
            let root = if root > 0.0 { libm::sqrt(root) } else { 0.0 };
            // The slope's sign is the branch's, also where rounding has the better of it.
            let sum = if rising {
                libm::fabs(slope) + root
            } else {
                -libm::fabs(slope) - root
            };
            let next = q - 2.0 * excess / sum;
            // Written so that a quotient that is not a number stays.
            let next = if next > low {
                if next < high { next } else { high }
            } else if next <= low {
                low
            } else {
                q
            };
            let step = libm::fabs(next - q);
            q = next;
            if step <= STILL {
                break;
            }
            self.used += 1;
            square = self.finger.square(self.pad, q);
        }
        Some(q)
    }

    fn offer(&mut self, q: f64, aim: Aim) {
        let left = aim.error.norm();
        let rest = self.finger.rest;
        let better = self.best.is_none_or(|best| {
            let nearer = libm::fabs(q - rest) < libm::fabs(best.q - rest);
            left < best.left - ALIKE || (nearer && left < best.left + ALIKE)
        });
        if better {
            self.best = Some(Found { q, aim, left });
        }
    }

    /// The flexion and knuckle that bring the pad nearest to the target: the least of what is
    /// found with the knuckle free, with either turn at either limit, and with both at one.
    fn nearest(&mut self) -> (f64, [f64; 2]) {
        let (sight, target) = (self.sight, self.sight.target);
        let place = self.place(self.finger.rest);
        self.offer(place.q, sight.nearest(&place.at));
        let wanted = sight.distance * sight.distance;
        self.scan(
            |place| (place.at.norm_squared() - wanted) * place.outward(),
            |place| {
                let angles = sight.point(&place.at)?;
                Some(sight.aim(&place.at, angles))
            },
        );
        if self.best.is_some_and(|best| best.left <= ALIKE) {
            return self.found();
        }
        let finger = self.finger;
        for (end, (s, c)) in sight.saddle.edges(0) {
            let untipped = tipped((-s, c), target);
            let out = libm::sqrt(untipped.x * untipped.x + untipped.z * untipped.z);
            if self.may_better(&finger.plane, Vec3::new(out, untipped.y, 0.0)) {
                self.scan(
                    |place| apart(place, out, untipped.y),
                    |place| Some(sight.swing(&place.at, end)),
                );
            }
        }
        for (end, edge) in sight.saddle.edges(1) {
            if self.may_better(&finger.tipped[end], Vec3::new(target.x, sight.off, 0.0)) {
                self.scan(
                    |place| {
                        let (at, slope) = (swung(edge, place.at), swung(edge, place.slope));
                        // From the outer axis the pad is turned to the target's side.
                        let out = libm::sqrt(at.y * at.y + at.z * at.z);
                        let part = if out > 0.0 {
                            1.0 - sight.off / out
                        } else {
                            0.0
                        };
                        (at.x - target.x) * slope.x + part * (at.y * slope.y + at.z * slope.z)
                    },
                    |place| Some(sight.tip(&place.at, end)),
                );
            }
        }
        for (end, (s, c)) in sight.saddle.edges(0) {
            let untipped = tipped((-s, c), target);
            for (other, edge) in sight.saddle.edges(1) {
                if self.may_better(&finger.swung[other], untipped) {
                    let angles = [sight.saddle.limit(0, end), sight.saddle.limit(1, other)];
                    self.scan(
                        |place| (swung(edge, place.at) - untipped).dot(&swung(edge, place.slope)),
                        |place| Some(sight.aim(&place.at, angles)),
                    );
                }
            }
        }
        // In the plane of the two axes, on either side.
        let along = libm::fabs(target.x);
        for side in [sight.off, -sight.off] {
            if self.may_better(&finger.plane, Vec3::new(along, side, 0.0)) {
                self.scan(
                    |place| apart(place, along, side),
                    |place| Some(sight.facing(&place.at)),
                );
            }
        }
        self.found()
    }

    /// Whether the pad, its curve within these bounds, may come as near to a place as the best
    /// found so far.
    fn may_better(&self, bounds: &Bounds, at: Vec3) -> bool {
        let best = self.best.as_ref();
        best.is_none_or(|best| !bounds.is_beyond(best.left + ALIKE, at))
    }

    fn found(&self) -> (f64, [f64; 2]) {
        self.best.map_or((self.finger.rest, [0.0; 2]), |best| {
            (best.q, best.aim.angles)
        })
    }

    /// Offers what `aim` makes of every flexion at which a squared distance is least, `slope`
    /// being half its derivative.
    fn scan(&mut self, slope: impl Fn(&Place) -> f64, aim: impl Fn(&Place) -> Option<Aim>) {
        let places = &self.finger.places[..self.finger.count];
        let mut before: Option<Side> = None;
        for (index, place) in places.iter().enumerate() {
            let side = Side {
                at: place.q,
                value: slope(place),
            };
            let falling = before.is_some_and(|before| before.value < 0.0);
            let end = index + 1 == places.len();
            let least = if falling && side.value > 0.0 {
                before.map(|before| {
                    let (finger, pad, used) = (self.finger, self.pad, &mut self.used);
                    zero(before, side, SHORT * SHORT, |q| {
                        *used += 1;
                        slope(&finger.at(pad, q))
                    })
                })
            } else if (index == 0 && side.value >= 0.0)
                || (end && side.value <= 0.0)
                || side.value == 0.0
            {
                Some(place.q)
            } else {
                None
            };
            if let Some(q) = least {
                let place = self.place(q);
                if let Some(aim) = aim(&place) {
                    self.offer(q, aim);
                }
            }
            before = Some(side);
        }
    }
}

/// Half the derivative of the squared distance between the pad, turned about the inner axis into
/// the plane of the two, and a place (`out`, `along`) there.
fn apart(place: &Place, out: f64, along: f64) -> f64 {
    let (at, slope) = (place.at, place.slope);
    let far = libm::sqrt(at.x * at.x + at.z * at.z);
    let part = if far > 0.0 { 1.0 - out / far } else { 0.0 };
    part * (at.x * slope.x + at.z * slope.z) + (at.y - along) * slope.y
}

/// A zero of `f` between two places of unlike sign: the Illinois rule (a secant that halves
/// the value at an end kept twice), halving when that is slow. What `f` is the slope of
/// is then within `small` of its least or greatest, for a slope falls towards its zero.
fn zero(mut a: Side, mut b: Side, small: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
    for round in 0..HALVINGS {
        let gap = b.at - a.at;
        if libm::fabs(b.value * gap) <= small {
            break;
        }
        let middle = a.at + 0.5 * gap;
        let secant = b.at - b.value * gap / (b.value - a.value);
        let inside = (secant - a.at) * (secant - b.at) < 0.0;
        let at = if inside && round % 3 < 2 {
            secant
        } else {
            middle
        };
        if at == a.at || at == b.at {
            break;
        }
        let value = f(at);
        if (value > 0.0) == (b.value > 0.0) {
            a.value *= 0.5;
        } else {
            a = b;
        }
        b = Side { at, value };
    }
    b.at
}
