//! The survey: two dials swept over a grid, every plant measured at each pose
//! (docs/mathematics.md 12).
//!
//! A pose is safe when nothing planted slips, no flesh sinks and no limit is passed by more than
//! the [`Tolerance`]. A plant counts while it is down; one that is let go, or lets go by itself at
//! the end of its reach, has nothing to keep, and that is no failure. How far all stay down is
//! told beside what is safe ([`stay`], [`Survey::stays`]).
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
mod stay;
mod sweep;
mod tolerance;
mod walk;

pub use cell::{Cell, Down, Ends, Sunk};
pub use fault::NoSurvey;
pub use greatest::{Greatest, Release, Span, greatest, releases, span};
pub use grid::Survey;
pub use limit::{Limit, LimitKind};
pub(crate) use meter::Meter;
pub use meter::measure;
pub use progress::Progress;
pub use room::{Room, joint_room, room};
pub use stay::{Stay, stay};
pub use sweep::{MOST_CELLS, MOST_SLIPS, Sweep, cells};
pub use tolerance::Tolerance;
