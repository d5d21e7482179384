//! What follows from plans and bounds: scenarios side by side, what one more of something is worth,
//! why a food is short or a crop is left out.
//!
//! Everything is a record of figures and sentences' parts; wording it is left to `render`, clock and
//! terminal to `cli`.

mod cases;
mod compare;
mod figures;
mod more;
mod why;
mod worth;

pub use cases::{Case, Solved, Watches, side_by_side, solved};
pub use compare::{Comparison, Difference, Known, Verdict, compare, difference, solve_all};
pub use figures::{CoverFigures, Figures, FoodFigures, Met, PARTS, Part, figures};
pub use more::Thing;
pub use why::{
    Change, Easiest, InTheWay, Not, Obstacle, Short, Tried, WayIn, WhyNot, WhyShort, begun_sooner,
    why_not, why_short,
};
pub use worth::{Asked, GroundMonth, Pays, Step, ThingWorth, WorthOfMore, worth_of_more};
