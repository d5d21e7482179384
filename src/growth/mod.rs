//! From a sowing and its surroundings to dates and yields.
//!
//! `response` says how fast plants grow in a day's weather, `tables` sums that up by week for
//! every crop and place, `course` steps a planting through its weeks. Yields are per m² at the
//! usual yield; shares of a stand, of a recipe or already taken are left to `candidates`.

mod course;
mod outcome;
pub mod response;
mod tables;
mod walk;

pub use outcome::{Beginning, Course, Ending, Failure};
pub use tables::Grower;
