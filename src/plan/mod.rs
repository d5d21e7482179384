//! The year plan: what the search found, in the grower's words, and the ledger of its worth.
//!
//! `build` makes it once, amounts rounded; whoever shows or checks a plan reads the [`YearPlan`]
//! alone. Files and terminals are left to `render` and `cli`.

mod build;
mod classes;
mod cycle;
mod duties;
mod layout;
mod ledger;
mod life;
mod names;
mod plantings;
mod ripe;
mod start;
mod supply;
mod window;
mod year;

pub use build::{About, build};
pub use life::{Changed, FileRef, Life};
pub use names::{pieces_of, raising_name, raising_named, unit_of};
pub use start::{Change, Fate, Stored};
pub use year::{
    Asked, ByWeek, CoverSpell, Draws, Ending, FORMAT, FoodSupply, LedgerLine, Outcome, Planting,
    PlantingLot, Purchase, Rule, ScenarioRef, Sections, ShelfStay, ShelfWeek, Shortfall,
    StandingYear, Store, SupplyWeek, Under, WorkWeek, YearPlan,
};
