//! Stances that no digit gives way in: the palm carries all that touches.
use super::make::{Part, about, add, id};
use super::standing::{Contact, HIGH, Standing, Touch, first, out_of_reach, pitched};
use crate::flesh::Kind;
use recipe::bones::range;
use recipe::{Digit, Impossible};
use rig::few;
use rig::{NodeId, Transform, Vec3};
use std::f64::consts::FRAC_PI_2;

/// Degrees by which the wrist of a fist is higher than its knuckles, which would flex past their
/// range if it stood straight.
const FIST_PITCH: f64 = 98.0;

impl Standing<'_> {
    /// Upright, the row of knuckles level, the lowest of them touching; then each planted finger
    /// is flexed at its knuckle until the next joint touches, its back down.
    pub(super) fn fist(&self) -> Result<Touch, Impossible> {
        let mut wrist = Transform::from_parts(Vec3::zeros().into(), pitched(FIST_PITCH));
        let row: Vec<_> = self
            .fingers()
            .map(|digit| self.knuckle(&wrist, digit))
            .collect();
        wrist.rotation = about(Vec3::x(), slope(&row)) * wrist.rotation;
        let mut lowest: Option<(f64, NodeId)> = None;
        for digit in self.fingers() {
            let node = self.node(digit, "phalanx-proximal");
            let low = self.knuckle(&wrist, digit).y - self.flesh(node);
            if lowest.is_none_or(|(least, _)| low < least) {
                lowest = Some((low, node));
            }
        }
        let Some((low, lowest)) = lowest else {
            wrist.translation.vector.y = HIGH * self.scale.long;
            return Ok(Touch {
                wrist,
                contacts: Vec::new(),
                low: Vec::new(),
                resting: Vec::new(),
                knuckles: Vec::new(),
            });
        };
        wrist.translation.vector.y = -low;
        let (mut contacts, mut knuckles, mut low) = (Vec::new(), Vec::new(), Vec::new());
        for digit in self.fingers() {
            let at = self.knuckle(&wrist, digit);
            let (node, next) = (
                self.node(digit, "phalanx-proximal"),
                self.node(digit, "phalanx-intermediate"),
            );
            let mut add = |node, at: Vec3| {
                let radius = self.flesh(node);
                contacts.push(Contact {
                    node,
                    at,
                    radius,
                    held: None,
                });
            };
            if node == lowest {
                add(node, at);
            }
            low.push((at, self.flesh(node)));
            let bent = self.bent(&wrist, digit, "phalanx-intermediate");
            let place = |flexion: f64| bent.end(&[[0.0; 2], [0.0, flexion]]);
            let radius = self.flesh(next);
            let (_, most) = range::KNUCKLE_FLEXION;
            let flexion = first(|flexion| self.off(&place(flexion), radius), most, 0.0)
                .ok_or_else(|| out_of_reach(digit))?;
            add(next, place(flexion));
            low.push((place(flexion), radius));
            knuckles.push((digit.name.clone(), flexion));
        }
        Ok(Touch {
            wrist,
            contacts,
            low,
            resting: Vec::new(),
            knuckles,
        })
    }

    /// On the outermost finger's side, as it would come to rest: on two balls of the palm's flesh
    /// with the middle of the palm between them.
    pub(super) fn edge(&mut self) -> Result<Touch, Impossible> {
        let roll = about(Vec3::x(), FRAC_PI_2) * pitched(0.0);
        let mut wrist = Transform::from_parts(Vec3::zeros().into(), roll);
        let digits = self.hand.digits.iter().filter(|digit| !digit.thumb);
        let outer = digits.fold(None, |outer: Option<&Digit>, digit| match outer {
            Some(outer) if outer.head[0] <= digit.head[0] => Some(outer),
            _ => Some(digit),
        });
        let outer = outer.expect("a hand has a finger");
        let middle = 0.5 * self.knuckle(&wrist, outer).x;
        let level = level(&self.side(&wrist, outer), middle);
        wrist.rotation = about(Vec3::z(), level) * wrist.rotation;
        let mut side = self.side(&wrist, outer);
        let bottom = |ball: &Ball| ball.at.y - ball.radius;
        few::sort(&mut side, |a, b| bottom(a).total_cmp(&bottom(b)));
        let up = 0.0 - bottom(&side[0]);
        wrist.translation.vector.y = up;
        for ball in &mut side {
            ball.at.y += up;
        }
        let mut touch = Touch {
            wrist,
            contacts: Vec::new(),
            low: Vec::new(),
            resting: Vec::new(),
            knuckles: Vec::new(),
        };
        if self.planting.digits.is_empty() {
            return Ok(touch);
        }
        if !self.planting.digits.contains(&outer.name) {
            let digit = outer.name.clone();
            return Err(Impossible::EdgeUnplanted { digit });
        }
        touch.low = side.iter().map(|ball| (ball.at, ball.radius)).collect();
        let far = |ball: &&Ball| (ball.at.x > middle) != (side[0].at.x > middle);
        let mut feet: Vec<_> = side.iter().take(1).chain(side.iter().find(far)).collect();
        few::sort(&mut feet, |a, b| a.at.x.total_cmp(&b.at.x));
        for (ball, name) in feet.into_iter().zip(["near", "far"]) {
            let part = Part {
                name: &format!("side-contact-{name}"),
                parent: Some(ball.node),
                at: ball.within.into(),
                width: 2.0 * ball.radius,
                ..Part::mount()
            };
            touch.contacts.push(Contact {
                node: add(self.document, part),
                at: ball.at,
                radius: ball.radius,
                held: None,
            });
        }
        Ok(touch)
    }

    /// The palm's flesh that the wrist and a finger's metacarpal carry.
    fn side(&self, wrist: &Transform, digit: &Digit) -> Vec<Ball> {
        let bent = self.bent(wrist, digit, "metacarpal");
        let own = (id(self.document, "wrist"), *wrist);
        let joints = std::iter::once(own).chain(bent.joints(&[]));
        let balls = joints.flat_map(|(node, frame)| {
            let balls = self.flesh.balls(node, Kind::Palm);
            balls.map(move |(within, radius)| Ball {
                node,
                within,
                at: frame.transform_point(&within.into()).coords,
                radius,
            })
        });
        balls.collect()
    }
}

