//! The document: a chain or a hand, its edits with exact undo, its measures and its file.
//!
//! A [`Document`] is data and holds what the file holds (mm and degrees), so saving and
//! loading is exact. [`Posed`] is a function of it: the compiled mechanism, evaluated.
#![warn(missing_docs)]

mod anchor;
mod compile;
mod dial;
mod document;
mod down;
pub mod edit;
pub mod fault;
pub mod few;
pub mod file;
mod foot;
pub mod history;
mod id;
pub mod index;
mod link;
pub mod makeup;
pub mod measure;
mod node;
pub mod posed;
pub mod pull;
mod reach;
pub mod report;
pub mod role;
mod setting;
mod shared;
mod structure;
pub mod surface;
pub mod text;
mod units;
pub mod validate;

pub use anchor::{Anchor, Contact, Plant, Round, Solver};
pub use dial::{Dial, Drive, Ramp, Target, Unit};
pub use document::Document;
pub use down::{DOWN, Footing};
pub use edit::{Edit, Refusal};
pub use fault::Fault;
pub use file::{MOST_BYTES, read, write};
pub use history::History;
pub use id::{AnchorId, DialId, NodeId};
pub use kinematics::{Channel, Order, ROOT, Rotation, Transform, Vec3, lock_margin, lock_margins};
pub use link::{Link, Passed, Share};
pub use makeup::Makeup;
pub use measure::{OwnAxis, Reading, WorldAxis};
pub use node::{Form, Grip, Kind, Node};
pub use posed::Posed;
pub use recipe::{DialRole, Part, Recipe};
pub use role::{Role, roles};
pub use setting::Setting;
pub use shared::Shared;
pub use structure::Rig;
pub use surface::Surface;
pub use units::{DEGREES, RADIANS};
