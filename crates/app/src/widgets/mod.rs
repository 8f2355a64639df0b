//! What more than one view shows.
pub mod canvas;
pub mod desk;
pub mod dial;
pub mod fields;
mod gauge;
pub mod keys;
mod paint;
pub mod paint_once;
pub mod rig_tools;
pub mod sheet;
pub mod switch;
mod typed;
