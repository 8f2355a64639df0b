//! A hand that wraps round a rail or a bench's edge: its palm's flesh rests on that, and each
//! finger is bent as far as its flesh lets it until its tip touches.
use super::skeleton::Bent;
use super::standing::{Standing, first, first_of};
use crate::flesh::Kind;
use recipe::bones::{COUPLING, range};
use rig::*;

/// How far flesh gives way where it rests, mm: the palm's, and a digit's. Chosen here.
const PALM_GIVES: f64 = 0.5;
const DIGIT_GIVES: f64 = 0.1;
/// How far ahead of its knuckle a tip stays, as a part of the straight finger: right under it
/// nothing could turn it aside. Chosen here.
const AHEAD: f64 = 0.15;
/// Degrees of the knuckle between the places first tried.
const STEP: f64 = 5.0;
/// Steps in which the middle joint's whole bend is looked through: 3° at most.
const MIDDLE_STEPS: u32 = 34;
/// Halvings of one step: to a millionth of a degree.
const HALVINGS: u32 = 22;

impl Standing<'_> {
    /// The wrist moved up or down so far that the palm's flesh rests on the surface.
    pub(super) fn rested(&self, wrist: &Transform) -> Transform {
        let at = |height: f64| {
            let mut wrist = *wrist;
            wrist.translation.vector.y = height;
            wrist
        };
        let off = |height: f64| self.palm(&at(height)) + PALM_GIVES;
        let hand = 100.0 * self.scale.long;
        at(first(off, hand, 0.0 - hand).unwrap_or(wrist.translation.vector.y))
    }

    /// How far the flesh of the palm is from the surface, mm, but for what the digits carry.
    fn palm(&self, wrist: &Transform) -> f64 {
        let clear = |node, at: &Transform| {
            self.flesh
                .clearance_at(node, at, self.form, Some(Kind::Palm))
        };
        let own = clear(super::make::id(self.document, "wrist"), wrist);
        let fingers = self.hand.digits.iter().filter(|digit| !digit.thumb);
        fingers.fold(own, |least, digit| {
            let bent = self.bent(wrist, digit, "metacarpal");
            let (node, at) = bent.joints(&[]).last().expect("a digit has one");
            let here = clear(node, &at);
            if here < least { here } else { least }
        })
    }

    /// Degrees of knuckle and middle joint at which a finger's tip touches and the rest of its
    /// flesh does as nearly as it can without sinking: the most flexed knuckle there is for it.
    pub(super) fn wrapped(&self, bent: &Bent, radius: f64, slack: f64) -> Option<(f64, f64)> {
        let finger = Finger {
            standing: self,
            bent,
            radius,
            slack,
        };
        let ahead = AHEAD * finger.ahead(&[]);
        let clear = |way: &Way| finger.off(way) + DIGIT_GIVES >= 0.0;
        finger
            .most(|way| clear(way) && finger.ahead(way) >= ahead)
            .or_else(|| finger.most(clear))
            .or_else(|| finger.least_sunk())
    }
}

/// A finger's turns, metacarpal first, degrees about x and z.
type Way = [[f64; 2]];

fn way((knuckle, middle): (f64, f64)) -> [[f64; 2]; 4] {
    let last = COUPLING * middle;
    [[0.0; 2], [0.0, knuckle], [0.0, middle], [0.0, last]]
}

/// A finger being bent until its tip touches.
struct Finger<'a> {
    standing: &'a Standing<'a>,
    bent: &'a Bent,
    /// Of its tip, mm.
    radius: f64,
    /// Degrees that its middle joint is bent by at least.
    slack: f64,
}

impl Finger<'_> {
    /// Knuckle and middle joint where the tip first touches as the latter bends.
    fn touching(&self, knuckle: f64) -> Option<(f64, f64)> {
        let off = |middle: f64| {
            let tip = self.bent.frame(&way((knuckle, middle)));
            self.standing.off(&tip.translation.vector, self.radius)
        };
        let middle = first_of(MIDDLE_STEPS, off, self.slack, range::MIDDLE.1)?;
        Some((knuckle, middle))
    }

    /// How far all its flesh is from the surface, mm.
    fn off(&self, way: &Way) -> f64 {
        self.standing.clear(self.bent, way, 1)
    }

    /// How far its tip is ahead of its knuckle, along the straight finger, mm.
    fn ahead(&self, way: &Way) -> f64 {
        let (_, root) = self.bent.joints(&[]).nth(1).expect("a knuckle");
        let tip = self.bent.frame(way).translation.vector;
        0.0 - root.inverse_transform_point(&tip.into()).y
    }

    fn knuckles() -> impl Iterator<Item = f64> {
        let (least, most) = range::KNUCKLE_FLEXION;
        (0..=((most - least) / STEP) as u32).map(move |step| most - f64::from(step) * STEP)
    }

    /// The most flexed knuckle at which it touches and is good.
    fn most(&self, good: impl Fn(&Way) -> bool) -> Option<(f64, f64)> {
        let look = |knuckle| self.touching(knuckle).filter(|turns| good(&way(*turns)));
        let mut found = Self::knuckles().find_map(look)?;
        let mut beyond = found.0 + STEP;
        for _ in 0..HALVINGS {
            let half = 0.5 * (found.0 + beyond);
            match look(half) {
                Some(turns) => found = turns,
                None => beyond = half,
            }
        }
        Some(found)
    }

    fn least_sunk(&self) -> Option<(f64, f64)> {
        let mut best: Option<(f64, (f64, f64))> = None;
        for turns in Self::knuckles().filter_map(|knuckle| self.touching(knuckle)) {
            let off = self.off(&way(turns));
            if best.is_none_or(|(most, _)| off > most) {
                best = Some((off, turns));
            }
        }
        best.map(|(_, turns)| turns)
    }
}
