//! How the hand stands on its surface in each stance, and what of it touches. All places are in
//! the surface's frame: the origin on it, x towards the fingertips, y off it.
//!
//! Stances, their heights and angles are chosen here. The hand is
//! placed by its wrist.
use super::make::{Part, add, id};
use super::skeleton::Scale;
use super::standing::{Standing, Touch, form};
use recipe::{Digit, Hand, Impossible, Planting, Stance, bones};
use rig::*;

/// Distance from touching, mm, that still touches.
const TOUCHES: f64 = 1e-9;

pub(super) fn touch(
    document: &mut Document,
    hand: &Hand,
    planting: &Planting,
    scale: Scale,
) -> Result<Touch, Impossible> {
    if planting.heel && planting.stance != Stance::Flat {
        return Err(Impossible::Heel);
    }
    let end = match planting.stance {
        Stance::Fingertips => "tip-contact",
        _ => "pad",
    };
    if planting.stance == Stance::Fingertips {
        for digit in &hand.digits {
            add_tip(document, digit, scale);
        }
    }
    let mut standing = Standing {
        document,
        hand,
        planting,
        scale,
        form: Form::Plane,
        end,
    };
    let touch = match planting.stance {
        Stance::Flat | Stance::Fingertips => standing.on_digits()?,
        Stance::Fist => {
            let touch = standing.fist()?;
            standing.shifted(touch)
        }
        Stance::Edge => {
            let touch = standing.edge()?;
            standing.shifted(touch)
        }
    };
    for contact in &touch.contacts {
        let off = surface::distance(form(&planting.surface), &contact.at) - contact.radius;
        if libm::fabs(off) > TOUCHES {
            let part = document.node(contact.node).expect("made before");
            let part = part.name.clone();
            return Err(Impossible::OffSurface { part });
        }
    }
    Ok(touch)
}

/// A contact at the very end of a digit: a sphere as large as the pad's, ending with the flesh.
fn add_tip(document: &mut Document, digit: &Digit, scale: Scale) {
    let last = digit.bones[digit.bones.len() - 1] + digit.soft_tip - bones::PAD_RADIUS;
    let part = Part {
        name: &format!("{}-tip-contact", digit.name),
        parent: Some(id(document, &format!("{}-phalanx-distal", digit.name))),
        at: [0.0, -last * scale.long, 0.0],
        width: 2.0 * bones::PAD_RADIUS * scale.long,
        ..Part::mount()
    };
    add(document, part);
}
