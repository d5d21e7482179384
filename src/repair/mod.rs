//! Carrying a plan on from a later week: what has happened is fixed, what stands stands as it is,
//! the rest is free again.
//!
//! A plan, what happened since and a week make the scenario as it stands then; it goes through the
//! same pipeline as any other. What the answers mean beside each other is here too. Reading files
//! and searching are left to others.

mod carry;
mod ground;
mod learn;
mod live;
mod needs;
mod roster;
mod store;

pub use carry::{CarriedOn, carry_on};
pub use learn::Learned;
pub use roster::roster;
