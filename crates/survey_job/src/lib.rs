//! The long computations about a hand, for whoever must not wait for them: a survey, how far a
//! dial goes, the axis of greatest safe lift, advice.
//!
//! [`Order`]s go to a [`Bench`] as text, which works at them in steps and gives a [`Reply`] after
//! each. An answer is the very one that `hand` gives: to the last bit, since numbers are written
//! so that they are read back exactly, and a survey goes as numbers beside the text. Knows no
//! browser; the crate `worker` puts a bench into one.
#![warn(missing_docs)]

mod answer;
mod bench;
mod job;
mod question;

pub use answer::{Advised, Answer, Found, Help, Reach, Reply};
pub use bench::Bench;
pub use question::{Lane, Order, Question, Side};

use hand::Recipe;
use rig::Posed;

/// A recipe's hand as it is built, every dial neutral.
pub fn built(recipe: &Recipe) -> Option<Posed> {
    let document = hand::document(recipe).ok()?;
    Posed::new(&document).ok()
}
