//! A thumb let go: it rests on the surface by the outer turn of its base, and where that is at its
//! limit by bending.
//!
//! A ball of flesh stands at k + d·sin u over the surface, u being the outer turn up to a sign
//! and an origin: what it asks for is what a finger's asks of its knuckle.
use super::super::pad::{Frame, Pad, rotated};
use super::super::roll::hold::step;
use super::super::roll::surface::Surface;
use super::super::roll::touch::{self, Ball};
use super::super::saddle::swung;
use super::reach::REACHED;
use crate::{Contact, Vec3};

/// From which hold on balls that do not hold lift less, to nothing when fully held. Chosen here.
const LATE: f64 = 0.75;
/// Part of the tip's radius by which all of a bend has to clear the surface. Chosen here.
const CLEAR: f64 = 0.1;
/// Steps in which a bend is sought that clears the surface, and halvings after: to 1e-13 of it.
const BENDS: u32 = 8;
const HALVINGS: u32 = 40;

/// Of tip, pad, last and middle joint: where, with the outer turn at 0, and how large.
pub(super) fn balls(
    pad: &Pad,
    frame: &Frame,
    contact: &Contact,
    [inner, middle, last]: [f64; 3],
) -> [(Vec3, f64); 4] {
    let [inner, middle, last] = [inner, middle, last].map(libm::sincos);
    let ([first, second], [to_middle, to_last]) = (frame.hinges, frame.joints);
    let hinged = |v: Vec3| rotated(first, middle, v);
    let [out, bone, _] = frame.last.map(|v| hinged(rotated(second, last, v)));
    let tip = pad.place(middle, last).at;
    // Where the core is when the bone lies.
    let (s, c) = libm::sincos(contact.changeover);
    let wide = contact.pad - contact.radius;
    let lying = tip + (out * (1.0 - c) - bone * s) * wide;
    let at_last = to_middle + hinged(to_last);
    let [at_middle_radius, at_last_radius] = contact.joints;
    [
        (tip, contact.radius),
        (lying, contact.radius),
        (at_last, at_last_radius),
        (to_middle, at_middle_radius),
    ]
    .map(|(at, radius)| (swung(inner, at), radius))
}

/// What the outer turn is to change by. `way`: the sign of what lifts.
pub(super) fn lift(
    balls: &[(Vec3, f64); 4],
    radius: f64,
    surface: &Surface,
    (outer, way): (f64, f64),
    hold: f64,
) -> f64 {
    let (s, c) = libm::sincos(outer);
    let excesses = balls.iter().enumerate().filter_map(|(index, &(at, size))| {
        let [level, cosine, sine] = wave(surface, at);
        let far = libm::sqrt(cosine * cosine + sine * sine);
        let short = size - radius - level;
        if far <= 1e-9 * libm::fabs(short) || far == 0.0 {
            return None;
        }
        let ball = Ball {
            pitch: libm::atan2(-(cosine * c + sine * s), way * (sine * c - cosine * s)),
            room: -short / far,
        };
        let share = if index < 2 { 1.0 } else { late(hold) };
        Some(share * ball.excess(hold))
    });
    way * touch::opened(excesses, hold)
}

/// How deep tip or pad are in the surface, mm: the joints bending does not move, or not out of it.
pub(super) fn depth(balls: &[(Vec3, f64); 4], radius: f64, surface: &Surface, outer: f64) -> f64 {
    let (s, c) = libm::sincos(outer);
    balls[..2]
        .iter()
        .fold(f64::NEG_INFINITY, |most, &(at, size)| {
            let [level, cosine, sine] = wave(surface, at);
            let depth = size - radius - level - cosine * c - sine * s;
            if depth > most { depth } else { most }
        })
}

/// The least part of a bend at which nothing is in the surface, in so far as all of it leaves that:
/// by [`CLEAR`] and more fully, and none where it does not.
pub(super) fn bend(radius: f64, depth: impl Fn(f64) -> f64) -> f64 {
    if depth(0.0) <= REACHED {
        return 0.0;
    }
    let use_of_it = step(-depth(1.0) / (CLEAR * radius));
    if use_of_it == 0.0 {
        return 0.0;
    }
    let part = |step: u32| f64::from(step) / f64::from(BENDS);
    let Some(first) = (1..=BENDS).find(|&step| depth(part(step)) <= REACHED) else {
        return use_of_it;
    };
    let (mut low, mut high) = (part(first - 1), part(first));
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if depth(middle) <= REACHED {
            high = middle;
        } else {
            low = middle;
        }
    }
    high * use_of_it
}

/// The share that what does not hold has in the resting.
pub(super) fn late(hold: f64) -> f64 {
    step((1.0 - hold) / (1.0 - LATE))
}

/// Over the surface: k, p and q of k + p·cos + q·sin of the outer turn.
fn wave(surface: &Surface, at: Vec3) -> [f64; 3] {
    let up = surface.normal;
    [
        up.x * at.x - up.dot(&surface.at),
        up.y * at.y + up.z * at.z,
        up.z * at.y - up.y * at.z,
    ]
}
