//! A whole hand, built from published bone lengths.
//!
//! Nodes are the 25 joints of WebXR Hand Input by name, and a pad on each digit. Their axes are
//! those of Wu et al. (2005), ISB recommendation, Part II: y along the bone to the wrist, x out
//! of the palm, z to the thumb's side on a right hand (its mirror on a left one, see
//! [`mirror`]). Flexion is a positive turn about z, abduction a turn about x.
//!
//! The rest pose is the *bind* pose: straight and flat, palm down, fingers along world x. All
//! angles are anatomical: zero is straight. The dial `rest flexion` bends the fingers to the
//! *relaxed* pose; what is planted is in [`press`].
pub mod bones;
mod mirror;
pub mod press;
mod recipe;
mod size;

pub use mirror::mirror;
pub use recipe::{Arm, Digit, Ground, GroundForm, Hand, Pivot, Planting, Recipe, Side, Stance};
pub use size::{Measure, Sex, Size, Survey, surveyed};

use crate::document::*;
use crate::{Channel, Fault, Order};
use bones::range;
use kinematics::{Rotation, Vec3};
use std::f64::consts::FRAC_1_SQRT_2;

/// Sines of splay a metacarpal can have: past that it would cross its neighbour.
const MOST_SPLAY: f64 = 0.5;
/// Degrees by which the thumb is turned about itself, its pad towards the fingers. Assumed.
const THUMB_TURN: f64 = 70.0;
/// What of its metacarpal's splay the thumb keeps. Assumed.
const THUMB_FAN: f64 = 0.7;

pub(crate) fn impossible(what: String, mend: &str) -> Fault {
    Fault {
        place: "hand".to_owned(),
        what,
        mend: mend.to_owned(),
    }
}

/// The wrist's rest rotation: x of the hand down, y backward, z to world −z.
const PALM_DOWN: [f64; 4] = [FRAC_1_SQRT_2, -FRAC_1_SQRT_2, 0.0, 0.0];

/// Scales of a hand against the table's.
#[derive(Clone, Copy)]
struct Scale {
    long: f64,
    broad: f64,
}

/// Builds what the recipe says, and keeps the recipe with it.
///
/// # Errors
/// When no hand can be so, in one sentence with a mend.
pub fn document(recipe: &Recipe) -> Result<Document, Fault> {
    let mut document = match &recipe.planting {
        Some(planting) => press::press(&recipe.hand, planting)?,
        None => build(&recipe.hand)?,
    };
    document.hand = Some(Box::new(recipe.clone()));
    Ok(document)
}

/// Builds the hand in its bind pose: the skeleton, with the wrist at the origin.
///
/// # Errors
/// When no hand has these sizes, in one sentence with a mend.
pub fn build(hand: &Hand) -> Result<Document, Fault> {
    let mut document = right(hand)?;
    if hand.side == Side::Left {
        mirror(&mut document);
    }
    Ok(document)
}

/// The hand as a right one.
fn right(hand: &Hand) -> Result<Document, Fault> {
    let scale = scale(hand)?;
    let mut document = Document {
        name: "hand".to_owned(),
        ..Document::default()
    };
    let wrist = add(
        &mut document,
        Part {
            name: "wrist",
            rotation: PALM_DOWN,
            limits: turns(
                Some(range::WRIST_DEVIATION),
                None,
                Some(range::WRIST_FLEXION),
            ),
            width: 42.0 * scale.broad,
            ..Part::default()
        },
    );
    for digit in &hand.digits {
        add_digit(&mut document, wrist, digit, scale)?;
    }
    add_rest_flexion(&mut document, hand);
    Ok(document)
}

fn scale(hand: &Hand) -> Result<Scale, Fault> {
    let length = hand.length.mm(Measure::Length)?;
    let breadth = hand.breadth.mm(Measure::Breadth)?;
    if breadth > length {
        return Err(impossible(
            format!("its breadth, {breadth:.1} mm, is greater than its length, {length:.1} mm"),
            "make it longer or narrower",
        ));
    }
    Ok(Scale {
        long: length / bones::LENGTH,
        broad: breadth / bones::BREADTH,
    })
}

/// A node to be.
#[derive(Clone, Copy)]
struct Part<'a> {
    name: &'a str,
    kind: Kind,
    parent: Option<NodeId>,
    at: [f64; 3],
    rotation: [f64; 4],
    limits: [Option<(f64, f64)>; 6],
    width: f64,
}

impl Default for Part<'_> {
    fn default() -> Self {
        Self {
            name: "",
            kind: Kind::Joint,
            parent: None,
            at: [0.0; 3],
            rotation: [0.0, 0.0, 0.0, 1.0],
            limits: turns(None, None, None),
            width: 0.0,
        }
    }
}

/// Limits of the three turns in degrees; none locks.
fn turns(
    x: Option<(f64, f64)>,
    y: Option<(f64, f64)>,
    z: Option<(f64, f64)>,
) -> [Option<(f64, f64)>; 6] {
    let [x, y, z] = [x, y, z].map(|limit| Some(limit.unwrap_or((0.0, 0.0))));
    [x, y, z, None, None, None]
}

fn take_id(document: &mut Document) -> u32 {
    document.next_id += 1;
    document.next_id - 1
}

fn add(document: &mut Document, part: Part) -> NodeId {
    let id = NodeId(take_id(document));
    document.nodes.push(Node {
        id,
        name: part.name.to_owned(),
        kind: part.kind,
        parent: part.parent,
        translation: part.at,
        rotation: part.rotation,
        // Deviation and abduction outside, flexion inside: what a finger anchor asks for.
        order: Order::Xzy,
        limits: part.limits,
        width: part.width,
        grip: Grip::None,
        hidden: false,
        surface: None,
    });
    id
}

