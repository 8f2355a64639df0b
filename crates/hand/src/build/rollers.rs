//! Pivots of a press that roll: each turns about the centre of the flesh it turns on.
use rig::Channel::{self, MoveX, MoveZ, TurnX, TurnZ};
use rig::RADIANS;

/// Radii of the flesh, mm; 0: the pivot turns in its place.
pub(super) struct Rollers {
    pub tips: f64,
    pub inner: f64,
    pub outer: f64,
    pub heel: f64,
    pub knuckles: f64,
}

impl Rollers {
    /// How far a pivot travels along the surface, mm per degree of a turn, and which way: a wheel
    /// that turned on the spot would slip. Turned about z (x to y) it rolls towards −x, about x
    /// (y to z) towards z.
    pub fn travel(&self, pivot: &str, turn: Channel) -> Option<(Channel, f64)> {
        let radius = match pivot {
            "tips" => self.tips,
            "inner edge" => self.inner,
            "outer edge" => self.outer,
            "heel" => self.heel,
            "knuckles" => self.knuckles,
            _ => 0.0,
        };
        let mm = radius * RADIANS;
        match turn {
            _ if mm == 0.0 => None,
            TurnZ => Some((MoveX, 0.0 - mm)),
            TurnX => Some((MoveZ, mm)),
            _ => None,
        }
    }
}
