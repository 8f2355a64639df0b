//! The sketch page: a chain of one's own. What is not re-exported here nobody else reaches.
mod add;
mod anchors;
mod card;
mod desk;
mod insets;
mod tools;

pub use add::add_at;
pub use desk::SketchDesk;
pub use insets::Insets;

use leptos::prelude::*;

/// What stands beside the plate: a title, for all else is on the desk.
#[component]
pub fn SketchPage() -> impl IntoView {
    view! {
        <main id="page" tabindex="-1" class="sketch-title">
            <h1>"Sketch"</h1>
        </main>
    }
}
