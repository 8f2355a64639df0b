//! A finger in one plane, closed onto the place its end has rolled to.
//!
//! Lengths in the finger's plane are complex numbers: the real part along the bone (or forward
//! over the surface), the imaginary one out of the palm (or into the surface). A flexion by θ
//! is then a factor of e^{iθ}. The unknowns are the knuckle's outer turn β, which turns the plane
//! about the palm's normal, and the middle joint's flexion q; the knuckle's own flexion follows
//! from the pitch. Two equations are left: `gap`, by how far the core is ahead of the place it
//! should have rolled to, and `aside`, by how much that place is out of the plane.
use super::outline::Outline;
use super::plane::Plane;
use super::surface::Surface;
use crate::Vec3;
use core::cmp::Ordering;
use nalgebra::Complex;

/// A finger that stands straight on the surface would have to pass through upright; from this
/// part of the tip's radius on what is left of its reach forward goes on as a straight line.
const UPRIGHT: f64 = 1e-2;
/// A part of a finger's length that is none.
const SLIGHT: f64 = 1e-9;
/// Rounds of Newton's rule; what converges needs five or six.
const ROUNDS: u32 = 12;
/// A step, radians, after which one that converges quadratically is at rest.
const STILL: f64 = 1e-7;
/// An error, radians, that is none: what is left of a step that slopes of the round before have
/// helped to.
const NONE: f64 = 1e-12;
/// No turn changes by more in a round, radians.
const LONGEST: f64 = 0.5;
/// Halvings of the flexion's range that leave neighbouring numbers.
const HALVINGS: u32 = 60;
/// Steps of the range in which the gap's zero is sought where it has fallen and grown again.
const SOUGHT: u32 = 16;
/// Part of a distance under which a place has no direction seen from the palm's normal.
const OVERHEAD: f64 = 1e-12;

/// What does not depend on the target: the bones, seen from the last one's direction with both
/// hinges straight.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Closure {
    pub(crate) outline: Outline,
    first: Complex<f64>,
    second: Complex<f64>,
    /// From the last joint to the centre of the tip's arc, and to that of the pad's.
    ends: [Complex<f64>; 2],
    /// The last bone's pitch when nothing is flexed.
    pub(crate) straight: f64,
    /// The reach forward from which on less goes on as a straight line, mm.
    least: f64,
    /// Of the straightened finger, mm.
    pub(crate) length: f64,
}

/// How the last joint follows the middle one.
pub(crate) trait Follow {
    /// The last joint's flexion for the middle one's, and its slope.
    fn follow(&self, q: f64) -> (f64, f64);
}

/// A surface seen from the knuckle: along its outer axis, its inner axis and their product.
#[derive(Clone, Copy, Debug)]
pub(crate) struct View<'a> {
    pub(crate) closure: &'a Closure,
    pub(crate) surface: Surface,
}

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

/// A finger flexed: from the knuckle to the middle joint and on to the last, seen from the last
/// bone, and how both together move with q, once and twice.
#[derive(Clone, Copy)]
struct Flexed {
    chain: Complex<f64>,
    swing: Complex<f64>,
    sway: Complex<f64>,
    /// Radians of the last joint per radian of q.
    rate: f64,
}

/// What both equations leave, and their slopes by q and by the outer turn.
#[derive(Clone, Copy)]
struct Left {
    pitch: f64,
    reach: f64,
    gap: f64,
    aside: f64,
    by_q: [f64; 2],
    by_outer: [f64; 2],
    /// The pitch's slopes.
    pitch_by: [f64; 2],
    /// The reach's.
    reach_by: [f64; 2],
    /// What the gap's second derivative is made of: the chain to the core, its depth, what the
    /// reach gets of its square, and how far it is ahead by the pitch.
    chain: Complex<f64>,
    depth: f64,
    slope: f64,
    ahead: f64,
    piece: Piece,
}

