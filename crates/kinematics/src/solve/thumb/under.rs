//! What a thumb that is let go rests on.
use super::super::roll::around::{self, Carried};
use super::super::roll::surface::Surface;
use super::super::roll::unrolled::Section;
use super::super::saddle::tipped;
use super::free;
use crate::Vec3;

/// A flat surface, or a round one.
pub(super) enum Under {
    Flat(Surface),
    Round(Section),
}

impl Under {
    /// What the base's outer turn is to change by for these balls, tip, pad, last and middle joint.
    /// `way`: the sign of what lifts.
    pub(super) fn lift(
        &self,
        balls: &[(Vec3, f64); 4],
        radius: f64,
        (outer, way): (f64, f64),
        hold: f64,
    ) -> f64 {
        let section = match self {
            Self::Flat(surface) => return free::lift(balls, radius, surface, (outer, way), hold),
            Self::Round(section) => section,
        };
        let turn = libm::sincos(outer);
        let [tip, pad, last, middle] = balls.map(|(at, radius)| Carried {
            at: tipped(turn, at),
            radius,
        });
        let late = free::late(hold);
        let bones = [
            ([tip, tip], 1.0),
            ([pad, pad], 1.0),
            ([last, tip], late),
            ([middle, last], late),
        ];
        let excesses = bones
            .iter()
            .map(|(bone, share)| share * around::excess(section, bone, &(Vec3::x() * way), hold));
        way * around::opened(excesses, hold)
    }

    /// How deep tip or pad are in the surface, mm.
    pub(super) fn depth(&self, balls: &[(Vec3, f64); 4], radius: f64, outer: f64) -> f64 {
        let section = match self {
            Self::Flat(surface) => return free::depth(balls, radius, surface, outer),
            Self::Round(section) => section,
        };
        let turn = libm::sincos(outer);
        balls[..2]
            .iter()
            .fold(f64::NEG_INFINITY, |most, (at, size)| {
                let depth = size - section.over(&tipped(turn, *at));
                if depth > most { depth } else { most }
            })
    }
}
