//! A thumb let go: it rests on the surface by the outer turn of its base.
//!
//! A sphere of flesh stands at k + d·sin(u) over the surface, u being the outer turn up to a sign
//! and an origin: where it touches is an arcsine. Near upright, where that grows without end, it
//! goes on by its tangent.
use super::super::pad::{Frame, Pad, rotated};
use super::super::saddle::swung;
use super::lying::Surface;
use super::roll::eased;
use crate::{Contact, Vec3};
use core::f64::consts::PI;

/// From which pitch of a sphere about the base its touch goes by the tangent, radians: let go, and
/// held, when the touch is to be the held pose's own. A finger's.
const STEEP: [f64; 2] = [60.0 * PI / 180.0, 89.0 * PI / 180.0];
/// Radians over which rest and touch pass into each other, let go. Chosen here.
const SOFT: f64 = 3.0 * PI / 180.0;
/// From which hold on spheres that do not hold lift less, to nothing when fully held. Chosen here.
const LATE: f64 = 0.75;

/// Of tip, pad, last and middle joint: where, with the outer turn at 0, and how large.
pub(super) fn spheres(
    pad: &Pad,
    frame: &Frame,
    contact: &Contact,
    [_, inner, middle, last]: [f64; 4],
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

/// What the outer turn is to change by.
pub(super) fn lift(
    spheres: &[(Vec3, f64); 4],
    radius: f64,
    surface: &Surface,
    outer: f64,
    hold: f64,
) -> f64 {
    let up = surface.normal;
    let (s, c) = libm::sincos(outer);
    // Height k + p·cos + q·sin of the outer turn.
    let wave = |at: Vec3| {
        let cosine = up.y * at.y + up.z * at.z;
        let sine = up.z * at.y - up.y * at.z;
        (up.x * at.x - up.dot(&surface.at), cosine, sine)
    };
    let (_, cosine, sine) = wave(spheres[0].0);
    let way = if sine * c - cosine * s < 0.0 {
        -1.0
    } else {
        1.0
    };
    let steep = STEEP[0] * (1.0 - hold) + STEEP[1] * hold;
    let (limit, room) = libm::sincos(steep);
    let free = 1.0 - hold;
    let mut lift = 0.0;
    for (index, &(at, size)) in spheres.iter().enumerate() {
        let (level, cosine, sine) = wave(at);
        let far = libm::sqrt(cosine * cosine + sine * sine);
        let short = size - radius - level;
        if far <= 1e-9 * libm::fabs(short) || far == 0.0 {
            continue;
        }
        let wanted = short / far;
        let pitch = if wanted > limit {
            steep + (wanted - limit) / room
        } else if wanted < -limit {
            -steep + (wanted + limit) / room
        } else {
            libm::asin(wanted)
        };
        let now = libm::atan2(cosine * c + sine * s, way * (sine * c - cosine * s));
        let share = if index < 2 {
            1.0
        } else {
            eased((1.0 - hold) / (1.0 - LATE))
        };
        lift = larger(lift, (pitch - now) * share, SOFT * free);
    }
    way * lift
}

/// The larger of two numbers; where they are nearer to each other than a width, more by a quarter
/// of it at most.
fn larger(a: f64, b: f64, width: f64) -> f64 {
    let larger = if a < b { b } else { a };
    let near = width - libm::fabs(a - b);
    if near > 0.0 {
        larger + 0.25 * near * near / width
    } else {
        larger
    }
}
