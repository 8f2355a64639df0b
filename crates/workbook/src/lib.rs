//! What the screens show and keep, as data, without a browser: so it is tested natively, and
//! building its tests takes no page.
pub mod desk;
pub mod example;
pub mod file_name;
pub mod hang;
pub mod last_word;
pub mod notice;
pub mod prose;
pub mod record;
pub mod route;
pub mod scene;
pub mod stage;