/// Within what slopes change evenly: on one arc of the outline, the reach as its square has it or
/// gone on as a straight line, and the last joint following at one rate.
#[derive(Clone, Copy, PartialEq)]
struct Piece {
    pad: bool,
    straight: bool,
    rate: f64,
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

impl Left {
    /// The pitch and the reach a little way on, by the slopes.
    fn moved(&self, by_q: f64, by_outer: f64) -> (f64, f64) {
        let on = |from: f64, [q, outer]: [f64; 2]| from + q * by_q + outer * by_outer;
        (on(self.pitch, self.pitch_by), on(self.reach, self.reach_by))
    }

    /// The gap's second derivative by q, where the outline's arc stays the one in touch.
    fn curve(&self, flexed: &Flexed) -> f64 {
        let Self {
            chain,
            depth,
            reach,
            slope,
            ..
        } = *self;
        let along = |v: Complex<f64>| chain.re * v.re + chain.im * v.im;
        let across = |v: Complex<f64>| chain.re * v.im - chain.im * v.re;
        let (swing, sway) = (flexed.swing, flexed.sway);
        let square_by = 2.0 * along(swing);
        let by = slope * square_by;
        let bent = if self.piece.straight {
            0.0
        } else {
            by * by / reach
        };
        let twice = 2.0 * slope * (swing.norm_sqr() + along(sway)) - bent;
        let long = positive(chain.norm_sqr());
        let turn_by = (across(sway) - across(swing) * square_by / long) / long;
        let square = positive(reach * reach + depth * depth);
        let pitch = -depth * (twice - 2.0 * by * by * reach / square) / square - turn_by;
        twice - self.ahead * pitch
    }
}

impl Closure {
    /// From the knuckle to the middle joint, on to the last and on to the tip's centre, with
    /// every flexion 0, and the direction of the last bone then.
    pub(crate) fn new(outline: Outline, places: [Complex<f64>; 3], bone: Complex<f64>) -> Self {
        let back = bone.conj();
        let [first, second, tip] = places.map(|place| place * back);
        let [along, out] = outline.pad_centre();
        let size: f64 = places
            .iter()
            .map(|place| libm::sqrt(place.norm_sqr()))
            .sum();
        let least = UPRIGHT * outline.radius;
        Self {
            outline,
            first,
            second,
            ends: [tip, tip + Complex::new(along, out)],
            straight: libm::atan2(bone.im, bone.re),
            // A tip of next to nothing leaves the square its digits.
            least: if least > SLIGHT * size {
                least
            } else {
                SLIGHT * size
            },
            length: size,
        }
    }
}

impl View<'_> {
    pub(super) fn plane(&self, outer: f64) -> Plane {
        Plane::new(&self.surface.normal, outer)
    }

    /// How high the knuckle is over the plane in which the core moves, mm.
    pub(super) fn height(&self) -> f64 {
        -self.surface.at.dot(&self.surface.normal)
    }

    fn flexed(&self, flexion: &(impl Follow + ?Sized), q: f64) -> Flexed {
        let (last, rate) = flexion.follow(q);
        let back = |angle: f64| {
            let (sine, cosine) = libm::sincos(angle);
            Complex::new(cosine, -sine)
        };
        let first = self.closure.first * back(q + last);
        let second = self.closure.second * back(last);
        let times = |v: Complex<f64>, by: f64| Complex::new(v.im * by, -v.re * by);
        let (first_by, second_by) = (times(first, 1.0 + rate), times(second, rate));
        Flexed {
            chain: first + second,
            swing: first_by + second_by,
            sway: times(first_by, 1.0 + rate) + times(second_by, rate),
            rate,
        }
    }

