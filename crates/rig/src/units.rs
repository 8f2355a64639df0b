//! Documents are in degrees, mechanisms in radians.
use std::f64::consts::PI;

/// Degrees in a radian.
pub const DEGREES: f64 = 180.0 / PI;
/// Radians in a degree.
pub const RADIANS: f64 = PI / 180.0;