/// A ball of flesh, in the frame of the joint that carries it and in the surface's.
struct Ball {
    node: NodeId,
    within: Vec3,
    at: Vec3,
    radius: f64,
}

/// How far to turn about z, radians, for balls to lie on a plane as they would come to rest with
/// a weight at `middle`: on one before it and one behind, the others not lower.
fn level(balls: &[Ball], middle: f64) -> f64 {
    let turned = |near: &Ball, far: &Ball| {
        let along = far.at - near.at;
        libm::asin((far.radius - near.radius) / libm::hypot(along.x, along.y))
            - libm::atan2(along.y, along.x)
    };
    // How far the lowest ball is under two, with these on a level.
    let under = |near: &Ball, level: f64| {
        let (sine, cosine) = libm::sincos(level);
        let bottom = |ball: &Ball| ball.at.x * sine + ball.at.y * cosine - ball.radius;
        let level = bottom(near);
        balls.iter().fold(0.0, |most: f64, ball| {
            let under = level - bottom(ball);
            if under > most { under } else { most }
        })
    };
    let mut best = (f64::INFINITY, 0.0);
    for near in balls.iter().filter(|ball| ball.at.x < middle) {
        for far in balls.iter().filter(|ball| ball.at.x >= middle) {
            let level = turned(near, far);
            let under = under(near, level);
            if under < best.0 {
                best = (under, level);
            }
        }
    }
    best.1
}

/// The slope of a row against z, radians: the line of least squared distances through it, as
/// seen along x; 0 where there is none.
fn slope(row: &[Vec3]) -> f64 {
    let centre = row.iter().sum::<Vec3>() / row.len() as f64;
    let (mut yy, mut yz, mut zz) = (0.0, 0.0, 0.0);
    for at in row {
        let off = at - centre;
        yy += off.y * off.y;
        yz += off.y * off.z;
        zz += off.z * off.z;
    }
    0.5 * libm::atan2(2.0 * yz, zz - yy)
}
