//! `*.hand.json`: reading, writing, migrating. mm and degrees.
pub mod bounds;
mod brief;
mod built;
mod convert;
mod form;
mod format;
mod hands;
mod json;
mod layout;
mod read;
mod version;
mod write;

pub use bounds::{MOST_BYTES, MOST_NODES};
pub use form::form;
pub use format::Order as TurnOrder;
pub use hands::Hands;
pub use json::value;
pub use read::{Written, prepared, read, read_value};
pub use version::{FORMAT, known};
pub use write::{plainly, schema, write};
