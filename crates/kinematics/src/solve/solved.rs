//! What solving a digit finds.

/// Angles found, and what was found on the way.
pub(super) struct Solved {
    /// Of the base's outer and inner turn, the middle's and the last's.
    pub(super) angles: [f64; 4],
    /// The farthest the pad can be from the base within its limits, mm.
    pub(super) farthest: f64,
    /// From the base to the target, mm.
    pub(super) distance: f64,
    pub(super) iterations: u32,
}
