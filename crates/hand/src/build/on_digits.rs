//! Stances on the digits: flat, or on the fingertips. Each planted digit is bent until its
//! flesh touches: the first root of its distance along the bend, bracketed and halved. Heights and angles are chosen here.
use super::make::{Part, add, id};
use super::rolls;
use super::skeleton::Bent;
use super::standing::{Contact, HIGH, Standing, Touch, first, form, out_of_reach, pitched};
use recipe::bones::{self, loaded_thumb, range};
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
const OVER_EDGE: f64 = -14.0;
const OVER_RAIL: f64 = 2.0;
/// Degrees of proximal flexion on the fingertips, before the slack asked for: the little finger then
/// stands at 78°, well before its tip's round end is used up.
const ARCHED: f64 = 15.0;
/// Degrees of the thumb's two hinges, flat and on the tips.
const THUMB_FLAT: [f64; 2] = [8.0, 10.0];
const THUMB_HIGH: [f64; 2] = [15.0, 20.0];
/// The part of a digit that touches.
const END: &str = "tip-contact";
/// Its last bone's place in a thumb's chain.
const LAST: usize = 2;

impl Standing<'_> {
    /// Whether fingers wrap round what they hold.
    fn wraps(&self) -> bool {
        self.planting.stance == Stance::Flat && self.planting.surface.form != GroundForm::Plane
    }

    fn is_planted(&self, digit: &Digit) -> bool {
        self.planting.digits.contains(&digit.name)
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
            let mut x = over * self.scale.long - sum / count;
            if let Some(most) = self.thumb_on_top(&wrist).filter(|most| *most < x) {
                x = most;
            }
            wrist.translation.vector.x = x;
            self.form = form(&self.planting.surface);
            wrist = self.rested(&wrist);
        } else {
            let level = self.contacts(&wrist)?;
            wrist.translation.vector.x = self.shift(&level);
        }
        self.form = form(&self.planting.surface);
        let mut contacts = self.contacts(&wrist)?;
        if self.planting.heel {
            contacts.push(self.heel(&wrist));
        }
        let resting = self.resting(&wrist);
        Ok(Touch {
            wrist,
            contacts,
            low: Vec::new(),
            resting,
            knuckles: Vec::new(),
        })
    }

    /// Every planted digit bent until it touches.
    fn contacts(&self, wrist: &Transform) -> Result<Vec<Contact>, Impossible> {
        self.planted()
            .map(|digit| {
                let touched = self.touching(wrist, digit);
                touched.ok_or_else(|| out_of_reach(digit))
            })
            .collect()
    }

    fn touching(&self, wrist: &Transform, digit: &Digit) -> Option<Contact> {
        if digit.thumb {
            self.thumb(wrist, digit)
        } else {
            self.finger(wrist, digit)
        }
    }

    /// The other digits, as if they were planted where they come down; one that does not come
    /// down, over where it points straight.
    fn resting(&self, wrist: &Transform) -> Vec<Contact> {
        let planted = |digit: &&Digit| self.planting.digits.contains(&digit.name);
        let others = self.hand.digits.iter().filter(|digit| !planted(digit));
        let rests = |digit: &Digit| {
            let touched = self.touching(wrist, digit);
            touched.unwrap_or_else(|| self.straight(wrist, digit))
        };
        others.map(rests).collect()
    }

    fn straight(&self, wrist: &Transform, digit: &Digit) -> Contact {
        let tip = self.bent(wrist, digit, END).frame(&[]);
        let node = self.node(digit, END);
        let tip = self.seated(digit, &tip);
        let contact = self.rolling(digit, &tip, None);
        let solver = if digit.thumb {
            Solver::Thumb {
                rest: THUMB_FLAT,
                contact,
            }
        } else {
            Self::held(bones::BRANCH_FLEXION, contact)
        };
        Contact {
            node,
            at: tip.translation.vector,
            radius: self.flesh(node),
            held: Some((digit.name.clone(), solver)),
        }
    }

    /// How a finger is held whose middle joint is flexed by so many degrees.
    fn held(rest: f64, contact: Option<rig::Contact>) -> Solver {
        Solver::Finger {
            coupling: bones::COUPLING,
            rest,
            collapse: 0.0,
            // The last joint's limits under load have it.
            give: 0.0,
            contact,
        }
    }

    /// The frame of a digit's tip where its contact is: there, but what is not planted takes the
    /// surface to be its radius under where it is held.
    fn seated(&self, digit: &Digit, tip: &Transform) -> Transform {
        let mut tip = *tip;
        if !self.is_planted(digit) {
            let (at, radius) = (tip.translation.vector, self.flesh(self.node(digit, END)));
            tip.translation.vector -= surface::normal(self.form, &at) * self.off(&at, radius);
        }
        tip
    }

    /// How a digit's end rolls, of a planted one bent so.
    fn rolling(
        &self,
        digit: &Digit,
        tip: &Transform,
        bent: Option<(&Bent, &[[f64; 2]])>,
    ) -> Option<rig::Contact> {
        let part = |part| self.flesh(self.node(digit, part));
        let middle = if digit.thumb {
            "phalanx-proximal"
        } else {
            "phalanx-intermediate"
        };
        let own = rolls::Flesh {
            tip: part(END),
            joints: [part(middle), part("phalanx-distal")],
        };
        let mut flesh = rolls::about(self.form, own);
        if let Some((bent, turns)) = bent.filter(|_| self.is_planted(digit)) {
            let at = |node: NodeId| {
                let mut joints = bent.joints(turns);
                let (_, joint) = joints
                    .find(|(here, _)| *here == node)
                    .expect("a joint of it");
                joint.translation.vector
            };
            let [middle, last] = [middle, "phalanx-distal"].map(|part| self.node(digit, part));
            let root = if digit.thumb {
                middle
            } else {
                self.node(digit, "phalanx-proximal")
            };
            let places = [at(root), at(middle), at(last), tip.translation.vector];
            flesh = rolls::fitted(self.form, own, places)?;
        }
        rolls::contact(flesh, self.form, tip)
    }

    fn finger(&self, wrist: &Transform, digit: &Digit) -> Option<Contact> {
        let node = self.node(digit, END);
        let radius = self.flesh(node);
        let bent = self.bent(wrist, digit, END);
        let slack = self.planting.flexion
            + match self.planting.stance {
                Stance::Fingertips => ARCHED,
                _ => 0.0,
            };
        let turns = |knuckle: f64, middle: f64| {
            [
                [0.0; 2],
                [0.0, knuckle],
                [0.0, middle],
                [0.0, bones::COUPLING * middle],
            ]
        };
        let (knuckle, middle) = if self.wraps() {
            self.wrapped(&bent, radius, slack)?
        } else {
            let (least, most) = range::KNUCKLE_FLEXION;
            let off = |knuckle| self.off(&bent.end(&turns(knuckle, slack)), radius);
            (first(off, least, most)?, slack)
        };
        let turns = turns(knuckle, middle);
        let tip = self.seated(digit, &bent.frame(&turns));
        let solver = Self::held(middle, self.rolling(digit, &tip, Some((&bent, &turns))));
        Some(Contact {
            node,
            at: tip.translation.vector,
            radius,
            held: Some((digit.name.clone(), solver)),
        })
    }

    /// The thumb comes down by its palmar abduction.
    fn thumb(&self, wrist: &Transform, digit: &Digit) -> Option<Contact> {
        let node = self.node(digit, END);
        let bent = self.bent(wrist, digit, END);
        let rest = match self.planting.stance {
            Stance::Fingertips => THUMB_HIGH,
            _ => THUMB_FLAT,
        };
        let turns = |across: f64| [[across, 0.0], [0.0, rest[0]], [0.0, rest[1]]];
        // Pressed, its flesh can lie lower than its own muscles bring it up.
        let (most, least) = loaded_thumb::base_abduction(self.hand.suppleness);
        // It lies on its side, where it is thicker than its tip is round.
        let off = |across| self.clear(&bent, &turns(across), LAST);
        let across = first(off, least, most)?;
        let turns = turns(across);
        let tip = self.seated(digit, &bent.frame(&turns));
        let contact = self.rolling(digit, &tip, Some((&bent, &turns)));
        Some(Contact {
            node,
            at: tip.translation.vector,
            radius: surface::distance(self.form, &tip.translation.vector),
            held: Some((digit.name.clone(), Solver::Thumb { rest, contact })),
        })
    }

    /// How far along x a hand on an edge can be at most for its planted thumb to lie on the top.
    fn thumb_on_top(&self, wrist: &Transform) -> Option<f64> {
        if self.planting.surface.form != GroundForm::Edge {
            return None;
        }
        let thumb = self.planted().find(|digit| digit.thumb)?;
        let tip = self.thumb(wrist, thumb)?;
        Some(0.0 - self.planting.surface.radius - (tip.at.x + tip.radius))
    }

    fn heel(&mut self, wrist: &Transform) -> Contact {
        // Round the wrist's centre, which the heel's roller turns about.
        let radius = wrist.translation.vector.y;
        let part = Part {
            name: "heel-contact",
            parent: Some(id(self.document, "wrist")),
            width: 2.0 * radius,
            ..Part::mount()
        };
        let at = wrist.translation.vector;
        Contact {
            node: add(self.document, part),
            at,
            radius,
            held: None,
        }
    }
}
