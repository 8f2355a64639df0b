//! What a finger in one plane leaves between its end and the place that has rolled to, and how
//! that changes.
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
use nalgebra::Complex;

/// A finger that stands straight on the surface would have to pass through upright; from this
/// part of the tip's radius on what is left of its reach forward goes on as a straight line.
const UPRIGHT: f64 = 1e-2;
/// A part of a finger's length that is none.
const SLIGHT: f64 = 1e-9;

/// What does not depend on the target: the bones, seen from the last one's direction with both
/// hinges straight.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Closure {
    pub(crate) outline: Outline,
    pub(super) first: Complex<f64>,
    pub(super) second: Complex<f64>,
    /// From the last joint to the centre of the tip's arc, and to that of the pad's.
    ends: [Complex<f64>; 2],
    /// The last bone's pitch when nothing is flexed.
    pub(crate) straight: f64,
    /// The reach forward from which on less goes on as a straight line, mm.
    least: f64,
    /// Of the straightened finger, mm.
    pub(super) length: f64,
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

/// A finger flexed: from the knuckle to the middle joint and on to the last, seen from the last
/// bone, and how both together move with q, once and twice.
#[derive(Clone, Copy)]
pub(super) struct Flexed {
    chain: Complex<f64>,
    swing: Complex<f64>,
    sway: Complex<f64>,
    /// Radians of the last joint per radian of q.
    rate: f64,
}

/// What both equations leave, and their slopes by q and by the outer turn.
#[derive(Clone, Copy)]
pub(super) struct Left {
    pub(super) pitch: f64,
    /// How far forward of the knuckle the end is, mm.
    pub(super) reach: f64,
    pub(super) gap: f64,
    pub(super) aside: f64,
    pub(super) by_q: [f64; 2],
    pub(super) by_outer: [f64; 2],
    /// The pitch's slopes.
    pub(super) pitch_by: [f64; 2],
    /// The reach's.
    reach_by: [f64; 2],
    /// What the gap's second derivative is made of: the chain to the core, its depth, what the
    /// reach gets of its square, and how far it is ahead by the pitch.
    chain: Complex<f64>,
    depth: f64,
    slope: f64,
    ahead: f64,
    pub(super) piece: Piece,
}

/// Within what slopes change evenly: on one arc of the outline, the reach as its square has it or
/// gone on as a straight line, and the last joint following at one rate.
#[derive(Clone, Copy, PartialEq)]
pub(super) struct Piece {
    pad: bool,
    straight: bool,
    rate: f64,
}

impl Left {
    /// The pitch and the reach a little way on, by the slopes.
    pub(super) fn moved(&self, by_q: f64, by_outer: f64) -> (f64, f64) {
        let on = |from: f64, [q, outer]: [f64; 2]| from + q * by_q + outer * by_outer;
        (on(self.pitch, self.pitch_by), on(self.reach, self.reach_by))
    }

    /// The gap's second derivative by q, where the outline's arc stays the one in touch.
    pub(super) fn curve(&self, flexed: &Flexed) -> f64 {
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

    pub(super) fn flexed(&self, flexion: &(impl Follow + ?Sized), q: f64) -> Flexed {
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

    pub(super) fn left(&self, flexed: &Flexed, outer: f64) -> Left {
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
}

/// A divisor that is never 0, for what is not below it.
pub(super) fn positive(value: f64) -> f64 {
    if value > f64::MIN_POSITIVE {
        value
    } else {
        f64::MIN_POSITIVE
    }
}
