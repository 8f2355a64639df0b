//! Pictures and poses as they were when they were last looked at and found good. A change that
//! should move none of them is proved by this; one that should is told by what it moves.
//!
//! What was kept is in `snapshots/`. When a change is meant:
//!
//! ```text
//! INSTA_UPDATE=always cargo test -p figure --test golden
//! ```
//!
//! then look at what Git says changed, and at the pictures themselves, which every run leaves as
//! SVG in `target/tmp/golden/`.
mod api;
#[allow(dead_code)]
#[path = "../common/mod.rs"]
mod common;
mod lines;
mod numbers;
mod pictures;

use insta::internals::SettingsBindDropGuard;

/// Fails with the lines that differ from what is kept under this name.
fn kept(name: &str, text: &str) {
    let _bound = bound();
    insta::assert_snapshot!(name, text);
}

/// The name alone is the file's; Rust's expression and module are noise in it.
fn bound() -> SettingsBindDropGuard {
    let mut settings = insta::Settings::new();
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind_to_scope()
}
