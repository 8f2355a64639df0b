//! Where a thumb's flesh has rolled to, by its pose, with first and second derivatives.
//!
//! Derived here, by turning the last bone's frame about the joints' axes ω: with n the direction
//! in the plane of palm and bone that points into the surface, m the level one forward and ẑ the
//! hinge's side, the pitch changes by ω·(ẑ − tan λ·n), the tilt λ by −ω·m and the heading by
//! −ω·n/cos λ. What has no direction, at a hinge upright on the surface, keeps that of planting.
use super::super::pad::{Frame, rotated};
use super::super::saddle::{Saddle, swung, tipped};
use crate::{Contact, Transform, Vec3};
use core::f64::consts::{PI, TAU};

/// mm of reach from which on a thumb is brought less near to straight than its target asks, a
/// part of the tip's radius: a finger's (1.5 mm at 7.2).
const KNEE: f64 = 1.5 / 7.2;
/// Part of that which is always left: at none the flexions would come straight at full speed and
/// stand still at once. Chosen here.
const LEFT: f64 = 0.25;
/// Over how much of the tip's radius the hold eases, and from which margin on: a finger's (8 and
/// −6.5 mm at 7.2). It begins where the knee does.
const EASE: f64 = 8.0 / 7.2;
const GONE: f64 = -6.5 / 7.2;
/// Radians of pitch over which it eases at the end of the tip's arc, and where it has ended.
const UPRIGHT: f64 = 15.0 * PI / 180.0;
const OVER: f64 = 110.0 * PI / 180.0;
/// A cosine that counts as none.
const NONE: f64 = 1e-9;

/// The surface in the saddle's coordinates.
pub(super) struct Surface {
    /// Where the core stood when it was planted.
    pub(super) at: Vec3,
    pub(super) normal: Vec3,
    /// The level direction it was planted with, and the one to its left.
    ahead: Vec3,
    aside: Vec3,
}

impl Surface {
    /// From the frame it stands in, seen from the base's parent.
    pub(super) fn new(saddle: &Saddle, contact: &Contact, frame: &Transform) -> Self {
        let [x, y, z] = [0, 1, 2].map(|i| saddle.lined(frame.rotation * Vec3::ith(i, 1.0)));
        let (s, c) = libm::sincos(contact.heading);
        let ahead = x * c - z * s;
        Self {
            at: saddle.from(frame.translation.vector),
            normal: y,
            ahead,
            aside: y.cross(&ahead),
        }
    }
}

/// What says how a thumb rolls.
pub(super) struct Rolling<'a> {
    pub(super) contact: &'a Contact,
    pub(super) frame: &'a Frame,
    pub(super) surface: Surface,
    /// The farthest the tip can be from the base, mm.
    pub(super) farthest: f64,
}

/// Where the tip's centre is to be.
pub(super) struct Place {
    /// The place brought into reach.
    pub(super) goal: Vec3,
    pub(super) slopes: [Vec3; 4],
    /// The place itself is so far from the base, mm.
    pub(super) distance: f64,
    pub(super) pitch: f64,
    /// How far it is from the base, brought into reach, and how that goes with `distance`.
    drawn: [f64; 3],
    /// The place's direction, its own slopes and what its curves are made of.
    towards: Vec3,
    ways: [Vec3; 4],
    bend: Bend,
}

/// What the place's second derivatives are made of.
struct Bend {
    axes: [Vec3; 4],
    /// The hinge's side, level.
    across: Vec3,
    /// Into the surface in the plane of palm and bone, level forward, and the hinge's side.
    into: Vec3,
    level: Vec3,
    side: Vec3,
    /// Sine and cosine of the tilt.
    tilt: (f64, f64),
    /// How pitch, tilt and heading go with the angles.
    pitch: [f64; 4],
    tilts: [f64; 4],
    heading: [f64; 4],
    /// mm along the outline, per radian of pitch.
    arc: f64,
    rate: f64,
    /// mm rolled sideways, and per radian of tilt.
    aside: f64,
    radius: f64,
    /// Half-way heading and the way to its left.
    halfway: [Vec3; 2],
    /// Core from the tip's centre, over the arcs' difference, which stands beside it.
    core: Vec3,
    wide: f64,
}

