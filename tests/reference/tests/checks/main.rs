//! One program, so that what waits for Python on one core leaves the other to the next check.
mod axis;
mod contact;
mod contact_round;
mod csv;
mod finger;
mod flesh;
mod forward;
mod hand;
mod inverse;
mod json;
mod lessons;
mod mixtures;
mod orders;
mod overlap;
mod rolling_thumb;
mod survey;
mod thumb;
