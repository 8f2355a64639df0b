//! What stands on the page wherever one is: the top line and notices; and what documents go through:
//! files and copies.
pub mod copies;
pub mod files;
mod notices;
mod top;

pub use notices::Notices;
pub use top::Top;
