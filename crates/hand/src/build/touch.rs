//! How the hand stands on its surface in each stance, and what of it touches. All places are in
//! the surface's frame: the origin on it, x towards the fingertips, y off it.
//!
//! Stances, their heights and angles are chosen here. The hand is
//! placed by its wrist.
use super::skeleton::Scale;
use super::standing::{Standing, Touch, form};
use crate::flesh::Flesh;
use crate::parts;
use recipe::{Hand, Impossible, Planting, Stance};
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
    let flesh = {
        let mut named = document.clone();
        parts::by_name(&mut named, &hand.digits);
        Flesh::of(&named)
    };
    let mut standing = Standing {
        document,
        flesh,
        hand,
        planting,
        scale,
        form: Form::Plane,
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
