//! The survey: two dials swept over a grid, every plant measured at each pose
//! (docs/mathematics.md 12).
//!
//! A plant counts while its anchor holds it fully; one that is let go, or being let go, has
//! nothing to keep. A plant without an anchor (a fist's knuckle) always counts.
pub mod contour;
mod fault;
mod greatest;
mod grid;
mod meter;
mod packed;
mod progress;
pub mod report;
mod sweep;

pub use fault::NoSurvey;
pub use greatest::{Greatest, Release, Stop, greatest, releases};
pub use grid::Survey;
pub(crate) use meter::Meter;
pub use meter::{Cell, Limit, LimitKind, Room, joint_room, room};
pub use progress::Progress;
pub use sweep::{MOST_CELLS, MOST_SLIPS, Sweep, cells};
