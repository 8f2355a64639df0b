//! Contact that rolls: the outline that touches, where it has rolled to, how long it lasts, and
//! what a digit that is let go rests on (docs/mathematics.md 10).
pub(super) mod around;
pub(super) mod closure;
mod curved;
pub(super) mod finger;
mod gap;
pub(super) mod hold;
pub(super) mod loaded;
pub(super) mod outline;
mod plane;
pub(super) mod surface;
pub(super) mod touch;
pub(super) mod unrolled;
