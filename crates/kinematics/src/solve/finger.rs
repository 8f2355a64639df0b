//! A finger: two axes at the knuckle, then two hinges that flex together.
use super::pad::{Pad, Place};
use super::saddle::{Aim, Saddle};
use super::{Task, link};
use core::f64::consts::PI;

/// How far the search for the branch's ends steps, radians of q. The squared distance is made
/// of waves no shorter than a turn over 1 + |c|, which do not rise and fall within a step.
const STEP: f64 = PI / 16.0;
/// The same where every branch is searched and limits add their own turns.
const FINE: f64 = PI / 32.0;
/// Residuals, mm, this near to each other are as good as each other: the flexion nearer
/// the rest is then taken.
const ALIKE: f64 = 1e-9;
/// A distance, mm, that is none.
const SHORT: f64 = 1e-10;
/// Enough halvings of π/16 to leave neighbouring numbers.
const HALVINGS: u32 = 64;

/// What a finger's flexion is made of.
#[derive(Clone, Copy)]
pub(super) struct Flexion {
    pub(super) coupling: f64,
    pub(super) rest: f64,
    pub(super) collapse: f64,
    pub(super) give: f64,
}

/// What was found.
pub(super) struct Reach {
    /// The farthest the pad can be from the base within its limits, mm.
    pub(super) farthest: f64,
    pub(super) iterations: u32,
}

/// Flexes the finger until its pad is as far from the knuckle as the target, on the branch of
/// the distance that holds the rest flexion, then turns the knuckle in closed form. If limits
/// or reach forbid that, the least distance over all faces of the limits is sought: for any
/// flexion the best knuckle is known in closed form on each of its faces, which leaves one
/// search along the flexion, its ends included.
pub(super) fn solve(task: &mut Task, flexion: Flexion) -> Reach {
    let [base, middle, last] = &mut task.scratch.links[..] else {
        unreachable!("the plan admits finger anchors with three joints only");
    };
    let (Some(middle_axis), Some(last_axis)) = (middle.hinge(), last.hinge()) else {
        unreachable!("the plan admits finger anchors with two hinges only");
    };
    if flexion.collapse > 0.0 {
        last.limits[last_axis].0 -= flexion.give;
    }
    let saddle = Saddle::new(base, task.target);
    let coupling = flexion.coupling - flexion.collapse;
    let pad = Pad::new(middle, last, task.tip, coupling, |v| saddle.seen(v));
    let mut search = Search::new(&pad, &saddle, middle.limits[middle_axis], flexion.rest);
    let (q, aim) = search.planted().unwrap_or_else(|| search.nearest());

    base.set_angles(saddle.angles(aim.angles));
    let turn = |link: &mut link::Link, axis: usize, angle: f64| {
        let mut angles = link.angles;
        angles[axis] = angle;
        link.set_angles(angles);
    };
    turn(middle, middle_axis, q);
    turn(last, last_axis, pad.last(q));
    let reach = Reach {
        farthest: search.farthest(),
        iterations: search.used,
    };
    link::settle(&mut task.scratch.links, 0);
    reach
}

/// A flexion, and what is measured there.
#[derive(Clone, Copy)]
struct Side {
    at: f64,
    value: f64,
}

struct Search<'a> {
    pad: &'a Pad,
    saddle: &'a Saddle,
    range: (f64, f64),
    rest: f64,
    used: u32,
}

impl<'a> Search<'a> {
    fn new(pad: &'a Pad, saddle: &'a Saddle, limits: (f64, f64), rest: f64) -> Self {
        let (low, high) = pad.range(limits);
        // Flexion is not taken past half a turn from the rest.
        let low = if low < rest - PI { rest - PI } else { low };
        let high = if high > rest + PI { rest + PI } else { high };
        Self {
            pad,
            saddle,
            range: (low, high),
            rest: link::inside(rest, low, high),
            used: 0,
        }
    }

    fn place(&mut self, q: f64) -> Place {
        self.used += 1;
        self.pad.at(q)
    }

    /// How much farther the pad is than the target, by squares.
    fn excess(&self, place: &Place) -> f64 {
        let (far, distance) = (place.at.norm(), self.saddle.distance());
        (far - distance) * (far + distance)
    }

    /// The flexion on the rest's branch at which the pad is as far as the target, and the
    /// knuckle angles that bring it there, if the limits allow both.
    fn planted(&mut self) -> Option<(f64, Aim)> {
        let start = self.place(self.rest);
        let mut here = Side {
            at: self.rest,
            value: self.excess(&start),
        };
        let rising = start.outward() > 0.0;
        let upward = rising != (here.value > 0.0);
        let q = if here.value == 0.0 {
            here.at
        } else {
            let branch = self.walk(here, rising, upward, |search, place| search.excess(place));
            let there;
            (here, there) = branch;
            if (there.value > 0.0) == (here.value > 0.0) && there.value != 0.0 {
                return None;
            }
            self.level(here, there)
        };
        let place = self.place(q);
        self.saddle.point(&place.at).map(|aim| (q, aim))
    }

