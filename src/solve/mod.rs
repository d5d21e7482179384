//! Solving a season: bound, plan, proof.

mod answer;

pub use answer::{Answer, Draw, Options, Progress, Status, Watch};
