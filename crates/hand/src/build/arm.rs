//! The arm that carries the hand: shoulder, elbow and a forearm that shares the wrist's twist.
//! It follows the wrist's target, whatever moves that, and leaves the hand where it would be
//! without an arm.
use super::make::{Part, about, dial, id, made, quaternion, set_rest, travel, turn, turns};
use super::skeleton::Scale;
use super::{make, validate};
use recipe::bones::range;
use recipe::{Arm, Impossible, Stance};
use rig::*;
use std::f64::consts::FRAC_PI_2;

/// Degrees, assumed, for a hand planted in each stance: the elbow's flexion; how high the
/// shoulder is seen from the wrist; how far the elbow is swung out of the upright plane through
/// both. A palm turned down needs the elbow out, for a forearm pronates by 80° only.
fn planted(stance: Stance) -> [f64; 3] {
    match stance {
        Stance::Flat => [80.0, 62.0, 32.0],
        Stance::Fingertips => [75.0, 64.0, 32.0],
        Stance::Fist => [55.0, 86.0, 30.0],
        Stance::Edge => [80.0, 44.0, 8.0],
    }
}

/// How far the elbow can be swung from there, degrees.
const SWING: (f64, f64) = (-60.0, 60.0);
/// mm before full reach from which the arm is drawn out softly.
const SOFT_REACH: f64 = 10.0;
/// Drawn thickness at shoulder, elbow and half the forearm, mm in the table's hand.
const WIDTHS: [f64; 3] = [92.0, 78.0, 72.0];

/// Adds the arm to a right hand whose wrist stands at a world frame, held to the target.
pub(super) fn add(
    document: &mut Document,
    arm: &Arm,
    target: NodeId,
    wrist: &Transform,
    stance: Stance,
    scale: Scale,
) -> Result<(), Impossible> {
    validate::arm(arm)?;
    let (upper, lower) = (arm.upper * scale.long, arm.lower * scale.long);
    let [flexion, elevation, out] = planted(stance).map(f64::to_radians);
    // The third side of the triangle, by the law of cosines.
    let far = libm::sqrt(upper * upper + lower * lower + 2.0 * upper * lower * libm::cos(flexion));
    let hand = wrist.translation.vector;
    let shoulder = hand
        + Vec3::new(
            0.0 - far * libm::cos(elevation),
            far * libm::sin(elevation),
            0.0,
        );
    // Angles in which x points from the shoulder to the wrist, y up and before it.
    let facing = about(Vec3::z(), 0.0 - elevation);

    let mount = |document: &mut Document, name, parent, frame: &Transform| {
        let part = Part {
            name,
            parent,
            at: frame.translation.vector.into(),
            rotation: quaternion(frame.rotation),
            ..Part::mount()
        };
        make::add(document, part)
    };
    let still = Transform::identity();
    let stands = Transform::from_parts(shoulder.into(), still.rotation);
    let root = mount(document, "shoulder", None, &stands);
    let swing = Transform::from_parts(Vec3::zeros().into(), facing * about(Vec3::x(), 0.0 - out));
    let swing = mount(document, "elbow swing", Some(root), &swing);
    let pole = Transform::translation(0.5 * far, 0.0 - upper, 0.0);
    let pole = mount(document, "elbow pole", Some(swing), &pole);

    let [thick, middle, thin] = WIDTHS.map(|width| width * scale.broad);
    let joint = |document: &mut Document, name, parent, down: f64, limits, width| {
        let part = Part {
            name,
            parent: Some(parent),
            at: [0.0, 0.0 - down, 0.0],
            limits,
            width,
            ..Part::joint()
        };
        make::add(document, part)
    };
    let elbow = turns(None, None, Some(range::ELBOW));
    let twist = turns(None, Some(range::FOREARM), None);
    let upper_arm = joint(document, "upper-arm", root, 0.0, [None; 6], thick);
    let lower_arm = joint(document, "lower-arm", upper_arm, upper, elbow, middle);
    let forearm = joint(document, "forearm", lower_arm, 0.5 * lower, twist, thin);
    // Hanging, the palm of a hand turned neither way faces the body, a quarter turn from where
    // the elbow bends to.
    let neutral = about(Vec3::y(), FRAC_PI_2);
    made(document, "forearm").rotation = quaternion(neutral);
    let hand = made(document, "wrist");
    hand.parent = Some(lower_arm);
    let rest = Transform::from_parts(Vec3::new(0.0, 0.0 - lower, 0.0).into(), neutral);
    set_rest(hand, &rest);
    // The forearm turns first, then the wrist deviates and flexes.
    hand.order = Order::Yxz;
    hand.limits[Channel::TurnY.index()] = Some(range::FOREARM);
    let hand = hand.id;

    let two_bone = Solver::TwoBone {
        pole: Some(pole),
        softness: SOFT_REACH * scale.long,
        bend: [0.0, 0.0, 1.0],
    };
    let share = arm.twist_share;
    for (name, base, end, target, solver) in [
        ("arm", upper_arm, hand, target, two_bone),
        ("wrist", hand, hand, target, Solver::TurnWith),
        ("forearm", forearm, forearm, hand, Solver::Twist { share }),
    ] {
        let id = AnchorId(document.take_id());
        let anchor = Anchor {
            id,
            name: name.to_owned(),
            base,
            end,
            target,
            solver,
        };
        document.add_anchor(anchor, true);
    }
    Ok(())
}

/// The dials that move an arm by itself.
pub(super) fn add_dials(document: &mut Document) {
    let Some(shoulder) = document.node_named("shoulder").map(|node| node.id) else {
        return;
    };
    travel(document, "shoulder forward", shoulder, Channel::MoveX);
    travel(document, "shoulder up", shoulder, Channel::MoveY);
    let swing = id(document, "elbow swing");
    // Positive swings the elbow out and up.
    let drives = vec![turn(swing, Channel::TurnX, -1.0)];
    dial(document, "elbow swing", SWING, drives);
}
