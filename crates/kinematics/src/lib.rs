//! Nodes, transforms, evaluation order, anchors and their solvers.
//!
//! The pure core: no I/O, no clock, no globals, and no allocation while
//! evaluating. Lengths are millimetres, angles radians. Every transcendental
//! goes through `libm`, so native and wasm agree bit for bit.
//!
//! A [`Mechanism`] is the structure, built once per structural change; a
//! [`Pose`] holds channel values and everything derived from them.
//!
//! # Example
//!
//! A finger of 40 mm and 30 mm whose end an anchor holds while the knuckle is moved towards it:
//!
//! ```
//! use kinematics::{Anchor, Channel, Mechanism, Node, Order, Rotation, Solver, Transform, Vec3};
//!
//! let node = |parent, x: f64| Node {
//!     parent,
//!     rest: Transform::from_parts(Vec3::new(x, 0.0, 0.0).into(), Rotation::identity()),
//!     order: Order::Xyz,
//!     limits: [(f64::NEG_INFINITY, f64::INFINITY); 6],
//! };
//! // A knuckle, a middle joint and an end, parents first; and the place where the end stays.
//! let nodes = vec![node(None, 0.0), node(Some(0), 40.0), node(Some(1), 30.0), node(None, 70.0)];
//! let stay = Anchor {
//!     base: 0,
//!     end: 2,
//!     target: 3,
//!     solver: Solver::TwoBone { pole: None, softness: 0.0, bend: Vec3::z() },
//! };
//! let mechanism = Mechanism::new(nodes, vec![stay])?;
//! let mut pose = mechanism.pose();
//!
//! pose.set_channel(0, Channel::MoveX, 10.0);
//! mechanism.evaluate(&mut pose);
//!
//! let end = pose.world(2).translation.vector;
//! assert!((end - Vec3::new(70.0, 0.0, 0.0)).norm() < 1e-9);
//! assert!(pose.outcome(0).residual < 1e-9);
//! // The law of cosines: 60² = 40² + 30² + 2·40·30·cos(bend).
//! let [_, _, bend] = mechanism.turns(&pose, 1);
//! assert!((bend.cos() - 1100.0 / 2400.0).abs() < 1e-9);
//!
//! // 10 mm too far: the chain is straight and says what is missing.
//! pose.set_channel(0, Channel::MoveX, -10.0);
//! mechanism.evaluate(&mut pose);
//! assert!((pose.outcome(0).residual - 10.0).abs() < 1e-9);
//! assert!((pose.outcome(0).reach_margin + 10.0).abs() < 1e-9);
//! # Ok::<(), kinematics::BuildError>(())
//! ```
#![no_std]
#![warn(missing_docs)]

extern crate alloc;

pub mod anchor;
mod build_error;
pub mod channel;
mod contact;
mod dirty;
mod evaluate;
pub mod mechanism;
mod node;
mod order;
mod plan;
pub mod pose;
pub mod solve;

pub use anchor::{Anchor, Outcome, Solver};
pub use build_error::BuildError;
pub use channel::{Channel, Order};
pub use contact::{Contact, ROOT, Round};
pub use mechanism::Mechanism;
pub use node::Node;
pub use order::{lock_margin, lock_margins};
pub use pose::Pose;

/// A rigid transform: unit quaternion and translation in mm. No scale.
pub type Transform = nalgebra::Isometry3<f64>;
/// A point or displacement, mm.
pub type Vec3 = nalgebra::Vector3<f64>;
/// A rotation.
pub type Rotation = nalgebra::UnitQuaternion<f64>;
