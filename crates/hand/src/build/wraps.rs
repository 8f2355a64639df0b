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
        let turns = |knuckle: f64, middle: f64| {
            [
                [0.0; 2],
                [0.0, knuckle],
                [0.0, middle],
                [0.0, COUPLING * middle],
            ]
        };
        let touching = |knuckle: f64| {
            let off = |middle: f64| {
                let tip = bent.frame(&turns(knuckle, middle));
                self.off(&tip.translation.vector, radius)
            };
            first_of(MIDDLE_STEPS, off, slack, range::MIDDLE.1)
        };
        let (_, root) = bent.joints(&[]).nth(1).expect("a finger has a knuckle");
        let length = |way: &[[f64; 2]]| {
            let tip = bent.frame(way).translation.vector;
            0.0 - root.inverse_transform_point(&tip.into()).y
        };
        let straight = length(&[]);
        // By how much it keeps to both, mm: what is asked of its flesh and of its tip.
        let clear = |knuckle: f64| {
            let middle = touching(knuckle)?;
            let way = turns(knuckle, middle);
            let off = self.clear(bent, &way, 1) + DIGIT_GIVES;
            let ahead = length(&way) - AHEAD * straight;
            Some((middle, if off < ahead { off } else { ahead }))
        };
        let (least, most) = range::KNUCKLE_FLEXION;
        let mut best: Option<(f64, f64, f64)> = None;
        for step in 0..=((most - least) / STEP) as u32 {
            let mut knuckle = most - f64::from(step) * STEP;
            let Some((mut middle, off)) = clear(knuckle) else {
                continue;
            };
            if off >= 0.0 {
                let mut sinks = knuckle + STEP;
                for _ in 0..HALVINGS {
                    let half = 0.5 * (knuckle + sinks);
                    match clear(half) {
                        Some((at, off)) if off >= 0.0 => (knuckle, middle) = (half, at),
                        _ => sinks = half,
                    }
                }
                return Some((knuckle, middle));
            }
            if best.is_none_or(|(_, _, least)| off > least) {
                best = Some((knuckle, middle, off));
            }
        }
        // Nothing is clear of it: what sinks least.
        best.map(|(knuckle, middle, _)| (knuckle, middle))
    }
}
