//! Every joint free: finger dials, joints' own dials, who adds what; gestures.
mod dials;
mod gestures;
mod hands;
