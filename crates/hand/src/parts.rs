//! Which part of a hand a node is and what a dial of one does, by the names they are built with.
//!
//! Told once, when a hand is built or a file of the first version is read; from then on a name is
//! a label.
use crate::build::fingers;
use recipe::{ArmPart, Bend, DialRole, Digit, DigitPart, Handle, Part, Press};
use rig::Document;

/// Gives nodes their parts and dials their roles.
pub(crate) fn by_name(document: &mut Document, digits: &[Digit]) {
    for node in &mut document.rig.nodes {
        let part = part(&node.name, digits);
        if node.part != part {
            node.part = part;
        }
    }
    for dial in &mut document.rig.dials {
        let role = role(&dial.name, digits);
        if dial.role != role {
            dial.role = role;
        }
    }
}

fn part(name: &str, digits: &[Digit]) -> Option<Part> {
    if let Some(pivot) = Press::ALL.into_iter().find(|pivot| pivot.name() == name) {
        return Some(Part::Pivot(pivot));
    }
    Some(match name {
        "wrist" => Part::Wrist,
        "surface" => Part::Surface,
        "wrist target" => Part::WristTarget,
        "roll handle" => Part::Handle(Handle::Roll),
        "lean handle" => Part::Handle(Handle::Lean),
        "twist handle" => Part::Handle(Handle::Twist),
        "heel-contact" => Part::Heel,
        "shoulder" => Part::Arm(ArmPart::Shoulder),
        "elbow swing" => Part::Arm(ArmPart::ElbowSwing),
        "elbow pole" => Part::Arm(ArmPart::ElbowPole),
        "upper-arm" => Part::Arm(ArmPart::UpperArm),
        "lower-arm" => Part::Arm(ArmPart::LowerArm),
        "forearm" => Part::Arm(ArmPart::Forearm),
        _ => {
            let of = |digit: &Digit| {
                let rest = name.strip_prefix(&digit.name)?.strip_prefix('-')?;
                let part = DigitPart::ALL
                    .into_iter()
                    .find(|part| part.name() == rest)?;
                Some(Part::of(&digit.name, part))
            };
            return digits.iter().find_map(of);
        }
    })
}

fn role(name: &str, digits: &[Digit]) -> Option<DialRole> {
    let digit = |rest: &str| {
        let found = digits.iter().find(|digit| digit.name == rest);
        found.map(|digit| digit.name.clone())
    };
    Some(match name {
        "lift" => DialRole::Lift,
        "roll" => DialRole::Roll,
        "lean" => DialRole::Lean,
        "twist" => DialRole::Twist,
        "surface height" => DialRole::SurfaceHeight,
        "surface travel" => DialRole::SurfaceTravel,
        "surface tilt" => DialRole::SurfaceTilt,
        "collapse" => DialRole::CollapseAll,
        "rest flexion" => DialRole::RestFlexion,
        "curl" => DialRole::Curl,
        "opposition" => DialRole::Opposition,
        "spread" => DialRole::Spread,
        "claw" => DialRole::Claw,
        "fan" => DialRole::Fan,
        "tension" => DialRole::Tension,
        "thumb spread" => DialRole::ThumbSpread,
        "thumb curl" => DialRole::ThumbCurl,
        "arch" => DialRole::Arch,
        "shoulder forward" => DialRole::ShoulderForward,
        "shoulder up" => DialRole::ShoulderUp,
        "elbow swing" => DialRole::ElbowSwing,
        _ => {
            if let Some(rest) = name.strip_prefix("raw ") {
                let pivot = Press::ALL.into_iter().find(|pivot| pivot.name() == rest)?;
                return Some(DialRole::Raw(pivot));
            }
            if let Some(rest) = name.strip_prefix("release ") {
                return digit(rest).map(DialRole::Release);
            }
            for (of, role) in [
                ("collapse ", DialRole::Collapse as fn(String) -> DialRole),
                ("curl ", DialRole::CurlOf),
                ("spread ", DialRole::SpreadOf),
                ("claw ", DialRole::ClawOf),
            ] {
                if let Some(rest) = name.strip_prefix(of) {
                    return digit(rest).map(role);
                }
            }
            let wrist = Bend::ALL.into_iter().map(DialRole::Wrist);
            let joints = digits.iter().flat_map(|digit| {
                DigitPart::ALL.into_iter().flat_map(move |part| {
                    let role = move |bend| DialRole::Joint(digit.name.clone(), part, bend);
                    Bend::ALL.into_iter().map(role)
                })
            });
            return wrist
                .chain(joints)
                .find(|role| fingers::name(role).as_deref() == Some(name));
        }
    })
}
