//! How the hand stands on its surface in each stance, and what of it touches. All places are in
//! the surface's frame: the origin on it, x towards the fingertips, y off it.
//!
//! Stances, their heights and angles are chosen here. The hand is
//! placed by its wrist, and each planted digit then bent until its contact, a sphere of flesh,
//! touches: the first root of its distance along the bend, bracketed and halved.
use super::part::{Part, about, add, id};
use super::skeleton::{Bent, PALM_DOWN, Scale};
use super::{Digit, GroundForm, Hand, Planting, Stance, bones, impossible};
use crate::document::*;
use crate::{Fault, surface};
use bones::range;
use kinematics::{Rotation, Transform, Vec3};

/// Height of the wrist's centre over the surface, mm in the table's hand: flat on a plane, flat
/// round a rail, on the fingertips, and on them where the surface falls away.
const FLAT: f64 = 18.0;
const ROUND: f64 = 15.0;
pub(super) const HIGH: f64 = 66.0;
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
/// The heel's contact: from the wrist's centre towards the fingertips and its radius, mm.
pub(super) const HEEL: f64 = 10.0;
const HEEL_RADIUS: f64 = 9.0;
/// Distance from touching, mm, that still touches.
const TOUCHES: f64 = 1e-9;

/// Something that touches.
pub(super) struct Contact {
    /// Its node.
    pub node: NodeId,
    /// The centre of its flesh.
    pub at: Vec3,
    /// mm
    pub radius: f64,
    /// The digit that is solved so that it stays, and how; none where the palm carries it.
    pub held: Option<(String, Solver)>,
}

impl Contact {
    /// Where it touches.
    pub fn foot(&self, form: Form) -> Vec3 {
        self.at - surface::normal(form, &self.at) * self.radius
    }
}

/// A hand that stands.
pub(super) struct Touch {
    pub wrist: Transform,
    pub contacts: Vec<Contact>,
    /// Degrees of knuckle flexion at which digits of a fist touch, by name.
    pub knuckles: Vec<(String, f64)>,
}

pub(super) fn touch(
    document: &mut Document,
    hand: &Hand,
    planting: &Planting,
    scale: Scale,
) -> Result<Touch, Fault> {
    if planting.heel && planting.stance != Stance::Flat {
        return Err(impossible(
            "its heel is to be planted, which only a flat hand can".to_owned(),
            "leave the heel, or lay the hand flat",
        ));
    }
    let end = match planting.stance {
        Stance::Fingertips => "tip-contact",
        _ => "pad",
    };
    if planting.stance == Stance::Fingertips {
        for digit in &hand.digits {
            add_tip(document, digit, scale);
        }
    }
    let mut standing = Standing {
        document,
        hand,
        planting,
        scale,
        form: Form::Plane,
        end,
    };
    let touch = match planting.stance {
        Stance::Flat | Stance::Fingertips => standing.on_digits()?,
        Stance::Fist => {
            let touch = standing.fist()?;
            standing.shifted(touch)
        }
        Stance::Edge => {
            let touch = standing.edge()?;
            standing.shifted(touch)
        }
    };
    for contact in &touch.contacts {
        let off = surface::distance(planting.surface.form(), &contact.at) - contact.radius;
        if libm::fabs(off) > TOUCHES {
            let name = &document.node(contact.node).expect("made before").name;
            return Err(impossible(
                format!(
                    "its {} does not come to the surface",
                    name.replace('-', " ")
                ),
                "plant it on a plane, or lay it flat round this surface",
            ));
        }
    }
    Ok(touch)
}

/// A contact at the very end of a digit: a sphere as large as the pad's, ending with the flesh.
fn add_tip(document: &mut Document, digit: &Digit, scale: Scale) {
    let last = digit.bones[digit.bones.len() - 1] + digit.soft_tip - bones::PAD_RADIUS;
    let part = Part {
        name: &format!("{}-tip-contact", digit.name),
        parent: Some(id(document, &format!("{}-phalanx-distal", digit.name))),
        at: [0.0, -last * scale.long, 0.0],
        width: 2.0 * bones::PAD_RADIUS * scale.long,
        ..Part::mount()
    };
    add(document, part);
}

