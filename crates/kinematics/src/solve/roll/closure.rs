//! A finger in one plane, closed onto the place its end has rolled to: both equations of [`View`]
//! met by Newton's rule, or slowly and surely.
pub(crate) use super::gap::{Closure, Follow, View};
use super::gap::{Flexed, Left, positive};
use crate::Vec3;
use core::cmp::Ordering;

/// Rounds of Newton's rule; what converges needs two or three.
const ROUNDS: u32 = 12;
/// A step, radians, after which one that converges quadratically is at rest.
const STILL: f64 = 1e-7;
/// What a step may leave, radians, before its equations' third derivatives, that the slopes of the
/// round before have helped to: near straight they are some hundred and more.
const NONE: f64 = 1e-14;
/// No turn changes by more in a round, radians.
const LONGEST: f64 = 0.5;
/// Halvings of the flexion's range that leave neighbouring numbers.
const HALVINGS: u32 = 60;
/// Steps of the range in which the gap's zero is sought where it has fallen and grown again.
const SOUGHT: u32 = 16;
/// Part of a distance under which a place has no direction seen from the palm's normal.
const OVERHEAD: f64 = 1e-12;

/// What is closed.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Closed {
    pub(crate) outer: f64,
    pub(crate) inner: f64,
    pub(crate) q: f64,
    pub(crate) last: f64,
    pub(crate) pitch: f64,
    /// How far forward of the knuckle its end is, mm.
    pub(crate) reach: f64,
    /// Margin of the straightest finger, mm.
    pub(crate) margin: f64,
    /// By how much its end stays ahead of where it should be, for want of reach: never above 0.
    pub(crate) short: f64,
    /// Even the greatest flexion leaves it ahead.
    pub(crate) beyond: bool,
    pub(crate) rounds: u32,
}

/// Where the two equations hold, or as nearly as the flexion's range lets them.
#[derive(Clone, Copy)]
struct Root {
    q: f64,
    outer: f64,
    pitch: f64,
    reach: f64,
    /// Even the greatest flexion leaves the gap too large.
    beyond: bool,
}

