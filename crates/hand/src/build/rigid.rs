//! Stances that no digit gives way in: the palm carries all that touches.
use super::make::about;
use super::standing::{Contact, HIGH, Standing, Touch, first, out_of_reach, pitched};
use recipe::bones::range;
use recipe::{Digit, Impossible};
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

    /// On the side of the outermost finger's metacarpal, both its ends touching.
    pub(super) fn edge(&self) -> Result<Touch, Impossible> {
        let roll = about(Vec3::x(), FRAC_PI_2) * pitched(0.0);
        let mut wrist = Transform::from_parts(Vec3::zeros().into(), roll);
        let digits = self.hand.digits.iter().filter(|digit| !digit.thumb);
        let outer = digits.fold(None, |outer: Option<&Digit>, digit| match outer {
            Some(outer) if outer.head[0] <= digit.head[0] => Some(outer),
            _ => Some(digit),
        });
        let outer = outer.expect("a hand has a finger");
        let ends = ["metacarpal", "phalanx-proximal"].map(|part| self.node(outer, part));
        let at = |wrist: &Transform| {
            [
                self.bent(wrist, outer, "metacarpal").end(&[]),
                self.knuckle(wrist, outer),
            ]
        };
        let ([base, head], [wide, narrow]) = (at(&wrist), ends.map(|node| self.flesh(node)));
        let along = head - base;
        // Turned so that the line under both is level.
        let level = libm::asin((narrow - wide) / libm::hypot(along.x, along.y))
            - libm::atan2(along.y, along.x);
        wrist.rotation = about(Vec3::z(), level) * wrist.rotation;
        wrist.translation.vector.y = wide - at(&wrist)[0].y;
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
        let contacts = at(&wrist).into_iter().zip(ends).zip([wide, narrow]);
        touch.contacts = contacts
            .map(|((at, node), radius)| Contact {
                node,
                at,
                radius,
                held: None,
            })
            .collect();
        let low = touch
            .contacts
            .iter()
            .map(|contact| (contact.at, contact.radius));
        touch.low = low.collect();
        Ok(touch)
    }
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
