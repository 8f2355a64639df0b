//! The press: a planted right hand and the control lineage that lifts, rolls, leans and twists it.
//!
//! Controls are nested outermost first: surface, twist, tips, inner edge, outer edge, heel,
//! knuckles, wrist target (docs/mathematics.md 11); inner axes are carried by outer ones. The
//! contacts' targets hang from the surface, outside every pivot. Without an arm the wrist itself
//! hangs from its target. Every press dial is zero where the hand is planted.
//!
//! Pivots are frames of the surface at rest: x towards the fingertips, y off the surface, z to
//! the little finger's side of a right hand.
use super::axis::Axis;
use super::make::{Part, about, add, id, made, quaternion, set_rest};
use super::rollers::Rollers;
use super::skeleton::{self, Scale};
use super::standing::{self, Contact, Touch};
use super::{arm, dials, rolls, touch, validate};
use recipe::{Digit, GroundForm, Hand, Impossible, Planting, Stance, bones};
use rig::*;

/// Handles from the wrist's centre or, for leaning, from the row of knuckles, mm in the table's
/// hand: far enough from their axes to be pulled.
const ROLL_HANDLE: f64 = 45.0;
const LEAN_HANDLE: f64 = 55.0;
const TWIST_HANDLE: [f64; 2] = [-50.0, 14.0];

/// Radius of a flat hand's side where it is leaned on, mm in the table's hand: half a knuckle's
/// thickness. At 0 the far fingers let go 1 to 2° of lean earlier, and slipped half as much again.
const SIDE_ROUND: f64 = 11.0;

/// Builds a hand that stands on its surface as the planting says, its press dials at zero.
///
/// # Errors
/// When no hand has these sizes, the planting is none, or a digit cannot come to the surface:
/// in one sentence with a mend.
pub(super) fn press(hand: &Hand, planting: &Planting) -> Result<Document, Impossible> {
    let (mut document, scale) = skeleton::right(hand)?;
    validate::planting(hand, planting)?;
    "bench-press".clone_into(&mut document.name);
    let touch = touch::touch(&mut document, hand, planting, scale)?;
    let places = Places::new(&document, hand, planting, &touch, scale)?;

    let mut controls = Controls {
        document: &mut document,
        hung: Vec::new(),
    };
    controls.hang("surface", Vec3::zeros(), 0.0);
    let surface = controls.last();
    controls.hang("twist", places.twist, 0.0);
    controls.hang("tips", places.tips, 0.0);
    controls.hang("inner edge", places.inner, 0.0);
    controls.hang("outer edge", places.outer, 0.0);
    controls.hang("heel", places.heel, 0.0);
    controls.hang("knuckles", places.knuckles, places.yaw);
    controls.hang_frame("wrist target", touch.wrist);
    let target = controls.last();
    let wrist = touch.wrist.translation.vector;
    let long = scale.long;
    let [back, up] = TWIST_HANDLE.map(|x| x * long);
    for (name, at) in [
        ("roll handle", wrist + Vec3::y() * (ROLL_HANDLE * long)),
        ("lean handle", places.row + Vec3::y() * (LEAN_HANDLE * long)),
        ("twist handle", wrist + Vec3::new(back, up, 0.0)),
    ] {
        controls.hang(name, at, 0.0);
        controls.hung.pop();
    }
    if planting.surface.form == GroundForm::Plane {
        let handle = wrist + Vec3::y() * (ROLL_HANDLE * long);
        set_down(&mut document, surface, target, &touch, handle);
    }
    let form = standing::form(&planting.surface);
    for contact in &touch.contacts {
        plant(&mut document, (surface, form), contact);
    }
    for contact in &touch.resting {
        hold(&mut document, (surface, form), contact, false);
    }
    let ground = planting.surface;
    let stands = Transform::from_parts(
        Vec3::new(0.0, ground.height, 0.0).into(),
        about(Vec3::z(), ground.tilt.to_radians()),
    );
    let carrier = made(&mut document, "surface");
    set_rest(carrier, &stands);
    carrier.surface = Some(form);
    match &hand.arm {
        Some(arm) => {
            let wrist = stands * touch.wrist;
            arm::add(&mut document, arm, target, &wrist, planting.stance, scale)?;
        }
        None => {
            let wrist = made(&mut document, "wrist");
            wrist.parent = Some(target);
            set_rest(wrist, &Transform::identity());
        }
    }
    dials::add_press(
        &mut document,
        hand,
        planting,
        &touch,
        &places.rollers,
        scale,
    );
    Ok(document)
}

