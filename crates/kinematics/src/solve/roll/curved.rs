//! A finger on a round surface: its tip's centre, a point, brought to where it has rolled to.
//!
//! Wrapped round a rail a finger is bent so far that what lies in one plane has more than one
//! closure. But its tip's distance from the knuckle goes with its flexion alone, one way on the
//! branch that it was planted on, so that a place has one pose. What is sought is the place: how
//! far round the rail, by secants in a bracket (`unrolled.rs`), and within that how far aside.
use super::super::finger::Finger;
use super::super::saddle::{Saddle, swung, tipped};
use super::around::{self, Carried};
use super::finger::{Rolled, Roller};
use super::hold;
use super::outline::Outline;
use super::plane::Plane;
use super::surface::{Stance, Surface};
use super::touch;
use super::unrolled::{Section, Unrolled};
use crate::contact::ROOT;
use crate::{Transform, Vec3};
use core::f64::consts::PI;
use nalgebra::Complex;

/// Most places aside that are tried for one way round; each leaves a tenth and less.
const ASIDE: u32 = 30;
/// A miss, as a part of the tip's radius, that is one.
const MISSED: f64 = 1e-9;
/// What is left of the way aside, as a part of the tip's radius, that is none.
const NONE: f64 = 1e-15;
/// How far, radians, the knuckle is opened off its closure by flesh that would sink, when that is
/// seen and when nothing is held any more. Chosen here.
const OPENED: [f64; 2] = [1.2 / 180.0 * PI, 25.0 / 180.0 * PI];
/// What flesh may ask for and not get, radians: wrapped round something it gives by a millimetre of
/// what the survey allows it (chosen here; without it a finger lets go of a rail within 3° of lift).
const GIVES: f64 = 1.2 / 180.0 * PI;
/// How far its limits keep the tip from its place, as parts of its radius, alike.
const MISSES: [f64; 2] = [0.2, GOES];
/// The part of a hold that is gone where that is first seen: by then a finger counts as let go, and
/// its tip has slipped by a third of a millimetre.
const SEEN: f64 = 0.02;
/// The margin, in parts of the tip's radius, at which nothing is held any more, and the window
/// above it over which hold comes, to where the knee ends. Twice a plane's: a finger that hangs
/// over an edge lets go through more bend. Chosen here.
const LET_GO: f64 = hold::KNEE - GOES;
const GOES: f64 = 2.0 * hold::WINDOW;
/// How near the knuckle's outer axis, as parts of the tip's radius, that axis turns a tip aside in
/// full and not at all: of one right under its knuckle it would turn by anything. Chosen here.
const UNDER: [f64; 2] = [1.6, 0.4];

/// A finger whose tip is at one place.
struct Posed {
    angles: [f64; 4],
    stance: Stance,
    /// mm of reach left, before the knee.
    margin: f64,
    /// How far its limits keep it from there, mm, and the outer axis where it is near.
    missed: f64,
}

/// What does not change from place to place.
struct Curved<'a> {
    roller: &'a Roller,
    finger: &'a Finger,
    saddle: &'a Saddle,
    unrolled: &'a Unrolled,
    outline: Outline,
    section: Section,
    used: u32,
}

impl Roller {
    /// As [`Roller::solve`], on what is round.
    pub(crate) fn curved(
        &self,
        finger: &Finger,
        saddle: &Saddle,
        unrolled: &Unrolled,
        held: f64,
    ) -> Rolled {
        let contact = &self.contact;
        let seen = |target: &Transform| saddle.surface(Surface::new(target, contact));
        let section = unrolled.section(&seen(unrolled.target()));
        let mut curved = Curved {
            roller: self,
            finger,
            saddle,
            unrolled,
            outline: Outline::new(contact),
            section,
            used: 0,
        };
        let way = unrolled.touch(|way| curved.left(&seen(&unrolled.flat(way)), way).0);
        let (_, posed) = curved.left(&seen(&unrolled.flat(way)), way);
        let iterations = curved.used;

        let (excesses, _) = self.sinks(&section, &posed.angles, 1.0);
        let sunk = touch::softly(excesses.into_iter(), 0.0);
        let hold = held
            * hold::step((posed.margin - LET_GO * contact.radius) / (GOES * contact.radius))
            * hold::step((hold::TIP_ENDS - posed.stance.pitch) / hold::TIP_WINDOW)
            * eased(posed.missed / contact.radius, MISSES)
            * eased(sunk, OPENED);
        // What rounding makes more than whole is whole.
        let hold = if hold < held { hold } else { held };
        let mut angles = self.relaxed;
        for (to, angle) in angles.iter_mut().zip(posed.angles) {
            *to = if hold < 1.0 {
                *to + hold * (angle - *to)
            } else {
                angle
            };
        }
        let (excesses, level) = self.sinks(&section, &angles, hold);
        // A palm that looks up rests on nothing; held it is where it is.
        let faced = touch::faced(level);
        let open = around::opened(excesses.into_iter(), hold) * (faced + hold * (1.0 - faced));
        let stopped = self.open(saddle, &mut angles, open);
        Rolled {
            angles,
            hold,
            margin: posed.margin,
            iterations,
            limited: hold > 0.0 && (stopped || posed.missed > MISSED * contact.radius),
        }
    }

