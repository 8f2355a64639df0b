//! What a recipe must be before anything is built from it.
//!
//! The bounds are chosen here, far enough from the tables for a doll, a paw and a giant; what is
//! outside them is a slip of the hand (docs/mathematics.md 11).
use super::size::mm;
use recipe::{Arm, Digit, GroundForm, Hand, Impossible, Measure, Planting, bones};
use std::collections::BTreeSet;

/// Least and greatest length of a hand, mm: about a tenth and ten times an adult's.
const LENGTHS: (f64, f64) = (20.0, 2000.0);
/// Least breadth, as a part of the length: less than half of what every survey has (0.43 to 0.46).
const NARROW: f64 = 0.2;
/// How many times as long as the longest of its kind in the table a bone may be, and how many
/// times as short as the shortest.
const STYLE: f64 = 4.0;
/// Farthest place in a hand from its wrist, mm: four times the table's.
const PLACED: f64 = 200.0;
/// Most flexion that fingers are planted with, degrees. They are asked for slack, and past this
/// the palm stands on their knuckles.
const MOST_FLEXION: f64 = 60.0;
/// Farthest that a surface curves, mm, and a tenth of how high it may lie.
const FAR: f64 = 1000.0;
/// Least radius of a rail, mm.
const SHORT: f64 = 0.5;
/// Most a metacarpal flexes on the carpals, degrees.
const MOST_MOBILE: f64 = 45.0;
/// Most that a pivot is turned, degrees.
const MOST_YAW: f64 = 90.0;
/// Steepest surface, degrees.
const STEEP: f64 = 80.0;

/// Refuses a length and a breadth, mm, that no hand has.
pub(super) fn size(length: f64, breadth: f64) -> Result<(), Impossible> {
    let (least, most) = LENGTHS;
    if !(least..=most).contains(&length) {
        return Err(Impossible::Length {
            mm: length,
            least,
            most,
        });
    }
    if breadth > length {
        return Err(Impossible::TooBroad { breadth, length });
    }
    if breadth < NARROW * length {
        return Err(Impossible::TooNarrow { breadth, length });
    }
    Ok(())
}

/// Refuses a suppleness that is none; a NaN is in no range.
pub(super) fn suppleness(suppleness: f64) -> Result<(), Impossible> {
    if (0.0..=1.0).contains(&suppleness) {
        return Ok(());
    }
    Err(Impossible::Suppleness(suppleness))
}

/// Refuses digits that cannot be. No range contains a NaN, so it is refused too.
pub(super) fn digits(digits: &[Digit]) -> Result<(), Impossible> {
    let mut names = BTreeSet::new();
    for digit in digits {
        if digit.name.trim().is_empty() {
            return Err(Impossible::NamelessDigit);
        }
        if !names.insert(&digit.name) {
            return Err(Impossible::TwoDigitsNamed(digit.name.clone()));
        }
        self::digit(digit)?;
    }
    if digits.iter().all(|digit| digit.thumb) {
        return Err(Impossible::NoFinger);
    }
    Ok(())
}

fn digit(given: &Digit) -> Result<(), Impossible> {
    let digit = given.name.clone();
    let (thumb, count) = (given.thumb, given.bones.len());
    let wanted = if thumb { 3 } else { 4 };
    if count != wanted {
        return Err(Impossible::BoneCount {
            digit,
            thumb,
            count,
            wanted,
        });
    }
    for (at, &mm) in given.bones.iter().enumerate() {
        let (bone, least, most) = sensible(thumb, at);
        if !(least..=most).contains(&mm) {
            return Err(Impossible::Bone {
                digit,
                bone,
                mm,
                least,
                most,
            });
        }
    }
    let longest = bones::DIGITS
        .iter()
        .fold(0.0, |most, row| row.soft_tip.max(most));
    let (mm, most) = (given.soft_tip, STYLE * longest);
    if !(0.0..=most).contains(&mm) {
        return Err(Impossible::SoftTip { digit, mm, most });
    }
    for &mm in given.base.iter().chain(&given.head) {
        if !(mm.is_finite() && mm.abs() <= PLACED) {
            return Err(Impossible::Far {
                digit,
                mm,
                most: PLACED,
            });
        }
    }
    let (under, metacarpal) = (given.base[2] - given.head[1], given.bones[0]);
    if under.abs() >= metacarpal {
        let off = under.abs();
        return Err(Impossible::Unspanned {
            digit,
            off,
            metacarpal,
        });
    }
    if !(0.0..=MOST_MOBILE).contains(&given.mobile) {
        let (degrees, most) = (given.mobile, MOST_MOBILE);
        return Err(Impossible::Mobile {
            digit,
            degrees,
            most,
        });
    }
    Ok(())
}