/// Where the pivots are.
struct Places {
    rollers: Rollers,
    twist: Vec3,
    tips: Vec3,
    inner: Vec3,
    outer: Vec3,
    heel: Vec3,
    knuckles: Vec3,
    yaw: f64,
    /// Centre of the row of knuckles.
    row: Vec3,
}

impl Places {
    /// From what touches; where nothing does, from where the pads would be.
    fn new(
        document: &Document,
        hand: &Hand,
        planting: &Planting,
        touch: &Touch,
        scale: Scale,
    ) -> Result<Self, Impossible> {
        let form = standing::form(&planting.surface);
        let fingers: Vec<_> = hand.digits.iter().filter(|digit| !digit.thumb).collect();
        let end = |digit: &Digit, part: &str| {
            skeleton::Bent::new(document, &touch.wrist, digit, part).end(&[])
        };
        let named = |digit: &&&Digit| planting.digits.contains(&digit.name);
        let mut planted: Vec<_> = fingers.iter().filter(named).copied().collect();
        if planted.is_empty() {
            planted.clone_from(&fingers);
        }
        let row: Vec<_> = planted
            .iter()
            .map(|digit| end(digit, "phalanx-proximal"))
            .collect();
        let axis = Axis::of_row(&row)?;

        let down = |at: Vec3| Vec3::new(at.x, 0.0, at.z);
        let contacts = &touch.contacts;
        let plane = planting.surface.form == GroundForm::Plane;
        let rigid = contacts.iter().all(|contact| contact.held.is_none());
        // What turns on a plane by its own flesh turns about that flesh's centre, which rolls; what
        // digits hold, and what stands on a curve, turns about where it touches.
        let mut feet: Vec<_> = contacts
            .iter()
            .map(|contact| match plane && rigid {
                true => Wheel::new(contact.at, contact.radius),
                false => Wheel::new(contact.foot(form), 0.0),
            })
            .collect();
        if feet.is_empty() {
            let under = |digit: &&Digit| Wheel::new(down(end(digit, "tip-contact")), 0.0);
            feet = planted.iter().map(under).collect();
        }
        let middle = centre(feet.iter().map(|foot| foot.at));
        let foremost = most(&feet, |at| at.x);
        // What a hand rolls over last: its fingers' contacts, else the foremost.
        let held = |contact: &&Contact| {
            let finger = |(_, solver): &(String, Solver)| matches!(solver, Solver::Finger { .. });
            contact.held.as_ref().is_some_and(finger)
        };
        let tips = if contacts.iter().any(|contact| held(&contact)) {
            let held = contacts.iter().filter(held);
            let at = centre(held.map(|contact| contact.at));
            Wheel::new(at, if plane { at.y } else { 0.0 })
        } else {
            foremost.across(middle.z)
        };
        let flat = planting.stance == Stance::Flat;
        let wrist = touch.wrist.translation.vector;
        let heel = match (flat, plane) {
            // A roller's axis is its flesh's centre: one 10 mm ahead of it went 3 mm deep.
            (true, true) => Wheel::new(Vec3::new(wrist.x, wrist.y, 0.0), wrist.y),
            // A wrist behind a rail has nothing under it: the palm goes over the rail's top.
            (true, false) if planting.surface.form == GroundForm::Rail => {
                Wheel::new(Vec3::zeros(), 0.0)
            }
            (true, false) => Wheel::new(Vec3::new(wrist.x, 0.0, 0.0), 0.0),
            _ => most(&feet, |at| -at.x).across(middle.z),
        };
        // A flat hand leans on its sides at the knuckles, another on its outermost contacts.
        let side = |sign: f64| {
            if !flat {
                let foot = most(&feet, |at| sign * at.z);
                return Wheel::new(Vec3::new(middle.x, foot.at.y, foot.at.z), foot.radius);
            }
            let round = if plane { SIDE_ROUND * scale.broad } else { 0.0 };
            let ends = row.iter().map(|at| sign * at.z);
            let outermost = ends.fold(f64::NEG_INFINITY, |most, z| if z > most { z } else { most });
            let z = sign * (outermost + bones::SIDE * scale.broad - round);
            Wheel::new(Vec3::new(axis.through.x, round, z), round)
        };
        let pivot = planting.pivot;
        let mut knuckles = if rigid && !contacts.is_empty() {
            foremost
        } else {
            Wheel::new(axis.through - Vec3::y() * pivot.drop, 0.0)
        };
        knuckles.at += Vec3::x() * pivot.offset;
        let (inner, outer) = (side(-1.0), side(1.0));
        Ok(Self {
            rollers: Rollers {
                tips: tips.radius,
                inner: inner.radius,
                outer: outer.radius,
                heel: heel.radius,
                knuckles: knuckles.radius,
            },
            twist: down(middle),
            tips: tips.at,
            inner: inner.at,
            outer: outer.at,
            heel: heel.at,
            knuckles: knuckles.at,
            yaw: axis.yaw + pivot.yaw.to_radians(),
            row: axis.through,
        })
    }
}