impl View<'_> {
    /// The outer turn nearest to `kept` whose plane holds the place where the core was planted.
    fn facing(&self, kept: f64) -> f64 {
        let (sine, cosine) = libm::sincos(kept);
        let at = &self.surface.at;
        let (across, along) = (cosine * at.y + sine * at.z, cosine * at.z - sine * at.y);
        if across * across + along * along <= OVERHEAD * OVERHEAD * at.norm_squared() {
            return kept;
        }
        // A plane has no front: of two turns, half a turn apart, the nearer.
        let turn = if along < 0.0 {
            libm::atan2(across, -along)
        } else {
            libm::atan2(-across, along)
        };
        kept + turn
    }

    /// The outer turn at which the plane holds the rolled place, at one flexion.
    fn turned(&self, flexed: &Flexed, mut outer: f64, rounds: &mut u32) -> (f64, Left) {
        let mut before: Option<(f64, Left)> = None;
        for _ in 0..ROUNDS {
            *rounds += 1;
            let left = self.left(flexed, outer);
            let slope = nonzero(left.by_outer[1]);
            let by = capped(-left.aside / slope);
            // How slopes change, as the last step has told: with it a step converges cubically.
            let before_here = before.filter(|(_, was)| was.piece == left.piece);
            let (far, curves) = before_here.map_or((f64::INFINITY, [0.0; 3]), |(step, was)| {
                let curves = [
                    left.by_outer[0] - was.by_outer[0],
                    left.by_outer[1] - was.by_outer[1],
                    left.pitch_by[1] - was.pitch_by[1],
                ];
                (step, curves.map(|curve| curve / step))
            });
            let more = -0.5 * curves[1] * by * by / slope;
            let leaves = larger(more, by * by) * libm::fabs(far);
            if libm::fabs(by) <= STILL || leaves <= NONE {
                // The last step is so short that slopes and curves say what it does.
                let by = by + more;
                outer += by;
                let half = 0.5 * by * by;
                let [gap, _, bent] = curves.map(|curve| half * curve);
                let (pitch, reach) = left.moved(0.0, by);
                let mut end = left;
                end.gap = left.gap + by * left.by_outer[0] + gap;
                end.pitch = pitch + bent;
                end.reach = reach;
                end.aside = 0.0;
                return (outer, end);
            }
            outer += by;
            before = Some((by, left));
        }
        (outer, self.left(flexed, outer))
    }

    /// Closes the finger between the straightest and the greatest flexion allowed.
    pub(crate) fn close(
        &self,
        flexion: &(impl Follow + ?Sized),
        kept: f64,
        (low, high): (f64, f64),
    ) -> Closed {
        let mut rounds = 0;
        let flexed = self.flexed(flexion, low);
        let (outer, straight) = self.turned(&flexed, self.facing(kept), &mut rounds);
        let margin = straight.gap;
        let short = margin - super::hold::kneed(margin, self.closure.outline.radius);
        let root = if short >= margin || low >= high {
            Root {
                q: low,
                outer,
                pitch: straight.pitch,
                reach: straight.reach,
                beyond: low >= high && margin > short,
            }
        } else {
            let start = (outer, self.start(&flexed, &straight, short));
            self.newton(flexion, start, (low, high), short, &mut rounds)
                .unwrap_or_else(|| self.halving(flexion, outer, (low, high), short, &mut rounds))
        };
        let Root {
            q,
            outer,
            pitch,
            reach,
            beyond,
        } = root;
        let last = flexion.follow(q).0;
        let level = self.plane(outer).level();
        Closed {
            outer,
            inner: pitch - level - q - last - self.closure.straight,
            q,
            last,
            pitch,
            reach,
            margin,
            short,
            beyond,
            rounds,
        }
    }

    /// How far to flex from the straight pose, and how far to turn, until the gap has fallen as far
    /// as is wanted.
    fn start(&self, flexed: &Flexed, straight: &Left, short: f64) -> [f64; 2] {
        let turn = -straight.by_q[1] / nonzero(straight.by_outer[1]);
        let slope = -(straight.by_q[0] + turn * straight.by_outer[0]);
        let drop = straight.gap - short;
        // The gap falls from the straight pose on as a parabola does: by its slope and its curve
        // there, or if it is bent upwards by the first bone's share of the law of cosines.
        let falling = -straight.curve(flexed);
        let curve = if falling > 0.0 {
            falling
        } else {
            let closure = self.closure;
            let reach = straight.gap + self.surface.at.norm();
            libm::sqrt(closure.first.norm_sqr() * closure.second.norm_sqr()) / positive(reach)
        };
        let root = libm::sqrt(slope * slope + 2.0 * curve * drop);
        let by = 2.0 * drop / positive(slope + root);
        [by, capped(turn * by)]
    }

    /// Newton's rule on both equations; none: it does not settle, or it meets the range's end.
    fn newton(
        &self,
        flexion: &(impl Follow + ?Sized),
        (mut outer, [first, turn]): (f64, [f64; 2]),
        (low, high): (f64, f64),
        short: f64,
        rounds: &mut u32,
    ) -> Option<Root> {
        let mut q = low + first;
        if q > high {
            q = high;
        } else {
            outer += turn;
        }
        let mut stopped = false;
        let mut before: Option<([f64; 2], Left)> = None;
        for _ in 0..ROUNDS {
            *rounds += 1;
            let left = self.left(&self.flexed(flexion, q), outer);
            let ([a, c], [b, d]) = (left.by_q, left.by_outer);
            let whole = a * d - b * c;
            // The gap must fall along the flexions whose plane holds the place.
            if (whole * d).partial_cmp(&0.0) != Some(Ordering::Less) {
                return None;
            }
            let solved = |gap: f64, aside: f64| {
                [(b * aside - d * gap) / whole, (c * gap - a * aside) / whole].map(capped)
            };
            let [by_q, by_outer] = solved(left.gap - short, left.aside);
            // Steps lie in one line but for less and less: how slopes have changed along the last
            // one tells what this one leaves, and with it a step converges cubically.
            let (far, off, [gap, aside, pitch]) =
                match before.filter(|was| was.1.piece == left.piece) {
                    Some(([q, outer], was)) => {
                        let part = (by_q * q + by_outer * outer) / positive(q * q + outer * outer);
                        let half = 0.5 * part * part;
                        let bent = |now: [f64; 2], was: [f64; 2]| {
                            half * ((now[0] - was[0]) * q + (now[1] - was[1]) * outer)
                        };
                        let curves = [
                            bent([a, b], [was.by_q[0], was.by_outer[0]]),
                            bent([c, d], [was.by_q[1], was.by_outer[1]]),
                            bent(left.pitch_by, was.pitch_by),
                        ];
                        let off = larger(by_q - part * q, by_outer - part * outer);
                        (larger(q, outer), off, curves)
                    }
                    None => (f64::INFINITY, f64::INFINITY, [0.0; 3]),
                };
            let [more_q, more_outer] = solved(gap, aside);
            let (by_q, by_outer, more) = if larger(more_q, more_outer) < larger(by_q, by_outer) {
                let more = larger(more_q, more_outer);
                (by_q + more_q, by_outer + more_outer, more)
            } else {
                (by_q, by_outer, f64::INFINITY)
            };
            let next = q + by_q;
            let held = next > high || next < low;
            if held {
                if stopped {
                    return None;
                }
                stopped = true;
            }
            let next = super::super::link::inside(next, low, high);
            let step = [next - q, by_outer];
            (q, outer) = (next, outer + by_outer);
            let size = larger(step[0], step[1]);
            // Steps that do not lie in one line are not told by the last one.
            let leaves = larger(larger(more, size * size) * far, size * off);
            if size <= STILL || (leaves <= NONE && !held) {
                // Not where it was held back: there the flexion wanted is past the end.
                let (straight, reach) = left.moved(by_q, by_outer);
                return (!held || libm::fabs(by_q) <= STILL).then_some(Root {
                    q,
                    outer,
                    pitch: straight + pitch,
                    reach,
                    beyond: false,
                });
            }
            before = Some((step, left));
        }
        None
    }

    /// The gap's zero between the ends of the range, slowly and surely; the upper end if there is
    /// none.
    fn halving(
        &self,
        flexion: &(impl Follow + ?Sized),
        start: f64,
        (mut low, mut high): (f64, f64),
        short: f64,
        rounds: &mut u32,
    ) -> Root {
        let (outer, end) = self.turned(&self.flexed(flexion, high), start, rounds);
        if end.gap > short {
            // A tip past its end lets the gap grow again: the first flexion at which it has
            // fallen far enough is sought.
            let at = |step: u32| low + (high - low) * f64::from(step) / f64::from(SOUGHT);
            let mut between = 1..SOUGHT;
            let fallen = between.find(|&step| {
                let (_, left) = self.turned(&self.flexed(flexion, at(step)), start, rounds);
                left.gap <= short
            });
            let Some(step) = fallen else {
                return Root {
                    q: high,
                    outer,
                    pitch: end.pitch,
                    reach: end.reach,
                    beyond: true,
                };
            };
            (low, high) = (at(step - 1), at(step));
        }
        let mut root = Root {
            q: low,
            outer: start,
            pitch: end.pitch,
            reach: end.reach,
            beyond: false,
        };
        for _ in 0..HALVINGS {
            let middle = low + 0.5 * (high - low);
            if middle <= low || middle >= high {
                break;
            }
            let (outer, left) = self.turned(&self.flexed(flexion, middle), start, rounds);
            root = Root {
                q: middle,
                outer,
                pitch: left.pitch,
                reach: left.reach,
                ..root
            };
            if left.gap > short {
                low = middle;
            } else {
                high = middle;
            }
        }
        root
    }
}

/// The greater of two sizes.
fn larger(a: f64, b: f64) -> f64 {
    let (a, b) = (libm::fabs(a), libm::fabs(b));
    if a > b { a } else { b }
}

/// A divisor that is never 0.
fn nonzero(value: f64) -> f64 {
    if value == 0.0 {
        f64::MIN_POSITIVE
    } else {
        value
    }
}

/// A step no longer than [`LONGEST`]; none where it is no number.
fn capped(step: f64) -> f64 {
    if step > LONGEST {
        LONGEST
    } else if step < -LONGEST {
        -LONGEST
    } else if step.is_nan() {
        0.0
    } else {
        step
    }
}

/// Whether a direction is the knuckle's inner axis.
pub(crate) fn is_inner(axis: &Vec3) -> bool {
    axis.y > 0.0 && libm::hypot(axis.x, axis.z) <= 1e-9
}
