//! What the screens show and keep, as data, without a browser: so it is tested natively, and
//! building its tests takes no page.
pub mod axis;
pub mod example;
pub mod file_name;
pub mod last_word;
pub mod moving;
pub mod notice;
pub mod number;
pub mod pencil;
pub mod prose;
pub mod record;
pub mod route;
pub mod sketch;
pub mod stage;
pub mod unkept;
