//! Lessons: files with a figure, predictions drawn on it, and exercises checked by measurement.
#![warn(missing_docs)]

pub mod check;
pub mod lesson;
pub mod predict;

pub use check::{Attempt, Finding, Mark, check};
pub use lesson::{Band, Fault, Lesson, Misplaced, Run, Shown, Spot, Step, Task, read};
pub use predict::{Answer, Truth, Verdict, judge, truth};
