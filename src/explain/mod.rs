//! What follows from plans and bounds: scenarios side by side, a plan carried on in three ways, what
//! one more of something is worth, why a food is short or a crop is left out.
//!
//! Everything is a record of figures and sentences' parts; wording it is left to `render`, clock and
//! terminal to `cli`.

mod answers;
mod cases;
mod clash;
mod compare;
mod figures;
mod known;
mod more;
mod musts;
mod places;
mod steady;
mod why;
mod worth;

pub use answers::{ThreeAnswers, three_answers};
pub use cases::{Case, Solved, Watches, side_by_side, solved, solved_with};
pub use clash::{Clash, Demand, Kept, Limit, kept};
pub use compare::{Comparison, Difference, Known, Verdict, compare, difference, solve_all};
pub use figures::{CoverFigures, Figures, FoodFigures, Met, PARTS, Part, figures};
pub use known::of_plan;
pub use more::Thing;
pub use musts::{Proof, binding, keeps, solve as solve_keeping};
pub use steady::steady;
pub use why::{
    Change, Easiest, InTheWay, MissedMust, Not, Obstacle, Short, Tried, WayIn, WhyNot, WhyShort,
    begun_sooner, why_not, why_short,
};
pub use worth::{Asked, GroundWeek, Pays, Step, ThingWorth, WorthOfMore, worth_of_more};
