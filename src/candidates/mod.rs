//! Which plantings are possible: turns a scenario into the [`Season`] that is optimised.

mod season;

pub use season::{
    Always, BARE, BedGround, BedKind, Candidate, CandidateId, CoverState, CoverStock, FamilyUse,
    FoodNeed, GroupId, KindId, LevelBand, Lot, Member, Product, ProductId, Rotation, Season,
    ShelfUse, StripGroup,
};