    /// By how much its last bone, its middle one and its first ask the knuckle to open, and how far
    /// the hand looks down on the surface.
    fn sinks(
        &self,
        section: &Section,
        &[outer, inner, q, last]: &[f64; 4],
        hold: f64,
    ) -> ([f64; 3], f64) {
        let turned = |angle: f64| {
            let (sine, cosine) = libm::sincos(angle);
            Complex::new(cosine, sine)
        };
        let [first, second, tip] = self.places;
        let to_last = first + second * turned(q);
        let to_tip = to_last + tip * turned(q + last);
        let [middle_flesh, last_flesh] = self.contact.joints;
        let (sine, cosine) = libm::sincos(outer);
        let inner = turned(inner);
        let ball = |at: Complex<f64>, radius: f64| {
            let at = at * inner;
            Carried {
                at: Vec3::new(at.im, -at.re * sine, at.re * cosine),
                radius,
            }
        };
        let [root, middle, last, end] = [
            ball(first * ROOT.0, ROOT.1 * middle_flesh),
            ball(first, middle_flesh),
            ball(to_last, last_flesh),
            ball(to_tip, self.contact.radius),
        ];
        // It opens against its inner axis.
        let opens = -Vec3::new(0.0, cosine, sine);
        let [off, _] = section.ways(section.angle(&Vec3::zeros()));
        let bones = [[last, end], [middle, last], [root, middle]];
        (
            bones.map(|bone| around::excess(section, &bone, &opens, hold) - hold * GIVES),
            Plane::new(&off, outer).level(),
        )
    }
}

/// What is left of a hold: a little less as soon as something is seen to give, nothing where it is
/// gone.
fn eased(by: f64, [seen, gone]: [f64; 2]) -> f64 {
    (1.0 - SEEN * hold::step(by / seen)) * hold::step(1.0 - by / gone)
}

impl Curved<'_> {
    /// What the law's way over the surface has left where the core is so far on its own, and the
    /// pose that has it there.
    fn left(&mut self, surface: &Surface, way: f64) -> (f64, Posed) {
        let along = surface.across.cross(&surface.normal);
        let start = self.section.place(self.unrolled, way);
        let aside = along.dot(&(surface.at - start));
        let still = NONE * self.outline.radius;
        let mut at = 0.0;
        let mut before: Option<(f64, f64)> = None;
        let mut round = 0;
        loop {
            let posed = self.posed(surface, start + along * (aside + at));
            let rolled = surface.rolled(&self.outline, &posed.stance) - surface.at;
            let left = along.dot(&rolled) - at;
            round += 1;
            let slope = before.map_or(f64::NAN, |(then, was)| (left - was) / (at - then));
            // Near 1 for a tip that leans less than it goes aside.
            let slope = if slope < -0.5 && slope > -2.0 {
                slope
            } else {
                -1.0
            };
            if libm::fabs(left) <= still || left.is_nan() || round >= ASIDE {
                return (surface.across.dot(&rolled) - self.unrolled.arc(way), posed);
            }
            before = Some((at, left));
            at -= left / slope;
        }
    }

    /// A place, brought as near to the plane it was planted in as it is under the knuckle.
    fn turnable(&self, place: Vec3) -> Vec3 {
        let [free, gone] = UNDER.map(|part| part * self.outline.radius);
        let off = libm::hypot(place.y, place.z);
        if off >= free {
            return place;
        }
        let aside = self.roller.contact.round.map_or(0.0, |round| round.aside);
        let (sine, cosine) = libm::sincos(self.roller.relaxed[0] + aside);
        let (aside, ahead) = (
            cosine * place.y + sine * place.z,
            cosine * place.z - sine * place.y,
        );
        let aside = aside * hold::step((off - gone) / (free - gone));
        Vec3::new(
            place.x,
            cosine * aside - sine * ahead,
            sine * aside + cosine * ahead,
        )
    }

    /// The pose whose tip's centre is at a place, as near as its reach and its limits let it.
    fn posed(&mut self, surface: &Surface, wanted: Vec3) -> Posed {
        let place = self.turnable(wanted);
        let sight = self.saddle.towards(place);
        let distance = sight.distance;
        let centre = &self.roller.solid.centre;
        let farthest = self.finger.farthest();
        let margin = farthest - distance;
        let short = farthest - hold::kneed(margin, self.outline.radius);
        // A tip larger than its finger has a knee that is longer.
        let short = if short > 0.0 { short } else { 0.0 };
        let solved = if short < distance {
            let nearer = self.saddle.towards(place * (short / distance));
            self.finger.solve(centre, &nearer)
        } else {
            self.finger.solve(centre, &sight)
        };
        self.used += solved.iterations;
        let [outer, inner, q, last] = solved.angles;
        let turns = (libm::sincos(q), libm::sincos(last));
        let (outward, inward) = (libm::sincos(outer), libm::sincos(inner));
        let turned = |pad: &super::super::pad::Pad| {
            tipped(outward, swung(inward, pad.place(turns.0, turns.1).at))
        };
        let reached = turned(centre);
        let pulled = if short < distance {
            distance - short
        } else {
            0.0
        };
        let missed = (reached - wanted).norm() - pulled;
        let [palm, bone] = [&self.roller.solid.palm, &self.roller.solid.bone].map(turned);
        Posed {
            angles: [outer, inner, q, last],
            stance: surface.stance(&palm, &bone),
            margin,
            missed,
        }
    }
}
