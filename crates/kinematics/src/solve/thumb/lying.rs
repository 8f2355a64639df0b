//! How a thumb's flesh lies on a surface, and where it has rolled to since it was planted.
//!
//! A thumb lies on its side, tilted by 70° and more, where a finger's law takes a turn about the
//! hinge for 1/cos λ of what it is. So here what rolls is the turn θ from the planted pose to
//! this one, about one axis: T = T₀ + r·θ × N + (R − r)·Δ·u, N the surface's normal, Δ what of the
//! pitch is on the pad's arc and u the half-way heading. That is the no-slip condition
//! dT = r·ω × N + (R − r)·dφ·m for any turn about one axis on the tip's arc, and on both for one
//! about a level hinge, where it is the finger's.
use super::super::saddle::Saddle;
use super::turned::Turned;
use crate::{Contact, Transform, Vec3};
use core::f64::consts::{PI, TAU};

/// A cosine that counts as none.
const NONE: f64 = 1e-9;

/// A surface and how a thumb was planted on it.
pub(super) struct Surface {
    /// Where the core stood when it was planted.
    pub(super) at: Vec3,
    pub(super) normal: Vec3,
    /// The level direction it was planted with, and the one to its left.
    ahead: Vec3,
    aside: Vec3,
    /// Out of the palm, along the bone and to its hinge's side, as it was planted.
    planted: [Vec3; 3],
}

impl Surface {
    /// In the saddle's coordinates, from the frame it stands in, seen from the base's parent.
    pub(super) fn new(saddle: &Saddle, contact: &Contact, frame: &Transform) -> Self {
        let axes = [0, 1, 2].map(|i| saddle.lined(frame.rotation * Vec3::ith(i, 1.0)));
        Self::of(contact, saddle.from(frame.translation.vector), axes)
    }

    fn of(contact: &Contact, at: Vec3, [x, y, z]: [Vec3; 3]) -> Self {
        let (s, c) = libm::sincos(contact.heading);
        let ahead = x * c - z * s;
        let aside = y.cross(&ahead);
        let (s, c) = libm::sincos(contact.tilt);
        let (side, into) = (aside * c - y * s, -(y * c) - aside * s);
        let (s, c) = libm::sincos(contact.pitch);
        Self {
            at,
            normal: y,
            ahead,
            aside,
            planted: [into * c - ahead * s, into * s + ahead * c, side],
        }
    }
}

/// How it lies.
pub(super) struct Lying {
    /// Where the tip's centre is to be.
    pub(super) goal: Vec3,
    pub(super) pitch: f64,
    /// Sine and cosine of the tilt.
    pub(super) tilt: (f64, f64),
    /// Into the surface in the plane of palm and bone, and level forward. What has no direction,
    /// at a hinge upright on the surface, keeps that of planting.
    pub(super) into: Vec3,
    pub(super) level: Vec3,
    /// Half-way heading and the way to its left.
    pub(super) halfway: [Vec3; 2],
    pub(super) turned: Turned,
    /// Core from the tip's centre.
    pub(super) core: Vec3,
    /// The pad's radius over the tip's, where it is on that; and so many mm of the way on it.
    pub(super) wide: f64,
    pub(super) padded: f64,
}

impl Lying {
    /// With the last bone's axes out of the palm, along it and to its hinge's side.
    pub(super) fn new(contact: &Contact, surface: &Surface, bone: &[Vec3; 3]) -> Self {
        let [out, along, side] = bone;
        let up = &surface.normal;
        let (x, y, sine) = (-out.dot(up), -along.dot(up), -side.dot(up));
        let cosine = libm::sqrt(x * x + y * y);
        let (into, level, cosine) = if cosine > NONE {
            let (x, y) = (x / cosine, y / cosine);
            (out * x + along * y, along * x - out * y, cosine)
        } else {
            (-up, surface.ahead, NONE)
        };
        let pitch = libm::atan2(y, x);
        // Cut where no flesh is: at the nail.
        let pitch = if pitch < -0.75 * PI {
            pitch + TAU
        } else {
            pitch
        };
        let heading = libm::atan2(surface.aside.dot(&level), surface.ahead.dot(&level));
        let (s, c) = libm::sincos(0.5 * heading);
        let halfway = [
            surface.ahead * c + surface.aside * s,
            surface.aside * c - surface.ahead * s,
        ];
        let more = contact.pad - contact.radius;
        // From where the arcs meet: 0 on the tip's.
        let on_pad = |pitch: f64| {
            let over = pitch - contact.changeover;
            if over < 0.0 { over } else { 0.0 }
        };
        let here = on_pad(pitch);
        // Fixed in the bone: into the surface at the outline's place, less that where the arcs meet.
        let bent = |pitch: f64| {
            let (s, c) = libm::sincos(pitch);
            out * c + along * s
        };
        let core = if here == 0.0 {
            Vec3::zeros()
        } else {
            (bent(contact.changeover + here) - bent(contact.changeover)) * more
        };
        let padded = more * (here - on_pad(contact.pitch));
        let turned = Turned::new(&surface.planted, bone);
        let rolled = turned.by.cross(up) * contact.radius;
        Self {
            goal: surface.at + rolled + halfway[0] * padded - core,
            pitch,
            tilt: (sine, cosine),
            into,
            level,
            halfway,
            turned,
            core,
            wide: if here < 0.0 { more } else { 0.0 },
            padded,
        }
    }
}

/// mm from the tip's centre to where it is to be. `last`: the last joint's frame, turned, seen from
/// the surface's; `tip`: that centre in it.
pub(super) fn missed(contact: &Contact, last: &Transform, tip: &Vec3) -> f64 {
    let surface = Surface::of(contact, Vec3::zeros(), [Vec3::x(), Vec3::y(), Vec3::z()]);
    let bone = [Vec3::x(), -Vec3::y(), Vec3::z()].map(|axis| last.rotation * axis);
    let lying = Lying::new(contact, &surface, &bone);
    let at = last.rotation * tip + last.translation.vector;
    (at - lying.goal).norm()
}
