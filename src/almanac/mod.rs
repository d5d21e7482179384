//! What the growth model believes of a scenario, sowing by sowing: for each crop, way of raising,
//! way of harvest and place, what comes of sowing in each week of a year, and why not.
//!
//! Asks `growth` the questions that `candidates` asks, but also outside a crop's usual sowing
//! weeks, follows each planting to its natural end, and thins nothing. How it looks on paper is
//! left to `render`.

mod build;
mod hopeless;
mod row;
mod spot;
mod weeks;

pub use build::almanac;
pub use hopeless::{Hopeless, Want, hopeless};
pub use row::{Ending, Reason, Row, Sowing, Success, Verdict};
pub use spot::{Spot, spots};
pub use weeks::{Window, windows};

use crate::units::Week;

/// The year of every crop at every place, sowing by sowing.
#[derive(Clone, Debug, PartialEq)]
pub struct Almanac {
    /// The sowing weeks that are asked after: every week of a year from the start of the plan on,
    /// in the order of their numbers (W01 first).
    pub weeks: Vec<Week>,
    pub spots: Vec<Spot>,
    /// By crop, method, way of harvest and place, in that order.
    pub rows: Vec<Row>,
}
