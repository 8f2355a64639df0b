//! The document: a chain or a hand, its edits with exact undo, its gauges and its file.
//!
//! A [`Document`] is data and holds what the file holds (mm and degrees), so saving and
//! loading is exact. [`Posed`] is a function of it: the compiled mechanism, evaluated.
#![warn(missing_docs)]

pub mod check;
mod compile;
pub mod document;
pub mod edit;
pub mod file;
pub mod history;
pub mod index;
pub mod measure;
pub mod posed;
pub mod pull;
pub mod report;
pub mod role;
mod setting;
mod shared;
pub mod surface;
pub mod text;

pub use document::{
    Anchor, AnchorId, Dial, DialId, Document, Drive, Form, Grip, Kind, Node, NodeId, Plant, Ramp,
    Rig, Solver, Target, Unit,
};
pub use edit::{Edit, Refusal};
pub use file::{Fault, MOST_BYTES, read, write};
pub use history::History;
pub use kinematics::{Channel, Order, Rotation, Transform, Vec3, lock_margins};
pub use measure::Reading;
pub use posed::{DEGREES, Posed, RADIANS};
pub use recipe::{DialRole, Part, Recipe};
pub use role::{Role, roles};
pub use setting::Setting;
pub use shared::Shared;
pub use surface::Surface;
