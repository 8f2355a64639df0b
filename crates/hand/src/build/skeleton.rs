//! The skeleton: wrist and digits in the flat pose.
use super::make::{Part, about, add, quaternion, turns};
use super::size::mm;
use recipe::bones::{self, loaded, loaded_thumb, range};
use recipe::{Digit, Hand, Impossible, Measure};
use rig::*;
use std::f64::consts::FRAC_1_SQRT_2;

/// Sines of splay a metacarpal can have: past that it would cross its neighbour, or, for the
/// thumb, run across the palm.
const MOST_SPLAY: f64 = 0.5;
const MOST_THUMB_SPLAY: f64 = 0.95;
/// What of its range to cup a mobile metacarpal can flatten by. Assumed: a quarter of the fifth's
/// 20° levels the table's row of knuckles.
pub(super) const FLATTENING: f64 = 0.25;
/// Degrees by which the thumb is turned about itself, its pad towards the fingers. Assumed.
const THUMB_TURN: f64 = 70.0;
/// What of its metacarpal's splay the thumb keeps. Assumed.
const THUMB_FAN: f64 = 0.7;

/// The wrist's rest rotation: x of the hand down, y backward, z to world −z.
pub(super) const PALM_DOWN: [f64; 4] = [FRAC_1_SQRT_2, -FRAC_1_SQRT_2, 0.0, 0.0];

/// Scales of a hand against the table's.
#[derive(Clone, Copy)]
pub(super) struct Scale {
    pub long: f64,
    pub broad: f64,
}

pub(super) fn scale(hand: &Hand) -> Result<Scale, Impossible> {
    let length = mm(hand.length, Measure::Length)?;
    let breadth = mm(hand.breadth, Measure::Breadth)?;
    super::validate::size(length, breadth)?;
    Ok(Scale {
        long: length / bones::LENGTH,
        broad: breadth / bones::BREADTH,
    })
}

/// The hand as a right one: its nodes only.
pub(super) fn right(hand: &Hand) -> Result<(Document, Scale), Impossible> {
    let scale = scale(hand)?;
    super::validate::digits(&hand.digits)?;
    super::validate::suppleness(hand.suppleness)?;
    let mut document = Document::default();
    "hand".clone_into(&mut document.name);
    let part = Part {
        name: "wrist",
        rotation: PALM_DOWN,
        limits: turns(
            Some(range::WRIST_DEVIATION),
            None,
            Some(range::WRIST_FLEXION),
        ),
        loaded: [None, None, Some(loaded::wrist_flexion(hand.suppleness))],
        width: 42.0 * scale.broad,
        ..Part::joint()
    };
    let wrist = add(&mut document, part);
    for digit in &hand.digits {
        add_digit(&mut document, wrist, digit, hand.suppleness, scale)?;
    }
    Ok((document, scale))
}

/// The metacarpal's rotation against the wrist: splay about x, then pitch about z, so that the
/// bone runs to where the table's knuckle is, spread by the breadth.
fn metacarpal(digit: &Digit, scale: Scale) -> Result<(f64, f64), Impossible> {
    let length = digit.bones[0] * scale.long;
    let aside = (digit.head[0] - digit.base[1]) * scale.broad;
    let under = (digit.base[2] - digit.head[1]) * scale.long;
    let pitch = libm::asin(under / length);
    let sine = -aside / (length * libm::cos(pitch));
    let most = if digit.thumb {
        MOST_THUMB_SPLAY
    } else {
        MOST_SPLAY
    };
    // Written so that a NaN is refused too.
    if libm::fabs(sine) <= most {
        return Ok((libm::asin(sine), pitch));
    }
    let digit = digit.name.clone();
    let most = libm::asin(most).to_degrees();
    Err(Impossible::Splay { digit, most })
}

