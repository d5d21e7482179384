//! Solving a season: bound, plan, proof.

mod anneal;
mod answer;
mod ascent;
mod bound;
mod compact;
mod context;
mod dive;
mod draft;
pub mod exact;
mod finish;
mod generate;
mod improve;
mod interior;
mod leaf;
mod leave_out;
pub mod linear;
mod masks;
mod master;
mod reduce;
mod run;
mod supply;
mod table;
mod tree;
mod wants;

pub use answer::{Answer, Draw, Options, Progress, Status, Watch};
pub use run::solve;
