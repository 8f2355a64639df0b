//! What the screens show and keep, as data, without a browser: so it is tested natively, and
//! building its tests takes no page.
pub mod arithmetic;
pub mod axis;
pub mod building;
pub mod desk;
pub mod drawing;
pub mod example;
pub mod face;
pub mod file_name;
pub mod gallery;
pub mod gauge_table;
pub mod glossary;
pub mod hang;
pub mod joints;
pub mod key;
pub mod knobs;
pub mod last_word;
pub mod learnt;
pub mod lesson_name;
pub mod moving;
pub mod names;
pub mod notice;
pub mod number;
pub mod pencil;
pub mod per_step;
pub mod plate;
pub mod pull;
pub mod record;
pub mod route;
pub mod scene;
pub mod sketch;
pub mod stage;
pub mod strip;
pub mod svg;
pub mod told;
pub mod turn_order;
pub mod typed;
pub mod unkept;
pub mod worst;

/// The front page's drawing of the one idea, inside an SVG element 560 by 250 px large: static and
/// light. The styles give its colours.
/// Said in place of a lesson's why, which has the answers.
pub const WHY_WAITS: &str =
    "The why has the answers. It opens once you have seen every prediction of this lesson.";
/// The way round that.
pub const WHY_NOW: &str = "Open it now";
/// Where the course begins.
pub const FIRST_LESSON: &str = "#/lesson/carry/1";
pub const OPENING: &str = include_str!("opening.svg");
/// What it shows, in words.
pub const OPENING_SHOWS: &str =
    "A palm lifted about its knuckle while the finger stays on the bench";