    fn left(&self, flexed: &Flexed, outer: f64) -> Left {
        let (closure, surface, outline) = (self.closure, &self.surface, &self.closure.outline);
        let n = &surface.normal;
        let plane = self.plane(outer);
        let (cos_level, sin_level) = plane.level;
        let turning = -cos_level / plane.upright;
        let swing = flexed.swing;

        let depth = self.height() / plane.upright;
        let by_depth = depth * plane.into * sin_level / plane.upright;
        let least = closure.least;
        let close = |end: Complex<f64>, depth: f64| {
            let chain = flexed.chain + end;
            let square = chain.norm_sqr();
            let room = square - depth * depth;
            let straight = room < least * least;
            let (reach, slope) = if straight {
                let slope = 0.5 / least;
                ((room + least * least) * slope, slope)
            } else {
                let reach = libm::sqrt(room);
                (reach, 0.5 / reach)
            };
            let pitch = libm::atan2(
                depth * chain.re - reach * chain.im,
                reach * chain.re + depth * chain.im,
            );
            let pitch = Outline::wrapped(pitch);
            (chain, depth, (reach, slope, straight), pitch)
        };
        let mut closed = close(closure.ends[0], depth);
        let pad = outline.is_pad(closed.3);
        if pad {
            closed = close(closure.ends[1], depth - outline.flat());
        }
        let (chain, depth, (reach, slope, straight), pitch) = closed;
        let reach_by_q = 2.0 * slope * (chain.re * swing.re + chain.im * swing.im);
        let reach_by_outer = -2.0 * slope * depth * by_depth;
        let square = positive(reach * reach + depth * depth);
        let turn = (chain.re * swing.im - chain.im * swing.re) / positive(chain.norm_sqr());
        let pitch_by_q = -depth * reach_by_q / square - turn;
        let pitch_by_outer = (reach * by_depth - depth * reach_by_outer) / square;

        // Where the core should have rolled to, from the knuckle.
        let forward = &plane.forward;
        let aside = n.cross(forward);
        let halfway = surface.halfway(forward);
        let rolled = outline.rolled(surface.pitch, pitch);
        let rate = outline.rate(pitch);
        let leaned = outline.radius * (plane.tilt - surface.tilt);
        let to = surface.at + halfway * rolled + aside * leaned;
        let axis = Vec3::new(0.0, plane.cosine, plane.sine);
        let along = Vec3::new(0.0, -plane.sine, plane.cosine);
        let swerve = n.cross(&halfway) * (0.5 * rolled * turning);
        let (ahead, across) = (rate * halfway.dot(forward), rate * halfway.dot(&axis));
        Left {
            chain,
            depth,
            slope,
            ahead,
            piece: Piece {
                pad,
                straight,
                rate: flexed.rate,
            },
            pitch,
            reach,
            gap: reach - to.dot(forward),
            aside: to.dot(&axis),
            pitch_by: [pitch_by_q, pitch_by_outer],
            reach_by: [reach_by_q, reach_by_outer],
            by_q: [reach_by_q - pitch_by_q * ahead, pitch_by_q * across],
            by_outer: [
                reach_by_outer - pitch_by_outer * ahead - swerve.dot(forward)
                    + turning * (leaned - to.dot(&aside)),
                pitch_by_outer * across
                    + swerve.dot(&axis)
                    + outline.radius * sin_level * plane.upright
                    + to.dot(&along),
            ],
        }
    }

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
            if libm::fabs(by) <= STILL || libm::fabs(more * far) <= NONE {
                // The last step is so short that slopes and curves say what it does.
                let by = by + more;
                outer += by;
                let half = 0.5 * by * by;
                let [gap, _, bent] = curves.map(|curve| half * curve);
                let (pitch, reach) = left.moved(0.0, by);
                return (
                    outer,
                    Left {
                        gap: left.gap + by * left.by_outer[0] + gap,
                        pitch: pitch + bent,
                        reach,
                        aside: 0.0,
                        ..left
                    },
                );
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
            let (far, [gap, aside, pitch]) = match before.filter(|was| was.1.piece == left.piece) {
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
                    (larger(q, outer), curves)
                }
                None => (f64::INFINITY, [0.0; 3]),
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
            if size <= STILL || (more * far <= NONE && !held) {
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

/// A divisor that is never 0, for what is not below it.
fn positive(value: f64) -> f64 {
    if value > f64::MIN_POSITIVE {
        value
    } else {
        f64::MIN_POSITIVE
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