    /// Walks along the branch until `measure` changes sign or the branch or the range ends;
    /// the last two places met.
    fn walk(
        &mut self,
        mut here: Side,
        rising: bool,
        upward: bool,
        measure: impl Fn(&Self, &Place) -> f64,
    ) -> (Side, Side) {
        let end = if upward { self.range.1 } else { self.range.0 };
        loop {
            let next = if upward {
                here.at + STEP
            } else {
                here.at - STEP
            };
            let at = link::inside(next, self.range.0, self.range.1);
            let place = self.place(at);
            let there = Side {
                at,
                value: measure(self, &place),
            };
            if (there.value > 0.0) != (here.value > 0.0) {
                return (here, there);
            }
            if (place.outward() > 0.0) != rising && at != here.at {
                let turning = self.turning(here.at, at);
                let place = self.place(turning);
                return (
                    here,
                    Side {
                        at: turning,
                        value: measure(self, &place),
                    },
                );
            }
            if at == end {
                return (here, there);
            }
            here = there;
        }
    }

    /// Where between the two the distance stops growing or shrinking.
    fn turning(&mut self, a: f64, b: f64) -> f64 {
        let [a, b] = [a, b].map(|at| Side {
            at,
            value: self.place(at).outward(),
        });
        self.zero(a, b, 1e-12, |search, q| search.place(q).outward())
    }

    /// Where the excess is zero between two places on either side: Newton's rule, or a
    /// halving where that leaves the bracket, as it does on the flat near the straight pose.
    fn level(&mut self, mut here: Side, mut there: Side) -> f64 {
        let distance = self.saddle.distance();
        let small = 1e-15 * distance * distance;
        let mut q = here.at - here.value * (there.at - here.at) / (there.value - here.value);
        for _ in 0..HALVINGS {
            let place = self.place(q);
            let excess = self.excess(&place);
            if libm::fabs(excess) <= small {
                break;
            }
            let side = if (excess > 0.0) == (here.value > 0.0) {
                &mut here
            } else {
                &mut there
            };
            *side = Side {
                at: q,
                value: excess,
            };
            let next = q - excess / (2.0 * place.outward());
            let (low, high) = if here.at < there.at {
                (here.at, there.at)
            } else {
                (there.at, here.at)
            };
            // Written so that a quotient that is not a number halves too.
            q = if next > low && next < high {
                next
            } else {
                0.5 * (low + high)
            };
            if q == low || q == high {
                break;
            }
        }
        q
    }

    /// A zero of `f` between two places of unlike sign: the Illinois rule (a secant that halves
    /// the value at an end kept twice), halving when that is slow. What `f` is the slope of
    /// is then within `small` of its least or greatest, for a slope falls towards its zero.
    fn zero(
        &mut self,
        mut a: Side,
        mut b: Side,
        small: f64,
        f: impl Fn(&mut Self, f64) -> f64,
    ) -> f64 {
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
            let value = f(self, at);
            if (value > 0.0) == (b.value > 0.0) {
                a.value *= 0.5;
            } else {
                a = b;
            }
            b = Side { at, value };
        }
        b.at
    }

    /// The flexion and knuckle that bring the pad nearest to the target.
    fn nearest(&mut self) -> (f64, Aim) {
        let (low, high) = self.range;
        let steps = libm::ceil((high - low) / FINE);
        let mut before: Option<Side> = None;
        let mut best = self.aimed(self.rest);
        let mut at = low;
        let mut count = 0.0;
        loop {
            let here = self.aimed(at);
            self.offer(&mut best, here);
            let side = Side {
                at,
                value: here.slope,
            };
            if let Some(last) = before.filter(|last| last.value < 0.0 && side.value > 0.0) {
                let q = self.zero(last, side, SHORT * SHORT, |search, q| search.aimed(q).slope);
                let found = self.aimed(q);
                self.offer(&mut best, found);
            }
            if count >= steps {
                break;
            }
            before = Some(side);
            count += 1.0;
            at = if count >= steps {
                high
            } else {
                low + count * FINE
            };
        }
        (best.q, best.aim)
    }

    fn offer(&self, best: &mut Aimed, other: Aimed) {
        let (old, new) = (best.aim.error.norm(), other.aim.error.norm());
        let nearer = libm::fabs(other.q - self.rest) < libm::fabs(best.q - self.rest);
        if new < old - ALIKE || (nearer && new < old + ALIKE) {
            *best = other;
        }
    }

    /// The best knuckle at one flexion. Its angles being the best, the distance changes along
    /// q as if they stayed: the slope of a least value (Danskin's theorem, from memory).
    fn aimed(&mut self, q: f64) -> Aimed {
        let place = self.place(q);
        let aim = self.saddle.nearest(&place.at);
        let slope = aim.error.dot(&self.saddle.turn(aim.angles, place.slope));
        Aimed { q, aim, slope }
    }

    /// The farthest the pad can be on the rest's branch.
    fn farthest(&mut self) -> f64 {
        let start = self.place(self.rest);
        let here = Side {
            at: self.rest,
            value: 1.0,
        };
        let rising = start.outward() > 0.0;
        let (_, there) = self.walk(here, rising, rising, |_, _| 1.0);
        self.place(there.at).at.norm()
    }
}

#[derive(Clone, Copy)]
struct Aimed {
    q: f64,
    aim: Aim,
    /// Half the derivative of the squared distance left.
    slope: f64,
}
