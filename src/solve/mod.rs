//! Solving a season: bound, plan, proof.

mod answer;
pub mod linear;

pub use answer::{Answer, Draw, Options, Progress, Status, Watch};
