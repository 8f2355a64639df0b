//! A hand being stood on a surface, and what of it touches. All places are in the surface's
//! frame: the origin on it, x towards the fingertips, y off it.
use super::make::{about, id};
use super::skeleton::{Bent, PALM_DOWN, Scale};
use crate::flesh::Flesh;
use recipe::{Digit, Ground, GroundForm, Hand, Impossible, Planting};
use rig::*;

/// Height of the wrist's centre over the surface on the fingertips, mm in the table's hand.
pub(super) const HIGH: f64 = 66.0;

/// A surface's shape as a node carries it.
pub(super) fn form(ground: &Ground) -> Form {
    match ground.form {
        GroundForm::Plane => Form::Plane,
        GroundForm::Edge => Form::Edge {
            radius: ground.radius,
        },
        GroundForm::Rail => Form::Rail {
            radius: ground.radius,
        },
    }
}

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
    /// What of a hand that no digit gives way in can come down on a plane: centres and radii.
    pub low: Vec<(Vec3, f64)>,
    /// Digits that are not planted and rest on the surface where they come down to it.
    pub resting: Vec<Contact>,
    /// Degrees of knuckle flexion at which digits of a fist touch, by name.
    pub knuckles: Vec<(String, f64)>,
}

/// Where `off` first falls to 0 between two angles, if it does, to the last digit.
pub(super) fn first(off: impl Fn(f64) -> f64, from: f64, to: f64) -> Option<f64> {
    first_of(180, off, from, to)
}

/// The same, looked for in so many steps.
pub(super) fn first_of(steps: u32, off: impl Fn(f64) -> f64, from: f64, to: f64) -> Option<f64> {
    if off(from) <= 0.0 {
        return None;
    }
    let at = |step: u32| from + (to - from) * f64::from(step) / f64::from(steps);
    let step = (1..=steps).find(|&step| off(at(step)) <= 0.0)?;
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
    pub(super) document: &'a mut Document,
    pub(super) hand: &'a Hand,
    pub(super) planting: &'a Planting,
    pub(super) scale: Scale,
    pub(super) form: Form,
    /// Of the skeleton as it is.
    pub(super) flesh: Flesh,
}

impl Standing<'_> {
    pub(super) fn planted(&self) -> impl Iterator<Item = &Digit> {
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

    /// How far a bent digit's flesh is from the surface, mm: that of its joints from a place in
    /// its chain on, the metacarpal's at 0.
    pub(super) fn clear(&self, bent: &Bent, turns: &[[f64; 2]], from: usize) -> f64 {
        let joints = bent.joints(turns).skip(from);
        joints.fold(f64::INFINITY, |least, (node, at)| {
            let here = self.flesh.clearance_at(node, &at, self.form, None);
            if here < least { here } else { least }
        })
    }

    /// How far along x contacts on a plane are moved to be on the top of what they stand on.
    pub(super) fn shift(&self, contacts: &[Contact]) -> f64 {
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

    pub(super) fn shifted(&self, mut touch: Touch) -> Touch {
        let by = self.shift(&touch.contacts);
        touch.wrist.translation.vector.x += by;
        for contact in &mut touch.contacts {
            contact.at.x += by;
        }
        for (at, _) in &mut touch.low {
            at.x += by;
        }
        touch
    }
}

/// The wrist's rotation with the palm down and the wrist higher than the knuckles by degrees.
pub(super) fn pitched(degrees: f64) -> Rotation {
    let [x, y, z, w] = PALM_DOWN;
    let down = Rotation::new_unchecked(nalgebra::Quaternion::new(w, x, y, z));
    about(Vec3::z(), -degrees.to_radians()) * down
}

pub(super) fn out_of_reach(digit: &Digit) -> Impossible {
    let digit = digit.name.clone();
    Impossible::OutOfReach { digit }
}
