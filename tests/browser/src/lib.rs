//! The sandbox driven in headless Chromium, and in part in Firefox and WebKit, by real pointer,
//! touch and key events.
//!
//! `cargo xtask test --only browser` builds and serves the site, and says in the environment where
//! the site, its folder, the driver and axe-core are.

mod engine;
pub mod hand_page;
mod held;
mod host;
mod input;
mod kept;
pub mod learner;
mod page;
mod probe;
pub mod processes;
mod size;
mod surveyor;
pub mod walk;

pub use engine::Browser;
pub use host::StaticHost;
pub use input::{Acts, path};
pub use page::{Page, Rect, none};
pub use probe::Probe;
pub use size::{Look, Size};
pub use surveyor::Asked;
pub use thirtyfour::Key;

use anyhow::{Context, Result};

/// A value that `cargo xtask` hands over.
pub fn given(name: &str) -> Result<String> {
    std::env::var(name)
        .with_context(|| format!("{name} is not set; start this through `cargo xtask`"))
}
