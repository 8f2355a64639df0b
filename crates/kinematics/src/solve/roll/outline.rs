//! The outline of a digit's end: a flat arc for the pad that passes into the tip's round end.
use crate::{Contact, Vec3};
use core::f64::consts::{FRAC_PI_2, TAU};

/// The two arcs. Outward at pitch φ is x̂·cos φ + b̂·sin φ, x̂ being out of the palm and b̂ along
/// the bone: what faces the surface when the bone points into it by φ.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Outline {
    /// Of the tip, and of the sphere that sweeps the outline, mm.
    pub(crate) radius: f64,
    pad: f64,
    changeover: f64,
    /// Cosine and sine of the changeover.
    seam: (f64, f64),
}

impl Outline {
    /// Of the tip's circle alone over what is round: the pad's arc, all but flat, lies on a
    /// rail with next to nothing of it.
    pub(crate) fn new(contact: &Contact) -> Self {
        let (sine, cosine) = libm::sincos(contact.changeover);
        Self {
            radius: contact.radius,
            pad: match contact.round {
                Some(_) => contact.radius,
                None => contact.pad,
            },
            changeover: contact.changeover,
            seam: (cosine, sine),
        }
    }

    /// The pitch of a bone with these directions over a surface with that normal, wrapped.
    pub(crate) fn pitch(palm: &Vec3, bone: &Vec3, normal: &Vec3) -> f64 {
        Self::wrapped(libm::atan2(-bone.dot(normal), -palm.dot(normal)))
    }

    /// The pitch as the arcs count it. A bone that points straight up is where it wraps, for no
    /// end is in touch there.
    pub(crate) fn wrapped(pitch: f64) -> f64 {
        if pitch < -FRAC_PI_2 {
            pitch + TAU
        } else {
            pitch
        }
    }

    /// By how much a pitch is on the tip's arc; below 0: on the pad's.
    pub(crate) fn over(&self, pitch: f64) -> f64 {
        pitch - self.changeover
    }

    /// Whether the pad's arc is in touch at a pitch.
    pub(crate) fn is_pad(&self, pitch: f64) -> bool {
        pitch < self.changeover
    }

    /// The radius in touch, mm: how far the contact moves on per radian of pitch.
    pub(crate) fn rate(&self, pitch: f64) -> f64 {
        if self.is_pad(pitch) {
            self.pad
        } else {
            self.radius
        }
    }

    /// How far the contact moves on from one pitch to another, mm.
    pub(crate) fn rolled(&self, from: f64, to: f64) -> f64 {
        self.along(to) - self.along(from)
    }

    /// How much farther than on the tip's arc it does, for what is on the pad's, mm.
    pub(crate) fn padded(&self, from: f64, to: f64) -> f64 {
        let over = |pitch: f64| {
            if self.is_pad(pitch) {
                self.over(pitch)
            } else {
                0.0
            }
        };
        self.flat() * (over(to) - over(from))
    }

    fn along(&self, pitch: f64) -> f64 {
        self.rate(pitch) * (pitch - self.changeover)
    }

    /// How much larger the pad's arc is than the tip's, mm.
    pub(crate) fn flat(&self) -> f64 {
        self.pad - self.radius
    }

    /// From the tip's centre to that of the pad's arc: (along the bone, out of the palm), mm.
    pub(crate) fn pad_centre(&self) -> [f64; 2] {
        let (cosine, sine) = self.seam;
        [-self.flat() * sine, -self.flat() * cosine]
    }

    /// From the tip's centre to the core's place that is over the contact, for the directions out
    /// of the palm and along the bone.
    pub(crate) fn core(&self, palm: &Vec3, bone: &Vec3, pitch: f64) -> Vec3 {
        if !self.is_pad(pitch) {
            return Vec3::zeros();
        }
        let (sine, cosine) = libm::sincos(pitch);
        palm * (self.flat() * (cosine - self.seam.0)) + bone * (self.flat() * (sine - self.seam.1))
    }
}
