//! The survey: two dials swept over a grid, every plant measured at each pose
//! (docs/mathematics.md 12).
//!
//! A pose is safe when nothing planted slips, no flesh sinks and no limit is passed by more than
//! the [`Tolerance`]. A plant counts while its anchor holds it fully; one that is let go, or lets
//! go by itself at the end of its reach, has nothing to keep, and that is no failure. A plant
//! without an anchor (a fist's knuckle) always counts.
mod cell;
pub mod contour;
mod fault;
mod greatest;
mod grid;
mod limit;
mod meter;
mod packed;
mod progress;
pub mod report;
mod room;
mod sweep;
mod tolerance;

pub use cell::{Cell, Down, Ends, Sunk};
pub use fault::NoSurvey;
pub use greatest::{Greatest, Release, Span, greatest, releases, span};
pub use grid::Survey;
pub use limit::{Limit, LimitKind};
pub(crate) use meter::Meter;
pub use meter::measure;
pub use progress::Progress;
pub use room::{Room, joint_room, room};
pub use sweep::{MOST_CELLS, MOST_SLIPS, Sweep, cells};
pub use tolerance::Tolerance;
