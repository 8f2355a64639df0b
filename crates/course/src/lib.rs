//! Lessons: files with a figure, predictions drawn on it, and exercises checked by measurement.
#![warn(missing_docs)]

pub mod check;
pub mod door;
pub mod file;
pub mod lesson;
pub mod measure;
pub mod predict;
mod region;

pub use check::{Attempt, Finding, Mark, check};
pub use file::{FORMAT, read, read_value, schema};
pub use lesson::{Band, Lesson, Misplaced, Run, Shown, Spot, Step, Task};
pub use predict::{Answer, Truth, Verdict, judge, truth};
pub use rig::Fault;
