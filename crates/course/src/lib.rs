//! Lessons: files with a figure, predictions drawn on it, and exercises checked by measurement.
#![warn(missing_docs)]

pub mod check;
pub mod fault;
pub mod file;
pub mod finding;
pub mod lesson;
mod measure;
mod obstacle;
pub mod predict;
mod region;
mod validate;
pub mod verdict;
mod words;

pub use check::{Attempt, check};
pub use fault::Fault;
pub use file::{FORMAT, authored, read, read_value, schema, write};
pub use finding::{Finding, Mark};
pub use lesson::{Band, Lesson, Misplaced, Run, Shown, Spot, Step, Task, Tool, Viewpoint};
pub use obstacle::Obstacle;
pub use predict::{Answer, Truth, judge, truth};
pub use verdict::Verdict;
