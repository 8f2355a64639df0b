//! Lessons: files with a figure, predictions drawn on it, and exercises checked by measurement.
#![warn(missing_docs)]

mod act;
pub mod build;
mod check;
pub mod fault;
mod file;
pub mod finding;
pub mod lesson;
mod measure;
pub mod mounts;
mod obstacle;
mod predict;
pub mod prose;
mod region;
mod said;
pub mod signs;
mod stay;
mod task;
mod telling;
mod validate;
mod verdict;
mod words;

pub use act::{Act, Hang, Put, Turn};
pub use check::{Attempt, check};
pub use fault::Fault;
pub use file::{FORMAT, authored, read, read_value, schema, write};
pub use finding::{Finding, Mark};
pub use lesson::{Lesson, Shown, Spot, Step, Tool, Viewpoint};
pub use obstacle::Obstacle;
pub use predict::{Answer, Truth, apart, judge, truth};
pub use said::{Rung, Said};
pub use stay::{Stay, called};
pub use task::{Band, Misplaced, Run, Task};
pub use verdict::{Grade, Stapled, Verdict};
