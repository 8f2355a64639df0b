//! A posed document as a list of drawn shapes, and that list as SVG.
//!
//! The browser's canvas draws the same list. Colours are named by their part
//! ([`Paint`]), so one list serves paper, slate and print.
#![warn(missing_docs)]

mod axis;
mod bar;
mod bench;
mod contact;
pub mod draw;
mod flesh;
mod laid;
pub mod map;
mod measure;
mod pencil;
mod room;
pub mod shape;
pub mod svg;
pub mod view;

pub use axis::{AxisKind, AxisLine};
pub use draw::{Bubble, Scene, draw, extent, framed};
pub use shape::{Align, Layer, Paint, Seg, Shape, Stroke, Text, TextStyle};
pub use svg::{HATCH, Look, font, picture, svg};
pub use view::{Sight, View};