impl Rolling<'_> {
    /// At angles with these sines and cosines.
    pub(super) fn place(&self, [outer, inner, middle, last]: [(f64, f64); 4]) -> Place {
        let Self {
            contact, surface, ..
        } = self;
        let turned = |v: Vec3| tipped(outer, swung(inner, v));
        let [first, second] = self.frame.hinges;
        let hinged = |v: Vec3| turned(rotated(first, middle, v));
        let (s, c) = outer;
        let axes = [
            Vec3::x(),
            Vec3::new(0.0, c, s),
            turned(first),
            hinged(second),
        ];
        let [out, bone, side] = self
            .frame
            .last
            .map(|v| hinged(rotated(second, last, v)));

        let up = surface.normal;
        let (x, y, sine) = (-out.dot(&up), -bone.dot(&up), -side.dot(&up));
        let cosine = libm::sqrt(x * x + y * y);
        let (into, level, cosine) = if cosine > NONE {
            let (x, y) = (x / cosine, y / cosine);
            (out * x + bone * y, bone * x - out * y, cosine)
        } else {
            (-up, surface.ahead, NONE)
        };
        let pitch = libm::atan2(y, x);
        // Cut where no flesh is: at the nail.
        let pitch = if pitch < -0.75 * PI { pitch + TAU } else { pitch };
        let lean = libm::atan2(sine, cosine);
        let heading = libm::atan2(surface.aside.dot(&level), surface.ahead.dot(&level));
        let (s, c) = libm::sincos(0.5 * heading);
        let halfway = [
            surface.ahead * c + surface.aside * s,
            surface.aside * c - surface.ahead * s,
        ];
        let over = pitch - contact.changeover;
        let before = contact.pitch - contact.changeover;
        let (radius, pad) = (contact.radius, contact.pad);
        let along = |over: f64| if over < 0.0 { pad * over } else { radius * over };
        let (rate, wide) = if over < 0.0 {
            (pad, pad - radius)
        } else {
            (radius, 0.0)
        };
        let arc = along(over) - along(before);
        let aside = radius * (lean - contact.tilt);
        // Fixed in the bone, into the surface where the arcs meet.
        let (s, c) = libm::sincos(contact.changeover);
        let core = into - (out * c + bone * s);
        let across = up.cross(&level);
        let own = surface.at + halfway[0] * arc + across * aside - core * wide;

        let slant = side - into * (sine / cosine);
        let by_pitch = axes.map(|axis| axis.dot(&slant));
        let by_tilt = axes.map(|axis| -axis.dot(&level));
        let by_heading = axes.map(|axis| -axis.dot(&into) / cosine);
        let ways = [0, 1, 2, 3].map(|i| {
            let core = axes[i].cross(&core) + level * by_pitch[i];
            halfway[0] * (rate * by_pitch[i]) + halfway[1] * (0.5 * arc * by_heading[i])
                + across * (radius * by_tilt[i])
                - level * (aside * by_heading[i])
                - core * wide
        });
        let distance = own.norm();
        let drawn = self.drawn(distance);
        let towards = if distance > 0.0 {
            own / distance
        } else {
            Vec3::x()
        };
        let near = if distance > 0.0 { drawn[0] / distance } else { 1.0 };
        let slopes = ways.map(|way| {
            let out = towards.dot(&way);
            way * near + towards * ((drawn[1] - near) * out)
        });
        Place {
            goal: towards * drawn[0],
            slopes,
            distance,
            pitch,
            drawn,
            towards,
            ways,
            bend: Bend {
                axes,
                across,
                into,
                level,
                side,
                tilt: (sine, cosine),
                pitch: by_pitch,
                tilts: by_tilt,
                heading: by_heading,
                arc,
                rate,
                aside,
                radius,
                halfway,
                core,
                wide,
            },
        }
    }

    /// A distance brought into reach, with its first and second derivative: from the knee on it
    /// falls behind, and ends before full reach.
    fn drawn(&self, distance: f64) -> [f64; 3] {
        let knee = KNEE * self.contact.radius;
        let left = LEFT * knee;
        // From the knee to here it falls behind ever faster.
        let over = knee - 2.0 * left;
        let margin = self.farthest - distance;
        if margin >= knee {
            [distance, 1.0, 0.0]
        } else if margin > -over {
            let (room, width) = (margin + over, knee + over);
            let aimed = left + 0.5 * room * room / width;
            [self.farthest - aimed, room / width, -1.0 / width]
        } else {
            [self.farthest - left, 0.0, 0.0]
        }
    }

    /// How fully a pose that misses its goal by so many mm holds: by its reach, what limits leave
    /// it, and the end of the tip's arc.
    pub(super) fn hold(&self, place: &Place, missed: f64) -> f64 {
        let radius = self.contact.radius;
        let margin = self.farthest - place.distance;
        // A miss of rounding is none.
        let missed = if missed > super::downhill::REACHED { missed } else { 0.0 };
        eased((margin - GONE * radius) / (EASE * radius))
            * eased(1.0 - missed / (EASE * radius))
            * eased((OVER - place.pitch) / UPRIGHT)
    }
}

