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
mod under;
mod view;

use super::pad::{Frame, Pad};
use super::roll::finger::Rolled;
use super::roll::surface::Surface;
use super::roll::unrolled::Unrolled;
use super::saddle::{Saddle, Sight};
use super::solved::Solved;
use crate::{Contact, Transform};
use core::cell::Cell;
use lying::Planted;
pub(super) use lying::slip;
use reach::Reach;
use roll::Rolling;
use under::Under;
use view::Looking;

/// What a thumb's solve needs beside its pad and its base.
#[derive(Clone, Debug, Default)]
pub(super) struct Thumb {
    reach: Reach,
    frame: Frame,
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

    fn looking<'a>(
        &'a self,
        pad: &'a Pad,
        sight: Sight<'a>,
        rolling: Option<&'a Rolling<'a>>,
    ) -> Looking<'a> {
        Looking {
            reach: &self.reach,
            pad,
            sight,
            rolling,
            used: Cell::new(0),
        }
    }

    /// Brings the pad to the target, the flexions as near to the rest as can be.
    pub(super) fn solve(&self, pad: &Pad, sight: Sight) -> Solved {
        let distance = sight.distance;
        let looking = self.looking(pad, sight, None);
        Solved {
            angles: search::still(&looking).into(),
            farthest: self.reach.farthest(),
            distance,
            iterations: looking.used.get(),
        }
    }

    /// Brings the flesh to where it has rolled, the flexions as near to the rest as can be, as far
    /// as it is held; let go it has its channels' pose, and rests on the surface. The target is
    /// seen from the base's parent.
    pub(super) fn roll(
        &self,
        (pad, saddle): (&Pad, &Saddle),
        contact: &Contact,
        target: &Transform,
        (channel, held): ([f64; 4], f64),
    ) -> Rolled {
        let seen = |target: &Transform| saddle.surface(Surface::new(target, contact));
        let unrolled = Unrolled::new(target, contact);
        if held <= 0.0 {
            // Held by nobody it has nowhere to roll to: what it has of reach is told from where
            // it was planted.
            let surface = seen(target);
            let mut rolled = Rolled {
                angles: channel,
                hold: 0.0,
                margin: self.reach.farthest() - surface.at.norm(),
                iterations: 0,
                limited: false,
            };
            let under = match &unrolled {
                Some(unrolled) => Under::Round(unrolled.section(&surface)),
                None => Under::Flat(surface),
            };
            self.rest(pad, contact, &under, &mut rolled);
            return rolled;
        }
        let used = Cell::new(0);
        let rolling = |surface| Rolling {
            frame: &self.frame,
            planted: Planted::new(surface, contact),
        };
        let round = unrolled.map(|unrolled| {
            let at = unrolled.touch(|at| {
                let surface = seen(&unrolled.flat(at));
                let rolling = rolling(surface);
                let looking = self.looking(pad, saddle.towards(surface.at), Some(&rolling));
                let view = looking.view(&search::rolled(&looking));
                used.set(used.get() + looking.used.get());
                let core = view.place.map_or(view.error, |place| {
                    place.lying.goal + view.error + place.lying.core
                });
                (core - surface.at).dot(&surface.across) - unrolled.arc(at)
            });
            (unrolled.flat(at), unrolled.section(&seen(target)))
        });
        let flat = round.as_ref().map_or(target, |(flat, _)| flat);
        let surface = seen(flat);
        let rolling = rolling(surface);
        let looking = self.looking(pad, saddle.towards(surface.at), Some(&rolling));
        let angles = search::rolled(&looking);
        let view = looking.view(&angles);
        let (distance, hold) = view.place.map_or((0.0, 1.0), |place| {
            let hold = rolling.hold(&place.lying, view.error.norm());
            (place.lying.goal.norm(), hold * held)
        });
        let mut rolled = Rolled {
            angles: angles.into(),
            hold,
            margin: self.reach.farthest() - distance,
            iterations: used.get() + looking.used.get(),
            limited: false,
        };
        if hold < 1.0 {
            for (angle, free) in rolled.angles.iter_mut().zip(channel) {
                *angle = free + hold * (*angle - free);
            }
            let under = match &round {
                Some((_, section)) => Under::Round(*section),
                None => Under::Flat(surface),
            };
            self.rest(pad, contact, &under, &mut rolled);
        }
        rolled
    }

    /// Lets what is not fully held rest on the surface and not sink.
    fn rest(&self, pad: &Pad, contact: &Contact, surface: &Under, rolled: &mut Rolled) {
        let [outer, inner, middle, last] = rolled.angles;
        let hold = rolled.hold;
        let balls = |middle, last| free::balls(pad, &self.frame, contact, [inner, middle, last]);
        // A thumb's range opens to the palm, which is down.
        let limits = &self.reach.limits;
        let way = if limits[0].0 + limits[0].1 > 0.0 {
            -1.0
        } else {
            1.0
        };
        let now = balls(middle, last);
        let lifted = outer + surface.lift(&now, contact.radius, (outer, way), hold);
        let outer = self.reach.inside(0, lifted);
        rolled.limited = outer != lifted;
        let bent = |part: f64| {
            [(middle, 2), (last, 3)].map(|(at, which)| {
                let most = limits[which].1;
                at + part * (if most > at { most - at } else { 0.0 })
            })
        };
        let part = free::bend(contact.radius, |part| {
            let [middle, last] = bent(part);
            surface.depth(&balls(middle, last), contact.radius, outer)
        });
        let [middle, last] = bent(part * free::late(hold));
        rolled.angles = [outer, inner, middle, last];
    }
}