/// What a bone is called, and the least and greatest length in mm it may have in a hand of the
/// table's size.
fn sensible(thumb: bool, at: usize) -> (&'static str, f64, f64) {
    let rows = bones::DIGITS.iter();
    let lengths = rows
        .filter(|row| (row.bones.len() == 3) == thumb)
        .filter_map(|row| row.bones.get(at).copied());
    let (mut least, mut most) = (f64::INFINITY, 0.0);
    for length in lengths {
        (least, most) = (length.min(least), length.max(most));
    }
    let names: [&str; 4] = if thumb {
        ["metacarpal", "proximal phalanx", "distal phalanx", ""]
    } else {
        [
            "metacarpal",
            "proximal phalanx",
            "middle phalanx",
            "distal phalanx",
        ]
    };
    (names[at], least / STYLE, most * STYLE)
}

/// Refuses a planting that cannot be for this hand.
pub(super) fn planting(hand: &Hand, planting: &Planting) -> Result<(), Impossible> {
    if !(0.0..=MOST_FLEXION).contains(&planting.flexion) {
        let (degrees, most) = (planting.flexion, MOST_FLEXION);
        return Err(Impossible::Flexion { degrees, most });
    }
    let (pivot, length) = (planting.pivot, mm(hand.length, Measure::Length)?);
    for (way, mm) in [
        ("towards the fingertips", pivot.offset),
        ("below the knuckles", pivot.drop),
    ] {
        if !(mm.is_finite() && mm.abs() <= length) {
            return Err(Impossible::PivotAt { mm, way });
        }
    }
    if !(pivot.yaw.is_finite() && pivot.yaw.abs() <= MOST_YAW) {
        let (degrees, most) = (pivot.yaw, MOST_YAW);
        return Err(Impossible::PivotTurn { degrees, most });
    }
    let mut named = BTreeSet::new();
    for name in &planting.digits {
        if !hand.digits.iter().any(|digit| digit.name == *name) {
            return Err(Impossible::NoSuchDigit(name.clone()));
        }
        if !named.insert(name) {
            return Err(Impossible::PlantedTwice(name.clone()));
        }
    }
    let ground = planting.surface;
    let radii = match ground.form {
        // It has none, but what stands there is written to a file.
        GroundForm::Plane => f64::MIN..=f64::MAX,
        GroundForm::Edge => 0.0..=FAR,
        GroundForm::Rail => SHORT..=FAR,
    };
    if !radii.contains(&ground.radius) {
        let (mm, least, most) = (ground.radius, SHORT, FAR);
        return Err(Impossible::Radius { mm, least, most });
    }
    let (mm, most) = (ground.height, 10.0 * FAR);
    if !(mm.is_finite() && mm.abs() <= most) {
        return Err(Impossible::Height { mm, most });
    }
    let (degrees, most) = (ground.tilt, STEEP);
    if !(degrees.is_finite() && degrees.abs() <= most) {
        return Err(Impossible::Tilt { degrees, most });
    }
    Ok(())
}

/// Refuses an arm that cannot be.
pub(super) fn arm(arm: &Arm) -> Result<(), Impossible> {
    let usual = Arm::default();
    for (bone, mm, usual) in [
        ("upper arm", arm.upper, usual.upper),
        ("forearm", arm.lower, usual.lower),
    ] {
        let (least, most) = (usual / STYLE, usual * STYLE);
        if !(least..=most).contains(&mm) {
            return Err(Impossible::ArmBone {
                bone,
                mm,
                least,
                most,
            });
        }
    }
    if !(0.0..=1.0).contains(&arm.twist_share) {
        return Err(Impossible::TwistShare(arm.twist_share));
    }
    Ok(())
}
