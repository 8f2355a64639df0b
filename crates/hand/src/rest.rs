//! The three poses of a hand that are kept apart.
use crate::build;
use recipe::{DialRole, bones};
use rig::{Document, Setting, Solver};

/// A pose to go back to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rest {
    /// Straight and let go: every joint at zero.
    Flat,
    /// Let go, the fingers bent as a hand's are that does nothing, where the surface lets them.
    Relaxed,
    /// As built: every planted digit held, every press dial at zero.
    Planted,
}

impl Rest {
    /// The setting that brings a document's hand there: every dial neutral or as the pose has
    /// it, every digit held or let go.
    pub fn setting(self, document: &Document) -> Setting {
        let built = document.hand.as_deref().filter(|_| self == Self::Planted);
        let built = built.and_then(|recipe| build::document(recipe).ok());
        let dials = document.dials.iter().map(|dial| {
            let role = dial.role.as_ref();
            // A fist is built curled, and planted so.
            let as_built = || built.as_ref()?.value(built.as_ref()?.role(role?)?.id);
            match (self, role) {
                (Self::Relaxed, Some(DialRole::RestFlexion)) => bones::REST_FLEXION,
                (Self::Planted, _) => as_built().unwrap_or(dial.neutral),
                _ => dial.neutral,
            }
        });
        let active = document.anchors.iter().zip(&document.setting.active);
        let active = active.map(|(anchor, &active)| match anchor.solver {
            Solver::Finger { .. } | Solver::Thumb { .. } => {
                // Those that were never planted rest by theirs, which are off.
                let planted = || document.plants.iter().any(|plant| plant.node == anchor.end);
                self == Self::Planted && planted()
            }
            _ => active,
        });
        Setting {
            dials: dials.collect(),
            active: active.collect(),
        }
    }
}
