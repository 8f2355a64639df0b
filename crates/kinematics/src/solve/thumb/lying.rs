//! How a thumb's flesh lies on a surface, and where it has rolled to since it was planted.
//!
//! A thumb lies on its side, tilted by 70° and more, where a finger's law takes a turn about the
//! hinge for 1/cos λ of what it is. So here what rolls is the turn θ from the planted pose to
//! this one, about one axis: T = T₀ + r·θ × N + (R − r)·Δ·u, N the surface's normal, Δ what of the
//! pitch is on the pad's arc and u the half-way heading. That is the no-slip condition
//! dT = r·ω × N + (R − r)·dφ·m for any turn about one axis on the tip's arc, and on both for one
//! about a level hinge, where it is the finger's.
use super::super::link::inside;
use super::super::roll::outline::Outline;
use super::super::roll::surface::Surface;
use super::turned::Turned;
use crate::{Contact, Rotation, Transform, Vec3};

/// A cosine that counts as none.
const NONE: f64 = 1e-9;

/// A surface, and how a thumb was planted on it.
pub(super) struct Planted {
    pub(super) surface: Surface,
    pub(super) outline: Outline,
    /// Out of the palm, along the bone and to its hinge's side, as it was planted.
    bone: [Vec3; 3],
    /// How its nail faced then, as [`Lying::nail`].
    pub(super) nail: f64,
}

impl Planted {
    pub(super) fn new(surface: Surface, contact: &Contact) -> Self {
        let (up, ahead) = (surface.normal, surface.ahead);
        let aside = up.cross(&ahead);
        let (s, c) = libm::sincos(surface.tilt);
        let (side, into) = (aside * c - up * s, -(up * c) - aside * s);
        let (s, c) = libm::sincos(surface.pitch);
        let bone = [into * c - ahead * s, into * s + ahead * c, side];
        Self {
            surface,
            outline: Outline::new(contact),
            bone,
            nail: libm::asin(inside(bone[0].dot(&up), -1.0, 1.0)),
        }
    }
}

/// How it lies.
pub(super) struct Lying {
    /// Where the tip's centre is to be.
    pub(super) goal: Vec3,
    pub(super) pitch: f64,
    /// By how much the back of the bone, where its nail is, faces into the surface: a pitch past a
    /// quarter turn where it is not tilted.
    pub(super) nail: f64,
    /// Sine and cosine of the tilt.
    pub(super) tilt: (f64, f64),
    /// Into the surface in the plane of palm and bone, and level forward.
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
    /// With the last bone's directions out of the palm, along it and to its hinge's side.
    pub(super) fn new(planted: &Planted, bone: &[Vec3; 3]) -> Self {
        let Planted {
            surface, outline, ..
        } = planted;
        let [out, along, side] = bone;
        let stance = surface.stance(out, along);
        let (sine, cosine) = libm::sincos(stance.tilt);
        let level = stance.forward;
        let halfway = surface.halfway(&level);
        let core = outline.core(out, along, stance.pitch);
        let padded = outline.padded(surface.pitch, stance.pitch);
        let turned = Turned::new(&planted.bone, bone);
        let rolled = turned.by.cross(&surface.normal) * outline.radius;
        Self {
            goal: surface.at + rolled + halfway * padded - core,
            pitch: stance.pitch,
            nail: libm::asin(inside(out.dot(&surface.normal), -1.0, 1.0)),
            tilt: (sine, if cosine > NONE { cosine } else { NONE }),
            into: side.cross(&level),
            level,
            halfway: [halfway, surface.normal.cross(&halfway)],
            turned,
            core,
            wide: if outline.is_pad(stance.pitch) {
                outline.flat()
            } else {
                0.0
            },
            padded,
        }
    }
}

/// From where a thumb's tip has rolled to, to where it is: for its centre and the last bone's
/// rotation, in the frame the target is seen from.
pub(in super::super) fn slip(
    target: &Transform,
    contact: &Contact,
    centre: &Vec3,
    last: &Rotation,
) -> Vec3 {
    let planted = Planted::new(Surface::new(target, contact), contact);
    let bone = [Vec3::x(), -Vec3::y(), Vec3::z()].map(|axis| last * axis);
    centre - Lying::new(&planted, &bone).goal
}
