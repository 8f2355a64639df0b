//! Nodes, transforms, evaluation order, anchors and their solvers.
//!
//! The pure core: no I/O, no clock, no globals, and no allocation while
//! evaluating. Lengths are millimetres, angles radians. Every transcendental
//! goes through `libm`, so native and wasm agree bit for bit.
//!
//! A [`Mechanism`] is the structure, built once per structural change; a
//! [`Pose`] holds channel values and everything derived from them.
#![no_std]
#![warn(missing_docs)]

extern crate alloc;

pub mod anchor;
pub mod channel;
pub mod mechanism;
mod order;
mod plan;
pub mod pose;
pub mod solve;

pub use anchor::{Anchor, Outcome, Solver};
pub use channel::{Channel, Order};
pub use mechanism::{BuildError, Mechanism, Node};
pub use order::lock_margins;
pub use pose::Pose;

/// A rigid transform: unit quaternion and translation in mm. No scale.
pub type Transform = nalgebra::Isometry3<f64>;
/// A point or displacement, mm.
pub type Vec3 = nalgebra::Vector3<f64>;
/// A rotation.
pub type Rotation = nalgebra::UnitQuaternion<f64>;
