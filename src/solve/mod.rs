//! Solving a season: bound, plan, proof.

mod answer;
pub mod exact;
pub mod linear;
mod reduce;
mod tree;

pub use answer::{Answer, Draw, Options, Progress, Status, Watch};
