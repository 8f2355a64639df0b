//! The press: a planted hand and the control lineage that lifts, rolls, leans and twists it.
//!
//! Controls are nested outermost first: surface, twist, tips, inner edge, outer edge, heel,
//! knuckles, wrist target (docs/mathematics.md 11); inner axes are carried by outer ones. The pads' targets
//! hang from the surface, outside every pivot. Without an arm the wrist itself hangs from its
//! target. Every press dial is zero where the hand is planted.
//!
//! Controls are frames of the world at rest: x towards the fingertips, y off the surface, z to
//! the little finger's side of a right hand.
use super::{
    Digit, Hand, Part, Planting, Scale, Side, about, add, bones, impossible, quaternion, take_id,
};
use crate::document::*;
use crate::{Channel, Fault, Posed};
use kinematics::{Transform, Vec3};

/// Assumed: the wrist's centre above the bench of the table's planted hand, and the heel's
/// contact from it towards the fingertips, mm.
const WRIST_HEIGHT: f64 = 18.0;
const HEEL: f64 = 10.0;
/// How far the knuckle pivot lies below the fitted axis, mm: of 0, 2, … 10 the depth with the
/// greatest safe lift for the table's hand at its rest flexion: 40°, against 16° on the axis.
/// Found by trying six depths, not yet by a search (docs/mathematics.md 11).
pub(super) const DROP: f64 = 4.0;
/// Degrees of roll about the knuckles before the tips take over.
const TIPS_FROM: f64 = 35.0;
/// Degrees of changeover of roll and lean.
const SOFTNESS: f64 = 4.0;
/// Eigenvalues of a row's scatter nearer to each other than this part tell no direction.
const ROUND: f64 = 1e-6;

/// The line through a row of knuckles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// Centre of the row, mm.
    pub through: Vec3,
    /// Turn about y, radians, that brings z along the row; within ±π/2.
    pub yaw: f64,
}

impl Axis {
    /// Unit direction along it.
    pub fn along(&self) -> Vec3 {
        let (sine, cosine) = libm::sincos(self.yaw);
        Vec3::new(sine, 0.0, cosine)
    }

    /// Fits a line parallel to the plane of x and z to points with weights, by total least
    /// squares: its direction is the eigenvector of the greater eigenvalue of the points' 2×2
    /// scatter (Pearson 1901, On lines and planes of closest fit; from memory), which half an
    /// arctangent gives.
    ///
    /// # Errors
    /// When fewer than two points weigh anything, or they lie round and point nowhere.
    pub fn fit(points: &[(Vec3, f64)]) -> Result<Self, Fault> {
        let heavy = points.iter().filter(|(_, weight)| *weight > 0.0);
        if heavy.clone().count() < 2 {
            return Err(impossible(
                "fewer than two knuckles are planted, which makes no axis".to_owned(),
                "plant another finger",
            ));
        }
        let whole: f64 = heavy.clone().map(|(_, weight)| weight).sum();
        let through = heavy
            .clone()
            .map(|(point, weight)| point * *weight)
            .sum::<Vec3>()
            / whole;
        let (mut xx, mut xz, mut zz) = (0.0, 0.0, 0.0);
        for (point, weight) in heavy {
            let off = point - through;
            xx += weight * off.x * off.x;
            xz += weight * off.x * off.z;
            zz += weight * off.z * off.z;
        }
        let apart = libm::hypot(2.0 * xz, zz - xx);
        if apart.is_nan() || apart <= ROUND * (xx + zz) {
            return Err(impossible(
                "the planted knuckles lie in no row: their axis could run any way".to_owned(),
                "plant another finger, or move a knuckle",
            ));
        }
        Ok(Self {
            through,
            yaw: 0.5 * libm::atan2(2.0 * xz, zz - xx),
        })
    }
}