/// The metacarpal's rotation against the wrist: splay about x, then pitch about z, so that the
/// bone runs to where the table's knuckle is, spread by the breadth.
fn metacarpal(digit: &Digit, scale: Scale) -> Result<(f64, f64), Fault> {
    let length = digit.bones[0] * scale.long;
    let aside = (digit.head[0] - digit.base[1]) * scale.broad;
    let under = (digit.base[2] - digit.head[1]) * scale.long;
    let pitch = libm::asin(under / length);
    let sine = -aside / (length * libm::cos(pitch));
    let most = if digit.thumb { 0.95 } else { MOST_SPLAY };
    if sine.abs() > most {
        return Err(impossible(
            format!(
                "at that breadth the {} would leave the wrist at {:.0}° to the others",
                digit.name.replace('-', " "),
                libm::asin(if sine.abs() < 1.0 { sine.abs() } else { 1.0 }).to_degrees()
            ),
            "make it longer or narrower",
        ));
    }
    Ok((libm::asin(sine), pitch))
}

fn about(axis: Vec3, angle: f64) -> Rotation {
    let (s, c) = libm::sincos(0.5 * angle);
    let axis = axis * s;
    Rotation::new_unchecked(nalgebra::Quaternion::new(c, axis.x, axis.y, axis.z))
}

fn quaternion(rotation: Rotation) -> [f64; 4] {
    // An exact unit is asked for at the door, products of units drift by rounding.
    let unit = Rotation::new_normalize(rotation.into_inner());
    [unit.i + 0.0, unit.j + 0.0, unit.k + 0.0, unit.w + 0.0]
}

fn add_digit(
    document: &mut Document,
    wrist: NodeId,
    digit: &Digit,
    scale: Scale,
) -> Result<(), Fault> {
    let (splay, pitch) = metacarpal(digit, scale)?;
    let thumb = digit.thumb;
    let [along, aside, back] = digit.base;
    let turn = if thumb { THUMB_TURN.to_radians() } else { 0.0 };
    let bone = about(Vec3::x(), splay) * about(Vec3::z(), pitch) * about(Vec3::y(), turn);
    // The finger itself leaves the knuckle flat, with part of the splay.
    let fan = if thumb { THUMB_FAN } else { bones::FAN };
    let digit_frame = about(Vec3::x(), fan * splay) * about(Vec3::y(), turn);
    let straight = quaternion(bone.inverse() * digit_frame);
    let flat = [0.0, 0.0, 0.0, 1.0];

    let hinge = |limits| turns(None, None, Some(limits));
    let knuckle = turns(
        Some(range::KNUCKLE_ABDUCTION),
        None,
        Some(range::KNUCKLE_FLEXION),
    );
    let joints: &[(&str, [f64; 4], _, f64)] = if thumb {
        let saddle = turns(
            Some(range::THUMB_BASE_ABDUCTION),
            None,
            Some(range::THUMB_BASE_FLEXION),
        );
        &[
            ("metacarpal", quaternion(bone), saddle, 28.0),
            (
                "phalanx-proximal",
                straight,
                hinge(range::THUMB_MIDDLE),
                22.0,
            ),
            ("phalanx-distal", flat, hinge(range::THUMB_LAST), 19.0),
        ]
    } else {
        &[
            (
                "metacarpal",
                quaternion(bone),
                hinge((0.0, digit.mobile)),
                26.0,
            ),
            ("phalanx-proximal", straight, knuckle, 22.0),
            ("phalanx-intermediate", flat, hinge(range::MIDDLE), 17.0),
            ("phalanx-distal", flat, hinge(range::LAST), 15.0),
        ]
    };
    let mut parent = wrist;
    let mut at = [-back * scale.long, -along * scale.long, aside * scale.broad];
    for ((name, rotation, limits, width), length) in joints.iter().zip(&digit.bones) {
        let part = Part {
            name: &format!("{}-{name}", digit.name),
            parent: Some(parent),
            at,
            rotation: *rotation,
            limits: *limits,
            width: width * scale.broad,
            ..Part::default()
        };
        parent = add(document, part);
        at = [0.0, -length * scale.long, 0.0];
    }
    let last = digit.bones[digit.bones.len() - 1];
    for (name, kind, at, width) in [
        (
            "tip",
            Kind::Joint,
            [0.0, -(last + digit.soft_tip), 0.0],
            11.0 * scale.broad,
        ),
        (
            "pad",
            Kind::Mount,
            [bones::PAD_UNDER, -bones::PAD_ALONG * last, 0.0],
            0.0,
        ),
    ] {
        add(
            document,
            Part {
                name: &format!("{}-{name}", digit.name),
                kind,
                parent: Some(parent),
                at: at.map(|x| x * scale.long),
                width,
                ..Part::default()
            },
        );
    }
    Ok(())
}

/// The dial from bind (0) to relaxed: every finger's middle joint, the last one following.
fn add_rest_flexion(document: &mut Document, hand: &Hand) {
    let mut drives = Vec::new();
    for digit in hand.digits.iter().filter(|digit| !digit.thumb) {
        for (joint, gain) in [("intermediate", 1.0), ("distal", bones::COUPLING)] {
            let name = format!("{}-phalanx-{joint}", digit.name);
            let node = document.node_named(&name).expect("just built").id;
            drives.push(Drive {
                target: Target::Channel(node, Channel::TurnZ),
                gain,
                ramp: Ramp::Whole,
            });
        }
    }
    let id = DialId(take_id(document));
    document.dials.push(Dial {
        id,
        name: "rest flexion".to_owned(),
        unit: Unit::Degrees,
        neutral: 0.0,
        min: 0.0,
        max: 30.0,
        value: bones::REST_FLEXION,
        softness: None,
        drives,
    });
}
