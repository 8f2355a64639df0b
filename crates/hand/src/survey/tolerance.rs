//! What is still safe.
use serde::{Deserialize, Serialize};

/// How far what is planted may slip and flesh may sink in a safe pose, mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tolerance {
    /// Of a plant, along or off its surface.
    pub slip: f64,
    /// Of a digit's flesh, into a surface.
    pub pad: f64,
    /// Of the palm's, the heel's and the thumb's base's, which is thicker.
    pub palm: f64,
}

impl Default for Tolerance {
    /// Common practice, no source.
    fn default() -> Self {
        Self {
            slip: 0.5,
            pad: 1.5,
            palm: 3.0,
        }
    }
}

impl Tolerance {
    /// As it is by default, but for the slip.
    pub fn of_slip(slip: f64) -> Self {
        Self {
            slip,
            ..Self::default()
        }
    }
}
