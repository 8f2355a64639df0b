//! All state, in bundles by how often it changes. Each is `Copy` and given by context: a component
//! takes the bundles it reads, and [`Session`], the handle that holds them all, where it acts.
//! Nothing here knows a view.
mod building;
mod camera;
mod course;
mod editing;
mod keeping;
mod on_hand;
mod readings;
mod session;
mod shell;
mod stage;

pub use self::course::Course;
pub use camera::Camera;
pub use keeping::{Keeping, Place, Shelved};
pub use on_hand::OnHand;
pub use readings::{gauges, read, spoken};
pub use session::{Session, session};
pub use shell::{Entry, Shell};
pub use stage::OnStage;
