//! What a recipe must be before anything is built from it.
use super::{Arm, Digit, GroundForm, Hand, Planting, bones, impossible};
use crate::Fault;
use std::collections::BTreeSet;

/// Longest bone, mm, and farthest place.
const FAR: f64 = 1000.0;
/// Shortest bone, mm.
const SHORT: f64 = 0.5;
/// Most a metacarpal flexes on the carpals, degrees.
const MOST_MOBILE: f64 = 45.0;
/// Steepest surface, degrees.
const STEEP: f64 = 80.0;

/// Refuses digits that cannot be. No range contains a NaN, so it is refused too.
pub(super) fn digits(digits: &[Digit]) -> Result<(), Fault> {
    let mut names = BTreeSet::new();
    for digit in digits {
        if digit.name.trim().is_empty() {
            return Err(impossible(
                "one of its digits has no name".to_owned(),
                "give it one",
            ));
        }
        if !names.insert(&digit.name) {
            return Err(impossible(
                format!("two of its digits are named '{}'", digit.name),
                "rename one of them",
            ));
        }
        self::digit(digit)?;
    }
    if digits.iter().all(|digit| digit.thumb) {
        return Err(impossible(
            "it has no finger".to_owned(),
            "give it at least one digit that is not a thumb",
        ));
    }
    Ok(())
}

fn digit(digit: &Digit) -> Result<(), Fault> {
    let name = digit.spoken();
    let refuse = |what: String, mend: &str| Err(impossible(what, mend));
    let wanted = if digit.thumb { 3 } else { 4 };
    if digit.bones.len() != wanted {
        return refuse(
            format!(
                "its {name} has {} bones, and a {} has {wanted}",
                digit.bones.len(),
                if digit.thumb { "thumb" } else { "finger" }
            ),
            "list its metacarpal and its phalanges, from the wrist outward",
        );
    }
    for length in &digit.bones {
        if !(SHORT..=FAR).contains(length) {
            return refuse(
                format!("a bone of its {name} is {length} mm long"),
                "give it a length from 0.5 to 1000 mm",
            );
        }
    }
    if !(0.0..=FAR).contains(&digit.soft_tip) {
        return refuse(
            format!("the soft tip of its {name} is {} mm", digit.soft_tip),
            "give it 0 mm or a few",
        );
    }
    for place in digit.base.iter().chain(&digit.head) {
        if !(place.is_finite() && place.abs() <= FAR) {
            return refuse(
                format!("its {name} starts or ends at {place} mm"),
                "give places within 1000 mm of the wrist",
            );
        }
    }
    let (under, metacarpal) = (digit.base[2] - digit.head[1], digit.bones[0]);
    if under.abs() >= metacarpal {
        return refuse(
            format!(
                "the knuckle of its {name} is {:.1} mm above or below its base, which a metacarpal \
                 of {metacarpal} mm does not span",
                under.abs()
            ),
            "make the metacarpal longer, or bring knuckle and base to one height",
        );
    }
    if !(0.0..=MOST_MOBILE).contains(&digit.mobile) {
        return refuse(
            format!("the metacarpal of its {name} moves by {}°", digit.mobile),
            "give it 0 to 45°",
        );
    }
    Ok(())
}

/// Refuses a planting that cannot be for this hand.
pub(super) fn planting(hand: &Hand, planting: &Planting) -> Result<(), Fault> {
    let (least, most) = bones::range::MIDDLE;
    if !(planting.flexion >= least && planting.flexion <= most) {
        return Err(impossible(
            format!(
                "its fingers are to be planted with a flexion of {}°",
                planting.flexion
            ),
            "give them 10 to 15°",
        ));
    }
    let pivot = planting.pivot;
    for (what, value) in [
        ("towards the fingertips", pivot.offset),
        ("below the knuckles", pivot.drop),
    ] {
        if !(value.is_finite() && value.abs() <= FAR) {
            return Err(impossible(
                format!("its pivot is to lie {value} mm {what}"),
                "give it a few mm",
            ));
        }
    }
    if !(pivot.yaw.is_finite() && pivot.yaw.abs() <= 90.0) {
        return Err(impossible(
            format!("its pivot is to be turned by {}°", pivot.yaw),
            "turn it by 90° at most",
        ));
    }
    let mut named = BTreeSet::new();
    for name in &planting.digits {
        if !hand.digits.iter().any(|digit| digit.name == *name) {
            return Err(impossible(
                format!("'{name}' is to be planted, and the hand has no such digit"),
                "name one of its digits, or add one of that name",
            ));
        }
        if !named.insert(name) {
            return Err(impossible(
                format!("'{name}' is to be planted twice"),
                "name it once",
            ));
        }
    }
    let ground = planting.surface;
    let least = match ground.form {
        GroundForm::Rail => SHORT,
        GroundForm::Plane | GroundForm::Edge => 0.0,
    };
    if !(ground.radius >= least && ground.radius <= FAR) {
        return Err(impossible(
            format!("the surface's radius is {} mm", ground.radius),
            "give an edge 0 mm or more, a rail more than 0.5",
        ));
    }
    if !(ground.height.is_finite() && ground.height.abs() <= 10.0 * FAR) {
        return Err(impossible(
            format!("the surface is {} mm high", ground.height),
            "give it a height within 10000 mm",
        ));
    }
    if !(ground.tilt.is_finite() && ground.tilt.abs() <= STEEP) {
        return Err(impossible(
            format!("the surface is tilted by {}°", ground.tilt),
            "tilt it by 80° at most",
        ));
    }
    Ok(())
}

/// Refuses an arm that cannot be.
pub(super) fn arm(arm: &Arm) -> Result<(), Fault> {
    for (bone, length) in [("upper arm", arm.upper), ("forearm", arm.lower)] {
        if !(SHORT..=FAR).contains(&length) {
            return Err(impossible(
                format!("its {bone} is {length} mm long"),
                "give it a length from 0.5 to 1000 mm",
            ));
        }
    }
    if !(0.0..=1.0).contains(&arm.twist_share) {
        return Err(impossible(
            format!(
                "its forearm takes over {} of the wrist's twist",
                arm.twist_share
            ),
            "give it a part from 0 to 1",
        ));
    }
    Ok(())
}