/// 0 to 1 with no slope and no bend at either end.
pub(super) fn eased(t: f64) -> f64 {
    if t <= 0.0 {
        0.0
    } else if t >= 1.0 {
        1.0
    } else {
        t * t * t * (10.0 - t * (15.0 - 6.0 * t))
    }
}

impl Place {
    /// How the i-th slope changes with the j-th angle; j is not below i.
    pub(super) fn curve(&self, i: usize, j: usize) -> Vec3 {
        let [a, b] = [self.ways[i], self.ways[j]];
        let own = self.bend.curve(i, j);
        let (towards, distance) = (self.towards, self.distance);
        let [drawn, rate, bend] = self.drawn;
        if (rate == 1.0 && bend == 0.0) || distance == 0.0 {
            return own;
        }
        let (out_a, out_b) = (towards.dot(&a), towards.dot(&b));
        let (side_a, side_b) = (a - towards * out_a, b - towards * out_b);
        let out = towards.dot(&own) + side_a.dot(&side_b) / distance;
        let turning = (side_b * out_a + side_a * out_b) / distance;
        let turned = (own - towards * out - turning) / distance;
        towards * (bend * out_a * out_b + rate * out) + turning * rate + turned * drawn
    }
}

impl Bend {
    /// Of the place itself.
    fn curve(&self, i: usize, j: usize) -> Vec3 {
        let (a, b) = (self.axes[j], self.axes[i]);
        let ((sine, cosine), across) = (self.tilt, self.across);
        let tangent = sine / cosine;
        let (into, level, side) = (self.into, self.level, self.side);
        // The joint nearer the base carries the axis of the other.
        let carried = b.cross(&a);
        let into_by = b.cross(&into) + level * self.pitch[i];
        let level_by = b.cross(&level) - into * self.pitch[i];
        let slant_by = b.cross(&side)
            - into * (self.tilts[i] / (cosine * cosine))
            - into_by * tangent;
        let pitch = carried.dot(&(side - into * tangent)) + a.dot(&slant_by);
        let tilt = -carried.dot(&level) - a.dot(&level_by);
        let heading = -(carried.dot(&into) + a.dot(&into_by)) / cosine
            + self.heading[j] * self.tilts[i] * tangent;
        let [halfway, beside] = self.halfway;
        let both = |one: &[f64; 4], other: &[f64; 4]| one[i] * other[j] + one[j] * other[i];
        let arc = halfway
            * (self.rate * pitch - 0.25 * self.arc * self.heading[i] * self.heading[j])
            + beside
                * (0.5 * self.rate * both(&self.pitch, &self.heading) + 0.5 * self.arc * heading);
        let aside = across
            * (self.radius * tilt - self.aside * self.heading[i] * self.heading[j])
            - level * (self.radius * both(&self.tilts, &self.heading) + self.aside * heading);
        let core = carried.cross(&self.core)
            + a.cross(&(b.cross(&self.core) + level * self.pitch[i]))
            + level * pitch
            + level_by * self.pitch[j];
        arc + aside - core * self.wide
    }
}
