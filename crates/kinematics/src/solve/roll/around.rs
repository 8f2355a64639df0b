//! What a digit that is let go rests on a round surface with, and how far its base must open.
//!
//! A bone's flesh, the hull of two balls, is clear of a convex surface where some plane that
//! touches the surface has both balls on its far side. Over one plane a ball asks for what it asks
//! for over a flat surface (`touch.rs`); of all planes the one counts over which the greater of
//! both asks least. As the plane rolls round, that greatest falls and then grows: its least is
//! where its slope changes its sign.
use super::gap::positive;
use super::touch::{Ball, steep};
use super::unrolled::Section;
use crate::Vec3;
use core::f64::consts::PI;

/// How far round from the plane that faces the base one is sought, radians.
const ROUND: f64 = 0.95 * PI;
/// Parts of that in which one is looked for: what is far enough from the base to pass on the other
/// side of a rail asks for little there too.
const PARTS: u32 = 6;
/// Halvings of one: to a nanometre.
const HALVINGS: u32 = 33;
/// How fast, radians, what is asked for grows over a plane that no turn brings the ball over: this
/// times the square of the part of its distance that is wanting. Chosen here.
const BARRED: f64 = 20.0;
/// Under this part of a ball's distance from the base's axis the plane's part of its circle is
/// none.
const FLAT: f64 = 1e-9;
/// Width, radians, over which one bone takes over from another when nothing is held: less than on
/// a flat surface, for two bones meet at a joint that both ask for alike. Chosen here.
const SOFT: f64 = 3.0 / 180.0 * PI;

/// A ball of flesh that a base carries about an axis through its own place.
#[derive(Clone, Copy)]
pub(crate) struct Carried {
    /// From the base, mm.
    pub(crate) at: Vec3,
    pub(crate) radius: f64,
}

/// One round the axis that opens.
struct Circle {
    /// Along the axis, from it to the ball, and square to both, in the way it opens.
    along: Vec3,
    out: Vec3,
    round: Vec3,
    radius: f64,
    /// Its pitch over the plane that faces the base, wrapped, and that plane's view of it.
    pitch: f64,
    facing: (f64, f64),
}

impl Circle {
    fn new(ball: &Carried, opens: &Vec3, facing: &Vec3) -> Self {
        let along = opens * opens.dot(&ball.at);
        let out = ball.at - along;
        let round = opens.cross(&out);
        let seen = (facing.dot(&out), facing.dot(&round));
        let pitch = Ball {
            pitch: libm::atan2(-seen.0, seen.1),
            room: 0.0,
        };
        Self {
            along,
            out,
            round,
            radius: ball.radius,
            pitch: pitch.wrapped(),
            facing: seen,
        }
    }

    /// What it asks for over the plane at a place of the section with these directions, and how
    /// that grows as the plane rolls on.
    fn ask(&self, section: &Section, [off, on]: &[Vec3; 2], held: f64) -> (f64, f64) {
        let (n, m) = (off.dot(&self.out), off.dot(&self.round));
        let (n_by, m_by) = (on.dot(&self.out), on.dot(&self.round));
        let least = FLAT * self.out.norm();
        let up = libm::hypot(n, m);
        let up = positive(if up > least { up } else { least });
        let from = section.axis - self.along;
        let short = off.dot(&from) + section.radius + self.radius;
        let short_by = on.dot(&from);
        let up_by = (n * n_by + m * m_by) / up;
        let (n_then, m_then) = self.facing;
        // How far the plane has turned against the ball's circle since it faced the base.
        let turned = libm::atan2(m_then * -n + n_then * m, m_then * m + n_then * n);
        let room = -short / up;
        let ball = Ball {
            pitch: self.pitch + turned,
            room,
        };
        let pitch_by = (n * m_by - n_by * m) / (up * up);
        let room_by = (short * up_by / up - short_by) / up;
        let (rise, slope) = steep(room, held);
        let under = if room < -1.0 { room + 1.0 } else { 0.0 };
        (
            ball.pitch - rise + BARRED * under * under,
            pitch_by + (2.0 * BARRED * under - slope) * room_by,
        )
    }
}

/// By how much, radians, a bone must be turned about an axis to be clear of a round surface; below
/// 0: may be turned the other way. `held` is how fully the digit is.
pub(crate) fn excess(section: &Section, bone: &[Carried; 2], opens: &Vec3, held: f64) -> f64 {
    let home = section.angle(&Vec3::zeros());
    let [facing, _] = section.ways(home);
    let circles = bone
        .each_ref()
        .map(|ball| Circle::new(ball, opens, &facing));
    let ask = |at: f64| {
        let ways = section.ways(at);
        let [a, b] = circles
            .each_ref()
            .map(|circle| circle.ask(section, &ways, held));
        if b.0 > a.0 { b } else { a }
    };
    let (first, last) = section.spread;
    // A rail has no ends: its angles go on past half a turn.
    let whole = last - first >= 2.0 * PI;
    // Rolling on from the base's side to the bone's what is asked for falls at first.
    let falls = ask(home).1 < 0.0;
    let end = home + if falls { ROUND } else { -ROUND };
    let end = if whole {
        end
    } else {
        super::super::link::inside(end, first, last)
    };
    let part = |part: u32| home + (end - home) * f64::from(part) / f64::from(PARTS);
    let way = if falls { 1.0 } else { -1.0 };
    let mut least = f64::INFINITY;
    let mut before = (home, true);
    for step in 1..=PARTS {
        let at = part(step);
        let (here, slope) = ask(at);
        let falls = way * slope < 0.0;
        if before.1 && !falls {
            let (mut low, mut high) = (before.0, at);
            for _ in 0..HALVINGS {
                let middle = 0.5 * (low + high);
                if way * ask(middle).1 < 0.0 {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            let found = ask(0.5 * (low + high)).0;
            least = if found < least { found } else { least };
        } else if falls && step == PARTS {
            least = if here < least { here } else { least };
        }
        before = (at, falls);
    }
    least
}

/// By how much to open for all of these and for none, as [`super::touch::opened`] has it.
pub(crate) fn opened(excesses: impl Iterator<Item = f64>, held: f64) -> f64 {
    super::touch::softly(excesses, SOFT * (1.0 - held))
}
