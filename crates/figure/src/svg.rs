//! The shape list as an SVG document.
use crate::{Paint, Shape};

/// Light or dark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Look { Paper, Blackboard }

impl Look {
    /// `#rrggbb` of a paint ([`Paint::Hatch`] gives the colour of its lines).
    pub const fn colour(self, paint: Paint) -> &'static str { let _ = paint; todo!() }
}

/// A standalone SVG of this size in px, with title and ground.
pub fn svg(shapes: &[Shape], size: (f64, f64), look: Look, title: &str) -> String { let _ = (shapes, size, look, title); todo!() }
