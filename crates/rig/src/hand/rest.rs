//! The three poses of a hand that are kept apart.
use super::{Recipe, Stance, bones};
use crate::{DialId, Document};

/// A pose to go back to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rest {
    /// Straight and let go: every joint at zero.
    Flat,
    /// Let go, the fingers at their rest flexion.
    Relaxed,
    /// As built: on the surface, every press dial at zero.
    Planted,
}

impl Rest {
    /// The values that bring the dials of a built hand there, for one edit. Dials the hand was
    /// not built with are left alone, and so is the place of arm and surface.
    pub fn dials(self, document: &Document, recipe: &Recipe) -> Vec<(DialId, f64)> {
        let stance = recipe.planting.as_ref().map(|planting| planting.stance);
        let fist = self == Self::Planted && stance == Some(Stance::Fist);
        let value = |name: &str| match name {
            "lift" | "roll" | "lean" | "twist" | "arch" | "collapse" => Some(0.0),
            "rest flexion" if self == Self::Flat || fist => Some(0.0),
            "rest flexion" => Some(bones::REST_FLEXION),
            "curl" => Some(if fist { 100.0 } else { 0.0 }),
            _ if name.starts_with("release ") => {
                Some(if self == Self::Planted { 0.0 } else { 100.0 })
            }
            _ if name.starts_with("raw ") || name.starts_with("collapse ") => Some(0.0),
            _ => None,
        };
        let dials = document.dials.iter();
        dials
            .filter_map(|dial| Some((dial.id, value(&dial.name)?)))
            .collect()
    }
}
