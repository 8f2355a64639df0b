//! What a recipe must be before anything is built from it.
//!
//! The bounds are chosen here, far enough from the tables for a doll, a paw and a giant; what is
//! outside them is a slip of the hand (docs/mathematics.md 11).
use super::fault::impossible;
use super::size::mm;
use recipe::{Arm, Digit, GroundForm, Hand, Measure, Planting, bones};
use rig::Fault;
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
/// Steepest surface, degrees.
const STEEP: f64 = 80.0;

/// Refuses a length and a breadth, mm, that no hand has.
pub(super) fn size(length: f64, breadth: f64) -> Result<(), Fault> {
    let (least, most) = LENGTHS;
    if !(least..=most).contains(&length) {
        return Err(impossible(
            format!("its length would be {length:.1} mm"),
            "give it 20 to 2000 mm, from the wrist to the tip of the middle finger",
        ));
    }
    if breadth > length {
        return Err(impossible(
            format!("its breadth, {breadth:.1} mm, is greater than its length, {length:.1} mm"),
            "make it longer or narrower",
        ));
    }
    if breadth < NARROW * length {
        return Err(impossible(
            format!(
                "its breadth, {breadth:.1} mm, is less than a fifth of its length, {length:.1} mm"
            ),
            "make it shorter or broader",
        ));
    }
    Ok(())
}

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
    for (at, length) in digit.bones.iter().enumerate() {
        let (bone, least, most) = sensible(digit.thumb, at);
        if !(least..=most).contains(length) {
            return refuse(
                format!("a bone of its {name} is {length} mm long"),
                &format!("give its {bone} {least:.1} to {most:.1} mm"),
            );
        }
    }
    let most = STYLE
        * bones::DIGITS
            .iter()
            .fold(0.0, |most, row| row.soft_tip.max(most));
    if !(0.0..=most).contains(&digit.soft_tip) {
        return refuse(
            format!("the soft tip of its {name} is {} mm", digit.soft_tip),
            &format!("give it 0 to {most:.1} mm"),
        );
    }
    for place in digit.base.iter().chain(&digit.head) {
        if !(place.is_finite() && place.abs() <= PLACED) {
            return refuse(
                format!("its {name} starts or ends at {place} mm"),
                "give places within 200 mm of the wrist",
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
pub(super) fn planting(hand: &Hand, planting: &Planting) -> Result<(), Fault> {
    if !(0.0..=MOST_FLEXION).contains(&planting.flexion) {
        return Err(impossible(
            format!(
                "its fingers are to be planted with a flexion of {}°",
                planting.flexion
            ),
            "give them 0 to 60°, best 10 to 20",
        ));
    }
    let (pivot, length) = (planting.pivot, mm(hand.length, Measure::Length)?);
    for (what, value) in [
        ("towards the fingertips", pivot.offset),
        ("below the knuckles", pivot.drop),
    ] {
        if !(value.is_finite() && value.abs() <= length) {
            return Err(impossible(
                format!("its pivot is to lie {value} mm {what}"),
                "give it a few mm, and never more than the hand is long",
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
    let radii = match ground.form {
        // It has none, but what stands there is written to a file.
        GroundForm::Plane => f64::MIN..=f64::MAX,
        GroundForm::Edge => 0.0..=FAR,
        GroundForm::Rail => SHORT..=FAR,
    };
    if !radii.contains(&ground.radius) {
        return Err(impossible(
            format!("the surface's radius is {} mm", ground.radius),
            "give an edge 0 to 1000 mm, a rail 0.5 to 1000",
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
    let usual = Arm::default();
    for (bone, length, usual) in [
        ("upper arm", arm.upper, usual.upper),
        ("forearm", arm.lower, usual.lower),
    ] {
        let (least, most) = (usual / STYLE, usual * STYLE);
        if !(least..=most).contains(&length) {
            return Err(impossible(
                format!("its {bone} is {length} mm long"),
                &format!("give it {least:.0} to {most:.0} mm"),
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
