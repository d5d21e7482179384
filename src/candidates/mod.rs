//! Which plantings are possible: turns a scenario into the [`Season`] that is optimised.
//!
//! [`season`] does it all. `site` and `ground` say where; `sowings`, `standing` and `recipes`
//! what; `store` and `planned` what is to hand and decided on at the start, `decided` and `again` which
//! candidates that is; `ends` how each may end; `draft` puts candidates together; `prune` leaves out what no
//! plan needs; `cycle` makes a standing year of it all; `spent` says what stands for nothing. How well a
//! planting does is for `growth` to say.

mod again;
mod build;
mod cycle;
mod decided;
mod draft;
mod ends;
mod ground;
mod meant;
mod names;
mod planned;
mod prune;
mod recipes;
mod season;
mod site;
mod sowings;
mod spent;
mod standing;
mod store;

pub use again::in_season;
pub use build::season;
pub use cycle::{lot_of_year, next_year};
pub use decided::{Decided, decided};
pub use season::{
    Always, BARE, BedGround, BedKind, Beginning, Candidate, CandidateId, Counted, CoverState,
    CoverStock, Cycle, FamilyUse, FoodNeed, GroupId, KindId, LevelBand, Lot, Member, Origin,
    PlannedUse, PlantUse, Plants, Product, ProductId, Rotation, Season, ShelfUse, StripGroup,
};
pub use spent::{Spent, spent};
