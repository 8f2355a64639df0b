//! Contact that rolls: the flesh at a digit's end, and where it was planted.
//!
//! The last bone's palmar outline is two arcs in the plane of the joint's x (out of the palm)
//! and its bone (−y), swept by a sphere: a flat arc for the pad, then the tip's round end. The
//! pitch is the angle by which the bone points into the surface: 0 lying, a quarter turn
//! upright on the tip.

/// Where a finger's own flesh begins over a round surface, as a part of its first bone (before that
/// it is the palm's), and how thick that is in parts of the flesh at its middle joint. Chosen here,
/// by the fingers of the table's hand.
pub const ROOT: (f64, f64) = (0.14, 1.2);

/// How a digit's end touches what it is held to. The anchor's end is the centre of the tip's
/// round end; the target stands where that centre (on the pad's arc: the outline's core) stood
/// when it was planted, its y off the surface there; what is flat goes on so, what is
/// [`Round`] falls away from there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// Of the tip's round end, and of the sphere that sweeps the outline, mm.
    pub radius: f64,
    /// Of the pad's arc, mm: not less than `radius`.
    pub pad: f64,
    /// The pitch, radians, at which the pad's arc gives way to the tip's.
    pub changeover: f64,
    /// Of the flesh at the middle and at the last joint, mm: what else a digit that is let go
    /// rests on the surface with.
    pub joints: [f64; 2],
    /// The pitch it was planted with, radians.
    pub pitch: f64,
    /// How far it was tilted about its bone then, radians: the last hinge's axis (z) under the
    /// surface's level.
    pub tilt: f64,
    /// The level direction it pointed then, radians from the target's x about its y.
    pub heading: f64,
    /// How its surface is round; none: it is flat.
    pub round: Option<Round>,
}

/// A surface that is a cylinder about an axis along the target's z, or a part of one that flat
/// parts go on from, tangentially: a rail, a rounded edge, a corner. Angles, radians, are those of
/// the direction off it, from the target's y towards its x.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Round {
    /// Of its section, mm; 0: a corner.
    pub radius: f64,
    /// How far ahead of the planted place, along the target's x, its axis is, mm: not 0 for what
    /// was planted on a flat part, and then the round one begins there, at the angle 0.
    pub ahead: f64,
    /// How far the knuckle was turned about its outer axis beyond its channel when it was planted,
    /// radians: a tip right under its knuckle leaves it turned so.
    pub aside: f64,
    /// Where it begins and ends.
    pub spread: (f64, f64),
}

impl Round {
    /// Whether it can be: a radius, and the planted place on it or on the flat part before or
    /// after it.
    fn is_sound(&self) -> bool {
        let (from, to) = self.spread;
        self.radius >= 0.0
            && from <= 0.0
            && to >= 0.0
            && (self.ahead <= 0.0 || from == 0.0)
            && (self.ahead >= 0.0 || to == 0.0)
    }
}

impl Contact {
    /// All its numbers.
    pub(crate) fn numbers(&self) -> [f64; 13] {
        let Self {
            radius,
            pad,
            changeover,
            joints: [middle, last],
            pitch,
            tilt,
            heading,
            round,
        } = *self;
        let [curve, ahead, aside, from, to] = round.map_or([0.0; 5], |round| {
            let (from, to) = round.spread;
            [round.radius, round.ahead, round.aside, from, to]
        });
        [
            radius, pad, changeover, middle, last, pitch, tilt, heading, curve, ahead, aside, from,
            to,
        ]
    }

    /// Whether it can be: finite, its radii positive, the pad's not below the tip's.
    pub(crate) fn is_sound(&self) -> bool {
        self.numbers().iter().all(|number| number.is_finite())
            && self.radius > 0.0
            && self.pad >= self.radius
            && self.joints.iter().all(|radius| *radius >= 0.0)
            && self.round.is_none_or(|round| round.is_sound())
    }
}
