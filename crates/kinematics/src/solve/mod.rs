//! Solvers, and Jacobian measures of an anchored chain in its evaluated pose.
//!
//! A solver sees a chain as `Link`s: joints that can turn, with everything rigid
//! between them folded into one offset.
mod aim;
pub mod boxed;
mod damped;
mod digit;
mod fabrik;
mod finger;
mod jacobian;
mod link;
mod pad;
mod roll;
mod run;
mod saddle;
mod set_down;
mod solved;
mod task;
mod thumb;
mod turning;
mod two_bone;

pub(crate) use digit::Digit;
pub use jacobian::{bend_gain, least_singular_value};
pub(crate) use link::{inside, nearest};
pub(crate) use run::run;
pub(crate) use saddle::Saddle;
pub(crate) use task::Scratch;