fn add_digit(
    document: &mut Document,
    wrist: NodeId,
    digit: &Digit,
    suppleness: f64,
    scale: Scale,
) -> Result<(), Impossible> {
    let (splay, pitch) = metacarpal(digit, scale)?;
    let thumb = digit.thumb;
    let [along, aside, back] = digit.base;
    let turn = if thumb { THUMB_TURN.to_radians() } else { 0.0 };
    let bone = about(Vec3::x(), splay) * about(Vec3::z(), pitch) * about(Vec3::y(), turn);
    // The finger itself leaves the knuckle flat, with part of the splay.
    let fan = if thumb { THUMB_FAN } else { bones::FAN };
    let digit_frame = about(Vec3::x(), fan * splay) * about(Vec3::y(), turn);
    let straight = quaternion(bone.inverse() * digit_frame);
    let bone = quaternion(bone);
    let flat = [0.0, 0.0, 0.0, 1.0];

    let hinge = |limits| turns(None, None, Some(limits));
    let two = |outer, inner| turns(Some(outer), None, Some(inner));
    let saddle = two(range::THUMB_BASE_ABDUCTION, range::THUMB_BASE_FLEXION);
    let knuckle = two(range::KNUCKLE_ABDUCTION, range::KNUCKLE_FLEXION);
    let carpal = hinge((-FLATTENING * digit.mobile, digit.mobile));
    let as_free = [None; 3];
    let pressed = |limits| [None, None, Some(limits)];
    let base = [Some(loaded_thumb::base_abduction(suppleness)), None, None];
    let (middle, last) = (hinge(range::THUMB_MIDDLE), hinge(range::THUMB_LAST));
    let extended = pressed(loaded::knuckle_flexion(suppleness));
    let bowed = pressed(loaded::last(suppleness));
    let joints: &[(&str, [f64; 4], _, _, f64)] = if thumb {
        &[
            ("metacarpal", bone, saddle, base, 28.0),
            (
                "phalanx-proximal",
                straight,
                middle,
                pressed(loaded_thumb::middle(suppleness)),
                22.0,
            ),
            (
                "phalanx-distal",
                flat,
                last,
                pressed(loaded_thumb::last(suppleness)),
                19.0,
            ),
        ]
    } else {
        &[
            ("metacarpal", bone, carpal, as_free, 26.0),
            ("phalanx-proximal", straight, knuckle, extended, 22.0),
            (
                "phalanx-intermediate",
                flat,
                hinge(range::MIDDLE),
                as_free,
                17.0,
            ),
            ("phalanx-distal", flat, hinge(range::LAST), bowed, 15.0),
        ]
    };
    let mut parent = wrist;
    let mut at = [-back * scale.long, -along * scale.long, aside * scale.broad];
    let mut half = 0.0;
    for ((name, rotation, limits, loaded, width), length) in joints.iter().zip(&digit.bones) {
        let part = Part {
            name: &format!("{}-{name}", digit.name),
            parent: Some(parent),
            at,
            rotation: *rotation,
            limits: *limits,
            loaded: *loaded,
            width: width * scale.broad,
            ..Part::joint()
        };
        half = 0.5 * part.width;
        parent = add(document, part);
        at = [0.0, -length * scale.long, 0.0];
    }
    let last = digit.bones[digit.bones.len() - 1];
    let mut end = |name, part: Part, under: f64, out: f64, width: f64| {
        let part = Part {
            name: &format!("{}-{name}", digit.name),
            parent: Some(parent),
            at: [under, 0.0 - out, 0.0],
            width,
            ..part
        };
        add(document, part);
    };
    let long = scale.long;
    let whole = (last + digit.soft_tip) * long;
    end("tip", Part::joint(), 0.0, whole, 11.0 * scale.broad);
    let (under, out) = (bones::PAD_UNDER * long, bones::PAD_ALONG * last * long);
    end(
        "pad",
        Part::mount(),
        under,
        out,
        2.0 * bones::PAD_RADIUS * long,
    );
    let (round, most) = (bones::TIP_ROUND * half, bones::TIP_SHARE * whole);
    let round = if round < most { round } else { most };
    let under = bones::TIP_UNDER * half;
    end(
        "tip-contact",
        Part::mount(),
        under,
        whole - round,
        2.0 * round,
    );
    Ok(())
}

/// A digit's joints from a world frame of the wrist on, for bending it outside a mechanism.
pub(super) struct Bent {
    nodes: Vec<NodeId>,
    frames: Vec<Transform>,
}

impl Bent {
    /// Of the digit whose metacarpal hangs from a wrist there, down to its node `end`.
    pub fn new(document: &Document, wrist: &Transform, digit: &Digit, end: &str) -> Self {
        let (mut nodes, mut frames) = (Vec::new(), Vec::new());
        let mut at = document.node_named(&format!("{}-{end}", digit.name));
        while let Some(node) = at.filter(|node| node.name != "wrist") {
            frames.push(node.rest());
            nodes.push(node.id);
            at = node.parent.and_then(|id| document.node(id));
        }
        frames.reverse();
        nodes.reverse();
        frames[0] = wrist * frames[0];
        Self { nodes, frames }
    }

    /// Where the end is with its joints turned about x and z by so many degrees, metacarpal first.
    pub fn end(&self, turns: &[[f64; 2]]) -> Vec3 {
        self.frame(turns).translation.vector
    }

    /// Its frame there.
    pub fn frame(&self, turns: &[[f64; 2]]) -> Transform {
        let last = self.joints(turns).last();
        last.map_or_else(Transform::identity, |(_, frame)| frame)
    }

    /// Every node of it with its frame there, the metacarpal first.
    pub fn joints(&self, turns: &[[f64; 2]]) -> impl Iterator<Item = (NodeId, Transform)> {
        let mut at = Transform::identity();
        let nodes = self.nodes.iter().zip(&self.frames).enumerate();
        nodes.map(move |(index, (node, frame))| {
            at *= frame;
            if let Some([x, z]) = turns.get(index) {
                at.rotation *= about(Vec3::x(), x.to_radians()) * about(Vec3::z(), z.to_radians());
            }
            (*node, at)
        })
    }
}
