//! What the page does that takes time or more than an edit: going to places, keeping work, playing
//! motions, comparing predictions. Nothing here knows a view.
pub mod drawing;
pub mod play;
pub mod predict;
pub mod saving;
pub mod visit;