/// Where a pivot is, and the radius of the flesh it rolls on; 0: it turns where it is.
#[derive(Clone, Copy)]
struct Wheel {
    at: Vec3,
    radius: f64,
}

impl Wheel {
    fn new(at: Vec3, radius: f64) -> Self {
        Self { at, radius }
    }

    /// The same on an axis along z, seen at another place of it.
    fn across(self, z: f64) -> Self {
        Self::new(Vec3::new(self.at.x, self.at.y, z), self.radius)
    }
}

fn centre(points: impl Iterator<Item = Vec3>) -> Vec3 {
    let (sum, count) = points.fold((Vec3::zeros(), 0.0), |(sum, count), at| {
        (sum + at, count + 1.0)
    });
    sum / count
}

/// The one with the greatest measure, the first of equal ones.
fn most(of: &[Wheel], measure: impl Fn(&Vec3) -> f64) -> Wheel {
    let mut best = of[0];
    for one in of {
        if measure(&one.at) > measure(&best.at) {
            best = *one;
        }
    }
    best
}

/// The lineage being made, each control hung from the last, with where each is.
struct Controls<'a> {
    document: &'a mut Document,
    hung: Vec<(NodeId, Transform)>,
}

impl Controls<'_> {
    fn hang(&mut self, name: &str, at: Vec3, yaw: f64) {
        self.hang_frame(
            name,
            Transform::from_parts(at.into(), about(Vec3::y(), yaw)),
        );
    }

    fn hang_frame(&mut self, name: &str, world: Transform) {
        let above = self.hung.last();
        let local = above.map_or(world, |(_, above)| above.inverse() * world);
        let parent = above.map(|(id, _)| *id);
        let part = Part {
            name,
            parent,
            at: local.translation.vector.into(),
            rotation: quaternion(local.rotation),
            ..Part::mount()
        };
        let id = add(self.document, part);
        self.hung.push((id, world));
    }

    fn last(&self) -> NodeId {
        self.hung.last().expect("something was hung").0
    }
}

/// Keeps a hand that no digit gives way in on its surface by what of it is lowest, however it is
/// leaned. Of more than the solver takes, those that are lowest as it stands.
fn set_down(document: &mut Document, surface: NodeId, target: NodeId, touch: &Touch, handle: Vec3) {
    if touch.low.is_empty() {
        return;
    }
    let mut lowest = touch.low.clone();
    few::sort(&mut lowest, |(a, wide), (b, broad)| {
        (a.y - wide).total_cmp(&(b.y - broad))
    });
    let mut low = [[0.0; 4]; 8];
    // The handle stands upright on the target, which is what is moved.
    for (ball, (at, radius)) in low.iter_mut().zip(lowest) {
        let at = at - handle;
        *ball = [at.x, at.y, at.z, radius];
    }
    let anchor = Anchor {
        id: AnchorId(document.take_id()),
        name: "set down".to_owned(),
        base: target,
        end: id(document, "roll handle"),
        target: surface,
        solver: Solver::SetDown { low },
    };
    document.add_anchor(anchor, true);
}

/// Keeps a contact.
fn plant(document: &mut Document, (surface, form): (NodeId, Form), contact: &Contact) {
    hold(document, (surface, form), contact, true);
    document.plants.push(Plant {
        node: contact.node,
        at: contact.at.into(),
        surface: Some(surface),
        turned: None,
    });
}

/// A target on the surface and an anchor, where a digit is solved for a contact; one that is off
/// lets it rest on the surface.
fn hold(document: &mut Document, (surface, form): (NodeId, Form), contact: &Contact, active: bool) {
    if let Some((digit, solver)) = &contact.held {
        let part = Part {
            name: &format!("{digit}-plant"),
            parent: Some(surface),
            at: contact.at.into(),
            rotation: quaternion(rolls::stands(form, &contact.at).rotation),
            ..Part::mount()
        };
        let target = add(document, part);
        let base = match solver {
            Solver::Thumb { .. } => "metacarpal",
            _ => "phalanx-proximal",
        };
        let anchor = Anchor {
            id: AnchorId(document.take_id()),
            name: digit.clone(),
            base: id(document, &format!("{digit}-{base}")),
            end: contact.node,
            target,
            solver: *solver,
        };
        document.add_anchor(anchor, active);
    }
}
