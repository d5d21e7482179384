//! Carrying a plan on from a later week: what has happened is fixed, what stands stands as it is,
//! the rest is free again.
//!
//! A plan, what happened since and a week make the scenario as it stands then; it goes through the
//! same pipeline as any other. What the answers mean beside each other is here too. Reading files
//! and searching are left to others.

mod carry;
mod closed;
mod compare;
mod covers;
mod ground;
mod jobs;
mod learn;
mod live;
mod needs;
mod number;
mod rests;
mod roster;
mod store;

pub use carry::{CarriedOn, carry_on};
pub use compare::{AnswerLine, Answers, Filler, LostFood, LostWeek, Replan, changed, compare};
pub use covers::CoverFiller;
pub use jobs::{ChangedJob, Difference, Job};
pub use learn::Learned;
pub use number::{highest, renumber};
pub use roster::roster;
