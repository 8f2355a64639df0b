//! A posed document as a list of drawn shapes, and that list as SVG.
//!
//! The browser's canvas draws the same list. Colours are named by their part
//! ([`Paint`]), so one list serves paper, slate and print.
#![warn(missing_docs)]

mod axis;
mod bar;
mod bench;
mod bubbles;
mod contact;
mod draw;
mod engraved;
mod extent;
mod flesh;
mod key;
mod label_layout;
mod layout;
pub mod map;
mod measure;
mod path;
mod pencil;
mod scene;
mod shape;
mod sheet;
mod sign;
mod staple;
mod svg;
mod view;
mod words;

pub use draw::{draw, draw_on};
pub use extent::{extent, framed};
pub use flesh::{Ghosts, Skin, skins, thumbnail};
pub use key::{SAMPLE, sample};
pub use scene::{AxisKind, AxisLine, Bubble, Scene};
pub use shape::{Align, Layer, Paint, Seg, Shape, Stroke, Text, TextStyle};
pub use sign::{Sign, Signs};
pub use svg::{HATCH, Look, font, picture, svg};
pub use view::{Sight, View};
