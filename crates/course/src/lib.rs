//! Lessons: files with a figure, predictions drawn on it, and exercises checked by measurement.
#![warn(missing_docs)]

pub mod check;
pub mod door;
mod fault;
pub mod file;
pub mod lesson;
pub mod measure;
pub mod predict;
mod region;

pub use check::{Attempt, Finding, Mark, check};
pub use fault::Fault;
pub use file::{FORMAT, authored, read, read_value, schema, write};
pub use lesson::{Band, Lesson, Misplaced, Run, Shown, Spot, Step, Task, Tool, Viewpoint};
pub use predict::{Answer, Truth, Verdict, judge, truth};
