//! Stances on the digits: flat, or on the fingertips. Each planted digit is bent until its
//! contact, a sphere of flesh, touches: the first root of its distance along the bend, bracketed
//! and halved. Heights and angles are chosen here.
use super::make::{Part, add, id};
use super::standing::{Contact, HEEL, HIGH, Standing, Touch, first, form, out_of_reach, pitched};
use recipe::bones::{self, range};
use recipe::{Digit, GroundForm, Impossible, Stance};
use rig::*;

/// Height of the wrist's centre over the surface, mm in the table's hand: flat on a plane, flat
/// round a rail, on the fingertips, and on them where the surface falls away.
const FLAT: f64 = 18.0;
const ROUND: f64 = 15.0;
const HIGH_ROUND: f64 = 54.0;
/// Degrees by which the wrist is higher than the knuckles on the fingertips.
const HIGH_PITCH: f64 = 10.0;
/// Knuckles of a flat hand beyond a bench's corner and a rail's top, mm in the table's hand.
const OVER_EDGE: f64 = -4.0;
const OVER_RAIL: f64 = 2.0;
/// Degrees of proximal flexion on the fingertips, before the slack asked for.
const ARCHED: f64 = 30.0;
/// Degrees of knuckle flexion for each of proximal flexion where fingers wrap.
const WRAP: f64 = 0.8;
/// Degrees of the thumb's two hinges, flat and on the tips.
const THUMB_FLAT: [f64; 2] = [8.0, 10.0];
const THUMB_HIGH: [f64; 2] = [15.0, 20.0];
/// The heel's contact, mm.
const HEEL_RADIUS: f64 = 9.0;
impl Standing<'_> {
    /// Whether fingers wrap round what they hold.
    fn wraps(&self) -> bool {
        self.planting.stance == Stance::Flat && self.planting.surface.form != GroundForm::Plane
    }

    /// Flat or on the fingertips.
    pub(super) fn on_digits(&mut self) -> Result<Touch, Impossible> {
        let high = match (self.planting.stance, self.planting.surface.form) {
            (Stance::Fingertips, GroundForm::Rail) => HIGH_ROUND,
            (Stance::Fingertips, _) => HIGH,
            (_, GroundForm::Rail) => ROUND,
            _ => FLAT,
        } * self.scale.long;
        let pitch = match self.planting.stance {
            Stance::Fingertips => HIGH_PITCH,
            _ => 0.0,
        };
        let mut wrist = Transform::from_parts(Vec3::new(0.0, high, 0.0).into(), pitched(pitch));
        if self.wraps() {
            let digits = self.hand.digits.iter().filter(|digit| !digit.thumb);
            let (mut sum, mut count) = (0.0, 0.0);
            for digit in digits {
                sum += self.knuckle(&wrist, digit).x;
                count += 1.0;
            }
            let over = match self.planting.surface.form {
                GroundForm::Rail => OVER_RAIL,
                _ => OVER_EDGE,
            };
            wrist.translation.vector.x = over * self.scale.long - sum / count;
        } else {
            let level = self.contacts(&wrist)?;
            wrist.translation.vector.x = self.shift(&level);
        }
        self.form = form(&self.planting.surface);
        let mut contacts = self.contacts(&wrist)?;
        if self.planting.heel {
            contacts.push(self.heel(&wrist));
        }
        Ok(Touch {
            wrist,
            contacts,
            knuckles: Vec::new(),
        })
    }

    /// Every planted digit bent until it touches.
    fn contacts(&self, wrist: &Transform) -> Result<Vec<Contact>, Impossible> {
        self.planted()
            .map(|digit| {
                let touched = if digit.thumb {
                    self.thumb(wrist, digit)
                } else {
                    self.finger(wrist, digit)
                };
                touched.ok_or_else(|| out_of_reach(digit))
            })
            .collect()
    }

    fn finger(&self, wrist: &Transform, digit: &Digit) -> Option<Contact> {
        let radius = bones::PAD_RADIUS * self.scale.long;
        let bent = self.bent(wrist, digit, self.end);
        let slack = self.planting.flexion
            + match self.planting.stance {
                Stance::Fingertips => ARCHED,
                _ => 0.0,
            };
        let (least, most) = range::KNUCKLE_FLEXION;
        // Knuckle and proximal flexion along the way down.
        let way = |along: f64| match self.wraps() {
            true => (WRAP * along, slack + along),
            false => (along, slack),
        };
        let place = |along: f64| {
            let (knuckle, middle) = way(along);
            bent.end(&[
                [0.0; 2],
                [0.0, knuckle],
                [0.0, middle],
                [0.0, bones::COUPLING * middle],
            ])
        };
        let (from, to) = if self.wraps() {
            (0.0, range::MIDDLE.1 - slack)
        } else {
            (least, most)
        };
        let along = first(|along| self.off(&place(along), radius), from, to)?;
        Some(Contact {
            node: self.node(digit, self.end),
            at: place(along),
            radius,
            held: Some((
                digit.name.clone(),
                Solver::Finger {
                    coupling: bones::COUPLING,
                    rest: way(along).1,
                    collapse: 0.0,
                    give: bones::GIVE,
                    contact: None,
                },
            )),
        })
    }

    /// The thumb comes down by its palmar abduction.
    fn thumb(&self, wrist: &Transform, digit: &Digit) -> Option<Contact> {
        let radius = bones::PAD_RADIUS * self.scale.long;
        let bent = self.bent(wrist, digit, self.end);
        let rest = match self.planting.stance {
            Stance::Fingertips => THUMB_HIGH,
            _ => THUMB_FLAT,
        };
        let place = |across: f64| bent.end(&[[across, 0.0], [0.0, rest[0]], [0.0, rest[1]]]);
        let (most, least) = range::THUMB_BASE_ABDUCTION;
        let across = first(|across| self.off(&place(across), radius), least, most)?;
        Some(Contact {
            node: self.node(digit, self.end),
            at: place(across),
            radius,
            held: Some((
                digit.name.clone(),
                Solver::Thumb {
                    rest,
                    contact: None,
                },
            )),
        })
    }

    fn heel(&mut self, wrist: &Transform) -> Contact {
        let radius = HEEL_RADIUS * self.scale.long;
        let under = wrist.translation.vector.y - radius;
        let part = Part {
            name: "heel-contact",
            parent: Some(id(self.document, "wrist")),
            at: [under, -HEEL * self.scale.long, 0.0],
            width: 2.0 * radius,
            ..Part::mount()
        };
        let mut at = wrist.translation.vector;
        at.x += HEEL * self.scale.long;
        at.y = radius;
        Contact {
            node: add(self.document, part),
            at,
            radius,
            held: None,
        }
    }
}
