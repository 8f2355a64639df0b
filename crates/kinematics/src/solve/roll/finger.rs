//! A finger whose end rolls on its surface, lets go, and rests on it.
use super::super::finger::Finger;
use super::super::link::{self, Link};
use super::super::pad::Pad;
use super::super::saddle::Saddle;
use super::closure::{self, Closure, Follow, View};
use super::hold;
use super::loaded::{Loaded, Solid};
use super::outline::Outline;
use super::surface::Surface;
use super::touch::{self, Ball};
use crate::{Contact, Vec3};
use core::f64::consts::TAU;
use nalgebra::Complex;

/// What a finger's contact needs beside its flexion and its knuckle.
#[derive(Clone, Debug)]
pub(crate) struct Roller {
    pub(super) contact: Contact,
    closure: Closure,
    pub(super) solid: Solid,
    /// From the knuckle to the middle joint, on to the last and on to the tip's centre, unflexed.
    pub(super) places: [Complex<f64>; 3],
    /// All hinges are parallel, and the bones square to them.
    plane: bool,
    /// The channel pose.
    pub(super) relaxed: [f64; 4],
}

/// A finger rolled, held as far as it can be, and let down on the surface.
pub(crate) struct Rolled {
    /// Of the knuckle's outer and inner turn, the middle joint's and the last's.
    pub(crate) angles: [f64; 4],
    pub(crate) hold: f64,
    pub(crate) margin: f64,
    pub(crate) iterations: u32,
    /// A limit keeps it from its place, or from resting.
    pub(crate) limited: bool,
}

impl Follow for Finger {
    fn follow(&self, q: f64) -> (f64, f64) {
        let last = self.last(q);
        (last, self.rate(q, last))
    }
}

impl Roller {
    pub(crate) fn new(
        [base, middle, last]: &[Link; 3],
        tip: Vec3,
        saddle: &Saddle,
        contact: &Contact,
        relaxed: [f64; 4],
    ) -> Self {
        let seen = |v: Vec3| saddle.seen(base, v);
        let direction = |v: Vec3| Pad::direction(middle, last, v, seen);
        let solid = Solid {
            centre: Pad::new(middle, last, tip, seen),
            palm: direction(Vec3::x()),
            bone: direction(-Vec3::y()),
        };
        let straight = (0.0, 1.0);
        let whole = solid.centre.place(straight, straight).at;
        let bone = solid.bone.place(straight, straight).at;
        let first = seen(middle.offset.translation.vector);
        let to_last = {
            let joint = Pad::new(middle, last, Vec3::zeros(), seen);
            joint.place(straight, straight).at - first
        };
        let places = [first, to_last, whole - first - to_last];
        let axes = [
            seen(super::super::pad::hinge(middle).0),
            direction(Vec3::z()).place(straight, straight).at,
        ];
        let length: f64 = places.iter().map(|place| place.norm()).sum();
        let plane = axes.iter().all(closure::is_inner)
            && places
                .iter()
                .all(|place| libm::fabs(place.y) <= 1e-12 * length);
        let flat = |v: Vec3| Complex::new(v.z, v.x);
        let places = places.map(flat);
        let bone = flat(bone);
        let size = libm::sqrt(bone.norm_sqr());
        // A bone along the hinge has no pitch; any will do, for it is not in the plane.
        let bone = if size > 0.0 {
            bone / size
        } else {
            Complex::new(1.0, 0.0)
        };
        Self {
            contact: *contact,
            closure: Closure::new(Outline::new(contact), places, bone),
            solid,
            places,
            plane,
            relaxed,
        }
    }

    /// Another channel pose of the same bones.
    pub(crate) fn relax(&mut self, relaxed: [f64; 4]) {
        self.relaxed = relaxed;
    }