/// Builds the hand with four fingers planted on a bench at height 0, the thumb resting.
///
/// # Errors
/// When no hand has these sizes, the planting is none, or its pads cannot come down to the bench.
pub fn press(hand: &Hand, planting: &Planting) -> Result<Document, Fault> {
    let scale = super::scale(hand)?;
    let (flexion, drop) = (planting.flexion, planting.pivot.drop);
    let (least, most) = bones::range::MIDDLE;
    // Written so that a NaN is refused too.
    if !(flexion >= least && flexion <= most) {
        return Err(impossible(
            format!("its fingers are to be planted with a flexion of {flexion}°"),
            "give them 10 to 15°",
        ));
    }
    if !drop.is_finite() {
        return Err(impossible(
            format!("its pivot is to lie {drop} mm below the knuckles"),
            "give it a few mm",
        ));
    }
    let mut document = super::right(hand)?;
    "bench-press".clone_into(&mut document.name);
    document.bench = Some(0.0);
    let height = WRIST_HEIGHT * scale.long;
    document.nodes[0].translation = [0.0, height, 0.0];
    let posed = Posed::new(&document)?;
    let point = |document: &Document, name: &str| {
        posed.point(document.node_named(name).expect("just built").id)
    };
    let fingers: Vec<_> = hand.digits.iter().filter(|digit| !digit.thumb).collect();
    let knuckles: Vec<_> = fingers
        .iter()
        .map(|digit| point(&document, &format!("{}-phalanx-proximal", digit.name)))
        .collect();
    let mut pads = Vec::new();
    for (digit, knuckle) in fingers.iter().zip(&knuckles) {
        let next = point(&document, &format!("{}-phalanx-intermediate", digit.name));
        pads.push(planted(digit, knuckle, &(next - knuckle), flexion, scale)?);
    }

    let mut controls = Controls {
        document: &mut document,
        hung: Vec::new(),
    };
    let pads_centre = pads.iter().sum::<Vec3>() / pads.len() as f64;
    let row = Axis::fit(&knuckles.iter().map(|&at| (at, 1.0)).collect::<Vec<_>>())?;
    let side = bones::SIDE * scale.broad;
    let down = |at: Vec3| Vec3::new(at.x, 0.0, at.z);
    let edge = |z: f64| Vec3::new(row.through.x, 0.0, z);
    controls.hang("surface", Vec3::zeros(), 0.0);
    let surface = controls.last();
    controls.hang("twist", down(pads_centre), 0.0);
    controls.hang("tips", pads_centre, 0.0);
    controls.hang("inner edge", edge(knuckles[0].z - side), 0.0);
    controls.hang("outer edge", edge(knuckles[3].z + side), 0.0);
    controls.hang("heel", Vec3::new(HEEL * scale.long, 0.0, 0.0), 0.0);
    controls.hang("knuckles", row.through - Vec3::y() * drop, row.yaw);
    controls.hang("wrist target", Vec3::new(0.0, height, 0.0), 0.0);
    let target = controls.last();
    let wrist = &mut document.nodes[0];
    (wrist.parent, wrist.translation) = (Some(target), [0.0; 3]);

    for (digit, at) in fingers.iter().zip(pads) {
        plant(&mut document, &digit.name, surface, at, flexion);
    }
    add_dials(&mut document);
    if hand.side == Side::Left {
        super::mirror(&mut document);
    }
    Ok(document)
}

/// Where a finger's pad rests on the bench: flexed as at rest, and turned at its knuckle until
/// the pad's sphere touches.
fn planted(
    digit: &Digit,
    knuckle: &Vec3,
    along: &Vec3,
    flexion: f64,
    scale: Scale,
) -> Result<Vec3, Fault> {
    let [_, proximal, middle, last] = digit.bones[..] else {
        unreachable!("a finger has four bones");
    };
    let rest = flexion.to_radians();
    let whole = rest * (1.0 + bones::COUPLING);
    let (bent, all) = (libm::sincos(rest), libm::sincos(whole));
    let out = bones::PAD_ALONG * last;
    let under = (middle * bent.0 + out * all.0 + bones::PAD_UNDER * all.1) * scale.long;
    let ahead = (proximal + middle * bent.1 + out * all.1 - bones::PAD_UNDER * all.0) * scale.long;
    let radius = bones::PAD_RADIUS * scale.long;
    let (drop, reach) = (knuckle.y - radius, libm::hypot(under, ahead));
    if drop >= reach {
        return Err(impossible(
            format!(
                "its {} does not come down to the bench",
                digit.name.replace('-', " ")
            ),
            "make the hand longer or narrower",
        ));
    }
    let level = Vec3::new(along.x, 0.0, along.z);
    let far = libm::sqrt((reach - drop) * (reach + drop));
    let mut at = knuckle + level * (far / level.norm());
    at.y = radius;
    Ok(at)
}

/// The lineage being made, each control hung from the last, with where each is.
struct Controls<'a> {
    document: &'a mut Document,
    hung: Vec<(NodeId, Transform)>,
}

