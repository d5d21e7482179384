//! Plans a year of vegetables on a small holding.
//!
//! Knowledge flows one way: `cli` → `render`, `input`, `verify`, `certify` → `explain`, `almanac` → `repair` →
//! `plan` → `solve` → `strips`, `programme` → `rules` → `candidates` → `growth` → `climate` →
//! `domain` → `units`.
//! A test (`tests/walls.rs`) reads the `use` lines and holds these walls.

pub mod almanac;
pub mod candidates;
pub mod certify;
pub mod cli;
pub mod climate;
pub mod domain;
pub mod explain;
pub mod growth;
pub mod input;
pub mod plan;
pub mod programme;
pub mod render;
pub mod repair;
pub mod rules;
pub mod solve;
pub mod strips;
pub mod units;
pub mod verify;

// Let what makes seasons and answers for the integration tests serve unit tests as well.
#[cfg(test)]
extern crate self as bedweek;
#[cfg(test)]
#[path = "../tests/support/greedy.rs"]
pub mod test_answers;
#[cfg(test)]
#[path = "../tests/support/season.rs"]
pub mod test_season;
#[cfg(test)]
#[path = "../tests/support/still.rs"]
pub mod test_watch;