    /// For a surface seen from the base's parent, held this fully by its user.
    pub(crate) fn solve(
        &self,
        finger: &Finger,
        saddle: &Saddle,
        surface: &Surface,
        held: f64,
    ) -> Rolled {
        let surface = saddle.surface(*surface);
        let view = View {
            closure: &self.closure,
            surface,
        };
        let (low, high) = finger.range();
        let straight = link::inside(0.0, low, high);
        let closed = view.close(finger, self.relaxed[0], (straight, high));
        let radius = self.contact.radius;
        let left = hold::left(closed.margin, closed.pitch, radius);
        let hold = held * left * hold::ahead(closed.reach / self.closure.length);
        // Past upright the closure's reach goes on below nothing: no end misses its place by more
        // than the way there.
        let most = -surface.at.norm();
        let margin = if closed.margin < most {
            most
        } else {
            closed.margin
        };
        let mut iterations = closed.rounds;
        let mut limited = false;
        if hold <= 0.0 {
            return self.rested(
                &view,
                saddle,
                (self.relaxed, false),
                (self.relaxed, 0.0),
                iterations,
                margin,
            );
        }
        let (outer, past_outer) = saddle.within(0, closed.outer);
        let (inner, past_inner) = saddle.within(1, closed.inner);
        let mut angles = [outer, inner, closed.q, closed.last];
        if !self.plane || closed.beyond || past_outer != 0.0 || past_inner != 0.0 {
            let loaded = Loaded {
                solid: &self.solid,
                flexion: finger,
                surface: &surface,
                outline: &self.closure.outline,
                short: closed.short,
            };
            let [outer_limits, inner_limits] = saddle.limits();
            let bounds = [outer_limits, inner_limits, finger.range()];
            let ([outer, inner, q], tried) = loaded.least([outer, inner, closed.q], bounds);
            angles = [outer, inner, q, finger.follow(q).0];
            iterations += tried;
            limited = self.plane;
            if limited {
                // What sinks all the same is opened, for the surface is hard.
                let ([end, ..], level) = self.balls(&view, &angles);
                let open = touch::opened(core::iter::once(end.excess(1.0)), 1.0);
                self.open(saddle, &mut angles, open * touch::faced(level));
            }
        }
        if hold >= 1.0 {
            return Rolled {
                angles,
                hold,
                margin,
                iterations,
                limited,
            };
        }
        let mut blended = self.relaxed;
        for (to, angle) in blended.iter_mut().zip(angles) {
            *to += hold * (angle - *to);
        }
        self.rested(
            &view,
            saddle,
            (blended, limited),
            (angles, hold),
            iterations,
            margin,
        )
    }

    /// Lets a finger down that is not held fully, its knuckle opened as far as its flesh asks.
    fn rested(
        &self,
        view: &View,
        saddle: &Saddle,
        (mut angles, mut limited): ([f64; 4], bool),
        (closed, hold): ([f64; 4], f64),
        iterations: u32,
        margin: f64,
    ) -> Rolled {
        let (balls, level) = self.balls(view, &angles);
        let mut excesses = balls.map(|ball| ball.excess(hold));
        if hold > 0.0 {
            // Held, a joint may be where its contact has it, and that as far as it is held.
            let (held, _) = self.balls(view, &closed);
            for (excess, ball) in excesses.iter_mut().zip(held) {
                let by = ball.excess(hold);
                *excess -= hold * if by > 0.0 { by } else { 0.0 };
            }
        }
        let open = touch::opened(excesses.into_iter(), hold) * touch::faced(level);
        limited |= self.open(saddle, &mut angles, open) && hold > 0.0;
        Rolled {
            angles,
            hold,
            margin,
            iterations,
            limited,
        }
    }

    /// Opens the knuckle as far as its limit lets it; whether that is less than is asked.
    pub(super) fn open(&self, saddle: &Saddle, angles: &mut [f64; 4], by: f64) -> bool {
        let (least, _) = saddle.limits()[1];
        let (here, wanted) = (angles[1], angles[1] - by);
        // A channel may stand past the limit: it is not brought back by resting.
        let least = if here < least { here } else { least };
        angles[1] = if wanted < least { least } else { wanted };
        wanted < least
    }

    /// Its outline's end, its last joint and its middle one, and its level pitch.
    fn balls(&self, view: &View, &[outer, inner, q, last]: &[f64; 4]) -> ([Ball; 3], f64) {
        let plane = view.plane(outer);
        let level = plane.level();
        let turned = |angle: f64| {
            let (sine, cosine) = libm::sincos(angle);
            Complex::new(cosine, sine)
        };
        let [first, second, tip] = self.places;
        let to_last = first + second * turned(q);
        let bent = turned(q + last);
        let to_tip = to_last + tip * bent;
        let outline = &self.closure.outline;
        let core = view.height();
        let depth = core / plane.upright;
        let ball = |at: Complex<f64>, depth: f64| {
            let far = libm::sqrt(at.norm_sqr());
            Ball {
                pitch: level + inner + libm::atan2(at.im, at.re),
                room: depth / if far > 1e-9 { far } else { 1e-9 },
            }
        };
        let joint = |at: Complex<f64>, radius: f64| {
            ball(at, (core + outline.radius - radius) / plane.upright)
        };
        let [middle_flesh, last_flesh] = self.contact.joints;
        let mut end = ball(to_tip, depth);
        // Which arc it would rest on is told by the pitch at which it would; wrapped before it is
        // opened or flexed that far, for a bone that points back is not one that lies.
        let bone = libm::remainder(level + inner + q + last + self.closure.straight, TAU);
        if outline.is_pad(Outline::wrapped(bone) - end.excess(0.0)) {
            let [along, out] = outline.pad_centre();
            let bone = turned(self.closure.straight);
            end = ball(
                to_tip + Complex::new(along, out) * bone * bent,
                depth - outline.flat(),
            );
        }
        (
            [end, joint(to_last, last_flesh), joint(first, middle_flesh)],
            level,
        )
    }
}