impl Controls<'_> {
    fn hang(&mut self, name: &str, at: Vec3, yaw: f64) {
        let world = Transform::from_parts(at.into(), about(Vec3::y(), yaw));
        let above = self.hung.last();
        let local = above.map_or(world, |(_, above)| above.inverse() * world);
        let parent = above.map(|(id, _)| *id);
        let part = Part {
            name,
            kind: Kind::Mount,
            parent,
            at: local.translation.vector.into(),
            rotation: quaternion(local.rotation),
            limits: [None; 6],
            ..Part::default()
        };
        let id = add(self.document, part);
        self.hung.push((id, world));
    }

    fn last(&self) -> NodeId {
        self.hung.last().expect("something was hung").0
    }
}

/// Plants a digit's pad: a target on the surface, an anchor, and the contact kept.
fn plant(document: &mut Document, digit: &str, surface: NodeId, at: Vec3, flexion: f64) {
    let id = |document: &Document, part: &str| {
        document
            .node_named(&format!("{digit}-{part}"))
            .expect("just built")
            .id
    };
    let (base, end) = (id(document, "phalanx-proximal"), id(document, "pad"));
    let part = Part {
        name: &format!("{digit}-plant"),
        kind: Kind::Mount,
        parent: Some(surface),
        at: at.into(),
        limits: [None; 6],
        ..Part::default()
    };
    let target = add(document, part);
    let anchor = AnchorId(take_id(document));
    document.anchors.push(Anchor {
        id: anchor,
        name: digit.to_owned(),
        base,
        end,
        target,
        solver: Solver::Finger {
            coupling: bones::COUPLING,
            rest: flexion,
            collapse: 0.0,
            give: bones::GIVE,
        },
        active: true,
    });
    document.plants.push(Plant {
        node: end,
        at: at.into(),
        surface: Some(surface),
    });
}

/// A turn that a dial gives a control: which, about what, by how much, from when.
type Turn = (&'static str, Channel, f64, Ramp);

/// A dial's name, limits, softness and turns.
type Staged = (&'static str, f64, f64, Option<f64>, &'static [Turn]);

/// The press dials, then the raw angle of each pivot they stage. A turn about z is negative
/// where it raises the wrist; about x, where it raises the little finger's side.
fn add_dials(document: &mut Document) {
    let staged: [Staged; 8] = {
        use Channel::{TurnX, TurnY, TurnZ};
        use Ramp::{Falling, Rising, RisingPast, Whole};
        [
            (
                "lift",
                -30.0,
                90.0,
                None,
                &[("knuckles", TurnZ, -1.0, Whole)],
            ),
            (
                "roll",
                -60.0,
                120.0,
                Some(SOFTNESS),
                &[
                    ("heel", TurnZ, 1.0, Falling),
                    ("knuckles", TurnZ, -1.0, Rising),
                    ("knuckles", TurnZ, 1.0, RisingPast(TIPS_FROM)),
                    ("tips", TurnZ, -1.0, RisingPast(TIPS_FROM)),
                ],
            ),
            (
                "lean",
                -45.0,
                45.0,
                Some(SOFTNESS),
                &[
                    ("inner edge", TurnX, -1.0, Rising),
                    ("outer edge", TurnX, 1.0, Falling),
                ],
            ),
            ("twist", -45.0, 45.0, None, &[("twist", TurnY, 1.0, Whole)]),
            (
                "raw tips",
                -90.0,
                90.0,
                None,
                &[("tips", TurnZ, -1.0, Whole)],
            ),
            (
                "raw inner edge",
                -45.0,
                45.0,
                None,
                &[("inner edge", TurnX, -1.0, Whole)],
            ),
            (
                "raw outer edge",
                -45.0,
                45.0,
                None,
                &[("outer edge", TurnX, 1.0, Whole)],
            ),
            (
                "raw heel",
                -60.0,
                60.0,
                None,
                &[("heel", TurnZ, 1.0, Whole)],
            ),
        ]
    };
    for (name, min, max, softness, drives) in staged {
        let drives = drives.iter().map(|&(node, channel, gain, ramp)| Drive {
            target: Target::Channel(document.node_named(node).expect("just hung").id, channel),
            gain,
            ramp,
        });
        let drives = drives.collect();
        let id = DialId(take_id(document));
        document.dials.push(Dial {
            id,
            name: name.to_owned(),
            unit: Unit::Degrees,
            neutral: 0.0,
            min,
            max,
            value: 0.0,
            softness,
            drives,
        });
    }
}
