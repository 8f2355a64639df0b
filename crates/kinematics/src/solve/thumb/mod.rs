//! A thumb: two axes at its base, then two hinges that flex each on their own.
//!
//! Four freedoms for a place of three numbers. With the hinges given the base is solved in
//! closed form as a finger's is, so where no limit of the base is in the way the whole comes
//! down to the pair of flexions nearest to the rest at which the pad is as far as the target.
//! Else all four angles are sought together, from a few fixed starts. A thumb that rolls is sought
//! so too, from where the place it was planted at puts it.
mod downhill;
mod free;
mod lying;
mod reach;
mod roll;
mod search;
mod slide;
#[cfg(test)]
mod tests;
mod turned;
mod view;

use super::pad::{Frame, Pad};
use super::saddle::{Saddle, Sight};
use super::solved::Solved;
use crate::{Contact, Transform, Vec3};
use core::cell::Cell;
use lying::Surface;
use reach::Reach;
use roll::Rolling;
use view::Looking;

/// What a thumb's solve needs beside its pad and its base.
#[derive(Clone, Debug, Default)]
pub(super) struct Thumb {
    reach: Reach,
    frame: Frame,
}

/// mm from the tip's centre to where it has rolled. `last`: the last joint's frame, turned, seen
/// from the surface's; `tip`: that centre in it.
pub(super) fn missed(contact: &Contact, last: &Transform, tip: &Vec3) -> f64 {
    lying::missed(contact, last, tip)
}

impl Thumb {
    /// Works out what does not depend on the target. `limits` are the hinges'.
    pub(super) fn make(
        &mut self,
        pad: &Pad,
        frame: Frame,
        saddle: &Saddle,
        limits: [(f64, f64); 2],
        rest: [f64; 2],
    ) {
        self.reach.make(pad, saddle, limits, rest);
        self.frame = frame;
    }

    /// Brings the pad to the target, the flexions as near to the rest as can be.
    pub(super) fn solve(&self, pad: &Pad, sight: Sight) -> Solved {
        let distance = sight.distance;
        let looking = Looking {
            reach: &self.reach,
            pad,
            sight,
            rolling: None,
            used: Cell::new(0),
        };
        Solved {
            angles: search::still(&looking).into(),
            farthest: self.reach.farthest(),
            distance,
            iterations: looking.used.get(),
            hold: 1.0,
        }
    }

    /// Brings the flesh to where it has rolled, the flexions as near to the rest as can be, and
    /// tells how fully that holds. The surface is seen from the base's parent.
    pub(super) fn roll(
        &self,
        pad: &Pad,
        saddle: &Saddle,
        contact: &Contact,
        surface: &Transform,
    ) -> Solved {
        let rolling = Rolling {
            contact,
            frame: &self.frame,
            surface: Surface::new(saddle, contact, surface),
        };
        let looking = Looking {
            reach: &self.reach,
            pad,
            sight: saddle.towards(rolling.surface.at),
            rolling: Some(&rolling),
            used: Cell::new(0),
        };
        let angles = search::rolled(&looking);
        let view = looking.view(&angles);
        let (distance, hold) = view.place.map_or((0.0, 1.0), |place| {
            let hold = rolling.hold(place.lying.pitch, view.error.norm());
            (place.lying.goal.norm(), hold)
        });
        Solved {
            angles: angles.into(),
            farthest: self.reach.farthest(),
            distance,
            iterations: looking.used.get(),
            hold,
        }
    }

    /// Angles of a thumb held to this part only, brought to rest on the surface and not to sink.
    pub(super) fn rest(
        &self,
        pad: &Pad,
        saddle: &Saddle,
        (contact, surface): (&Contact, &Transform),
        angles: [f64; 4],
        hold: f64,
    ) -> [f64; 4] {
        let [outer, inner, middle, last] = angles;
        let spheres =
            |middle, last| free::spheres(pad, &self.frame, contact, [inner, middle, last]);
        let surface = Surface::new(saddle, contact, surface);
        // A thumb's range opens to the palm, which is down.
        let limits = &self.reach.limits;
        let way = if limits[0].0 + limits[0].1 > 0.0 {
            -1.0
        } else {
            1.0
        };
        let now = spheres(middle, last);
        let lift = free::lift(&now, contact.radius, &surface, (outer, way), hold);
        let outer = self.reach.inside(0, outer + lift);
        let bent = |part: f64| {
            [(middle, 2), (last, 3)].map(|(at, which)| {
                let most = limits[which].1;
                at + part * (if most > at { most - at } else { 0.0 })
            })
        };
        let part = free::bend(contact.radius, |part| {
            let [middle, last] = bent(part);
            free::depth(&spheres(middle, last), contact.radius, &surface, outer)
        });
        let [middle, last] = bent(part * free::late(hold));
        [outer, inner, middle, last]
    }
}
