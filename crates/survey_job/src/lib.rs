//! The long computations about a hand, for whoever must not wait for them: a survey, how far a
//! dial goes, the axis of greatest safe lift, advice.
//!
//! [`Order`]s go to a [`Bench`] as text, which works at them in steps and gives a [`Reply`] after
//! each. An answer is the very one that `hand` gives: to the last bit, since numbers are written
//! so that they are read back exactly, and a survey goes as numbers beside the text. Knows no
//! browser; the crate `worker` puts a bench into one.
//!
//! ```
//! use hand::survey::Tolerance;
//! use hand::{Planting, Recipe};
//! use survey_job::{Answer, Bench, Order, Question, built};
//!
//! let recipe = Recipe { planting: Some(Planting::default()), ..Recipe::default() };
//! let posed = built(&recipe).unwrap();
//! let lift = posed.rig().dials.iter().position(|dial| dial.name == "lift").unwrap();
//! let mut bench = Bench::default();
//! let mut send = |order: Order| bench.take(&serde_json::to_string(&order).unwrap());
//! send(Order::Figure(rig::write(posed.document())))?;
//! send(Order::Ask {
//!     number: 1,
//!     question: Question::Reach {
//!         standing: posed.setting().clone(),
//!         dial: lift,
//!         rising: true,
//!         tolerance: Tolerance { slip: 0.5, pad: 3.0, palm: 30.0 }, // mm
//!     },
//! })?;
//!
//! // Each step goes on as long as it is told to: here until nothing is left to do.
//! let mut last = None;
//! while let Some(reply) = bench.step(&mut || true) {
//!     last = Some(reply);
//! }
//! let Some(Answer::Reach(Some(reach))) = last.map(|reply| reply.answer) else { panic!() };
//! // Safe as far as the dial goes; the little finger lets go on the way.
//! assert!(reach.ended.is_none() && reach.stays.value < reach.value);
//! assert_eq!(reach.stays.told(), "All four stay");
//! assert_eq!(reach.stays.first.unwrap().who, "little finger");
//! # Ok::<(), String>(())
//! ```
#![warn(missing_docs)]

mod answer;
mod bench;
mod job;
mod question;

pub use answer::{Advised, Answer, Ended, Found, Help, How, Reach, Reply, Stays, Who};
pub use bench::Bench;
pub use question::{Lane, Order, Question, Side};

use hand::Recipe;
use rig::Posed;

/// A recipe's hand as it is built, every dial neutral.
pub fn built(recipe: &Recipe) -> Option<Posed> {
    let document = hand::document(recipe).ok()?;
    Posed::new(&document).ok()
}
