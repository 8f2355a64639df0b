//! Lessons: files with a figure, predictions drawn on it, and exercises checked by measurement.
#![warn(missing_docs)]

pub mod check;
pub mod door;
pub mod file;
pub mod finding;
pub mod lesson;
mod measure;
mod obstacle;
pub mod predict;
mod region;
pub mod verdict;
mod words;

pub use check::{Attempt, check};
pub use file::{FORMAT, authored, read, read_value, schema, write};
pub use finding::{Finding, Mark};
pub use lesson::{Band, Lesson, Misplaced, Run, Shown, Spot, Step, Task, Tool, Viewpoint};
pub use obstacle::Obstacle;
pub use predict::{Answer, Truth, judge, truth};
pub use rig::Fault;
pub use verdict::Verdict;