/// Where `off` first falls to 0 between two angles, if it does, to the last digit.
pub(super) fn first(off: impl Fn(f64) -> f64, from: f64, to: f64) -> Option<f64> {
    const STEPS: u32 = 180;
    if off(from) <= 0.0 {
        return None;
    }
    let at = |step: u32| from + (to - from) * f64::from(step) / f64::from(STEPS);
    let step = (1..=STEPS).find(|&step| off(at(step)) <= 0.0)?;
    let (mut above, mut below) = (at(step - 1), at(step));
    loop {
        let middle = 0.5 * (above + below);
        if middle == above || middle == below {
            return Some(below);
        }
        if off(middle) > 0.0 {
            above = middle;
        } else {
            below = middle;
        }
    }
}

/// A hand being stood on a surface.
pub(super) struct Standing<'a> {
    document: &'a mut Document,
    pub(super) hand: &'a Hand,
    pub(super) planting: &'a Planting,
    pub(super) scale: Scale,
    form: Form,
    end: &'static str,
}

impl Standing<'_> {
    fn planted(&self) -> impl Iterator<Item = &Digit> {
        let named = |digit: &&Digit| self.planting.digits.contains(&digit.name);
        self.hand.digits.iter().filter(named)
    }

    pub(super) fn fingers(&self) -> impl Iterator<Item = &Digit> {
        self.planted().filter(|digit| !digit.thumb)
    }

    pub(super) fn bent(&self, wrist: &Transform, digit: &Digit, end: &str) -> Bent {
        Bent::new(self.document, wrist, digit, end)
    }

    pub(super) fn knuckle(&self, wrist: &Transform, digit: &Digit) -> Vec3 {
        self.bent(wrist, digit, "phalanx-proximal").end(&[])
    }

    pub(super) fn node(&self, digit: &Digit, part: &str) -> NodeId {
        id(self.document, &format!("{}-{part}", digit.name))
    }

    /// Half a joint's drawn thickness: its flesh.
    pub(super) fn flesh(&self, node: NodeId) -> f64 {
        0.5 * self.document.node(node).expect("made before").width
    }

    pub(super) fn off(&self, at: &Vec3, radius: f64) -> f64 {
        surface::distance(self.form, at) - radius
    }

    /// Whether fingers wrap round what they hold.
    fn wraps(&self) -> bool {
        self.planting.stance == Stance::Flat && self.planting.surface.form != GroundForm::Plane
    }

    /// Flat or on the fingertips.
    fn on_digits(&mut self) -> Result<Touch, Fault> {
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
        self.form = self.planting.surface.form();
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

    /// How far along x contacts on a plane are moved to be on the top of what they stand on.
    fn shift(&self, contacts: &[Contact]) -> f64 {
        let radius = self.planting.surface.radius;
        let xs = contacts.iter().map(|contact| contact.at.x);
        match self.planting.surface.form {
            GroundForm::Plane => 0.0,
            GroundForm::Edge => {
                let feet = contacts.iter().map(|contact| contact.at.x + contact.radius);
                -radius - feet.fold(0.0, |most, x| if x > most { x } else { most })
            }
            GroundForm::Rail if contacts.is_empty() => 0.0,
            GroundForm::Rail => -xs.sum::<f64>() / contacts.len() as f64,
        }
    }

    fn shifted(&self, mut touch: Touch) -> Touch {
        let by = self.shift(&touch.contacts);
        touch.wrist.translation.vector.x += by;
        for contact in &mut touch.contacts {
            contact.at.x += by;
        }
        touch
    }

    /// Every planted digit bent until it touches.
    fn contacts(&self, wrist: &Transform) -> Result<Vec<Contact>, Fault> {
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
            held: Some((digit.name.clone(), Solver::Thumb { rest })),
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

/// The wrist's rotation with the palm down and the wrist higher than the knuckles by degrees.
pub(super) fn pitched(degrees: f64) -> Rotation {
    let [x, y, z, w] = PALM_DOWN;
    let down = Rotation::new_unchecked(nalgebra::Quaternion::new(w, x, y, z));
    about(Vec3::z(), -degrees.to_radians()) * down
}

pub(super) fn out_of_reach(digit: &Digit) -> Fault {
    impossible(
        format!("its {} does not come to the surface", digit.spoken()),
        "leave that digit unplanted, lengthen it, or choose another stance or surface",
    )
}
