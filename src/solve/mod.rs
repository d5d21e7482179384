//! Solving a season: bound, plan, proof.

// A week indexes several tables at once; an iterator over one of them would hide that.
#![allow(clippy::needless_range_loop)]

mod anew;
mod anneal;
mod answer;
mod ascent;
mod bound;
mod branch;
mod breaks;
mod chains;
mod compact;
mod context;
mod division;
mod draft;
pub mod exact;
mod exchange;
mod finish;
mod flow;
mod given;
mod improve;
mod interior;
mod larder;
mod leaf;
mod leave_out;
mod levels;
mod lightest;
#[cfg(test)]
#[path = "../../tests/support/linear.rs"]
mod linear;
mod lower;
mod lyings;
mod masks;
mod near;
mod orbits;
mod pair;
mod planned;
mod priced;
mod reduce;
mod room;
mod root;
mod rotation;
mod rounds;
mod rows;
mod run;
mod separate;
mod simplex;
mod supply;
mod table;
mod tidy;
mod tree;
mod wants;
mod week_set;

pub use answer::{Answer, Draw, Options, Progress, Status, Watch};
pub use given::{Given, evaluate, evaluate_near};
pub use lightest::{NoPlan, possible};
pub use priced::{Priced, bound_at, ground_worth, lowered};
pub use rotation::{keeps_rotation, rotation_cost};
pub use run::{mend, solve, solve_priced, solve_with_prices};

#[cfg(test)]
mod tests;
