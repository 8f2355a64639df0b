//! A round surface, unrolled: the plane that touches it along one line, and on it the place where
//! an end was planted.
//!
//! A cylinder is a plane rolled up. To roll on it is to roll on the plane that touches it where
//! the end does, as that plane itself rolls over it: the arc from the planted place to the line of
//! touch lies straight on the plane, and directions are told from it. So the law of planes serves,
//! and one equation is left, in how far the core has gone on the cylinder in which it moves, of
//! radius R + r: that its way there, R/(R + r) of it over the surface, is the one the law gives
//! for the pose that has it there. On a flat part that goes on from the round one the plane stays.
use super::outline::Outline;
use super::surface::Surface;
use crate::{Contact, Rotation, Round, Transform, Vec3};
use core::f64::consts::PI;

/// Most places of the core that are tried; a fair one takes four or five.
const ROUNDS: u32 = 60;
/// What is left of its way, as a part of the core's cylinder's radius, that is none.
const NONE: f64 = 1e-15;
/// No step is longer, as a part of that.
const LONGEST: f64 = 0.7;

impl Contact {
    /// The lowest place of the outline over the surface, mm: for the target, the tip's centre and
    /// the last bone's rotation, all seen from one frame.
    pub fn foot(&self, target: &Transform, centre: &Vec3, last: &Rotation) -> Vec3 {
        let under = Unrolled::new(target, self).map_or(*target, |unrolled| unrolled.under(centre));
        let normal = under.rotation * Vec3::y();
        let (palm, bone) = (last * Vec3::x(), last * -Vec3::y());
        let pitch = Outline::pitch(&palm, &bone, &normal);
        centre + Outline::new(self).core(&palm, &bone, pitch) - normal * self.radius
    }
}

/// A round surface where an end was planted on it, seen from anywhere.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Unrolled {
    target: Transform,
    round: Round,
    /// Of the cylinder in which the core moves, mm.
    far: f64,
}

impl Unrolled {
    /// None for a flat one.
    pub(crate) fn new(target: &Transform, contact: &Contact) -> Option<Self> {
        let round = contact.round?;
        Some(Self {
            target: *target,
            round,
            far: round.radius + contact.radius,
        })
    }

    /// The frame it was planted in.
    pub(crate) fn target(&self) -> &Transform {
        &self.target
    }

    /// The angle of the line of touch, and how far beyond it the core is, mm: on a flat part only.
    fn line(&self, way: f64) -> (f64, f64) {
        let (first, last) = self.round.spread;
        let at = super::super::link::inside(way / self.far, first, last);
        (at, way - self.far * at)
    }

    /// The target of a flat surface that is this one unrolled, with the core so far on its way.
    pub(crate) fn flat(&self, way: f64) -> Transform {
        let at = self.line(way).0;
        let (sine, cosine) = libm::sincos(at);
        let (off, on) = (Vec3::new(sine, cosine, 0.0), Vec3::new(cosine, -sine, 0.0));
        let axis = Vec3::new(self.round.ahead, -self.far, 0.0);
        let arc = self.round.ahead + self.round.radius * at;
        let place = axis + off * self.far - on * arc;
        let (sine, cosine) = libm::sincos(-0.5 * at);
        let turn = nalgebra::Quaternion::new(cosine, 0.0, 0.0, sine);
        Transform::from_parts(
            (self.target * nalgebra::Point3::from(place)).coords.into(),
            self.target.rotation * Rotation::new_unchecked(turn),
        )
    }

    /// The way over the surface from the planted place to a core so far on its own.
    pub(crate) fn arc(&self, way: f64) -> f64 {
        let (at, beyond) = self.line(way);
        self.round.ahead + self.round.radius * at + beyond
    }

    /// How far the core is on its way where what is left of the law's falls to 0: the zero next to
    /// the planted place.
    pub(crate) fn touch(&self, mut left: impl FnMut(f64) -> f64) -> f64 {
        let still = NONE * self.far;
        let longest = LONGEST * self.far;
        // Between them what is left changes its sign.
        let (mut low, mut high): (Option<f64>, Option<f64>) = (None, None);
        let mut at = -self.round.ahead;
        let mut before: Option<(f64, f64)> = None;
        for round in 0..ROUNDS {
            let here = left(at);
            if libm::fabs(here) <= still || here.is_nan() {
                break;
            }
            if here > 0.0 {
                low = Some(at);
            } else {
                high = Some(at);
            }
            let slope = before.map_or(f64::NAN, |(then, was)| (here - was) / (at - then));
            before = Some((at, here));
            // What has no falling slope has the one of a finger that only turns about its tip.
            let slope = if slope < 0.0 { slope } else { -1.0 };
            let mut next = at + super::super::link::inside(-here / slope, -longest, longest);
            if let (Some(low), Some(high)) = (low, high) {
                let inside = (next - low) * (next - high) < 0.0;
                if !inside || round % 8 == 7 {
                    next = low + 0.5 * (high - low);
                }
            }
            if libm::fabs(next - at) <= still {
                at = next;
                break;
            }
            at = next;
        }
        at
    }

    /// The flat surface under a tip's centre, seen as the target is.
    pub(crate) fn under(&self, centre: &Vec3) -> Transform {
        let local = self.target.inverse_transform_point(&(*centre).into());
        let (ahead, up) = (local.x - self.round.ahead, local.y + self.far);
        self.flat(self.far * libm::atan2(ahead, up))
    }

    /// The surface's axis, its directions at the angle 0 off it and forward over it, its radius and
    /// where it is round.
    pub(crate) fn section(&self, planted: &Surface) -> Section {
        let Surface {
            normal,
            across,
            at: place,
            ..
        } = *planted;
        let (first, last) = self.round.spread;
        let axis = place + across * self.round.ahead - normal * self.far;
        Section {
            axis,
            off: normal,
            on: across,
            radius: self.round.radius,
            spread: (
                if first > -PI { first } else { -PI },
                if last < PI { last } else { PI },
            ),
        }
    }
}

/// A round surface's section, in one frame.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Section {
    pub(crate) axis: Vec3,
    /// Off the surface and forward over it, at the angle 0.
    pub(crate) off: Vec3,
    pub(crate) on: Vec3,
    pub(crate) radius: f64,
    pub(crate) spread: (f64, f64),
}

impl Section {
    /// Where a core of that radius is that is so far on its way, in the section through its axis's
    /// place.
    pub(crate) fn place(&self, unrolled: &Unrolled, way: f64) -> Vec3 {
        let (at, beyond) = unrolled.line(way);
        let [off, on] = self.ways(at);
        self.axis + off * unrolled.far + on * beyond
    }

    /// Off the surface and forward over it, at an angle.
    pub(crate) fn ways(&self, at: f64) -> [Vec3; 2] {
        let (sine, cosine) = libm::sincos(at);
        [
            self.off * cosine + self.on * sine,
            self.on * cosine - self.off * sine,
        ]
    }

    /// The angle at which a place stands over it.
    pub(crate) fn angle(&self, place: &Vec3) -> f64 {
        let from = place - self.axis;
        let at = libm::atan2(from.dot(&self.on), from.dot(&self.off));
        super::super::link::inside(at, self.spread.0, self.spread.1)
    }

    /// How far a place is over it, mm; in the solid below 0.
    pub(crate) fn over(&self, place: &Vec3) -> f64 {
        let [off, _] = self.ways(self.angle(place));
        (place - self.axis).dot(&off) - self.radius
    }
}
