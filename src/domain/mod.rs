//! What a holding is: beds, covers, crops, climate, needs and rules, valid by construction.
//!
//! `input` builds these from files and checks every value; nothing here can be out of range.
//! Lists are sorted by name, so that the order of an input file never matters, and are referred
//! to by index.

mod carried;
mod climate;
mod cover;
mod crop;
mod event;
mod need;
mod place;
mod rule;
mod scenario;
mod standing_year;
mod start;

pub use carried::{Carried, ClosedBed, ClosedShelf, Experience, Meant};
pub use climate::{Climate, MONTHS, is_southern};
pub use cover::{Cover, Spell, Surroundings};
pub use crop::{
    Amount, Bolting, Crop, Method, Perennial, PickSpan, Raising, ShelfNeed, Thermal, Vernalisation,
    Way, WayKind,
};
pub use event::{Covered, Diary, Event, Happening, HarvestRecord, Loss, Roster, RosterEntry};
pub use need::{Food, Level, Unit};
pub use place::{Bed, PastCrop, Period, Setting, Shelf, Standing, Strips};
pub use recipe::{Recipe, RecipePart};
pub use rule::{Directive, DirectiveKind, Family, RotationRule, Work};
pub use scenario::{Scenario, Solving};
pub use standing_year::{MOST_YEARS, TooShort, YEAR_WEEKS};
pub use start::{Changes, InStore, OnShelf, Planned, PlannedCover, PlannedMember};

mod recipe;

/// Index of a bed in [`Scenario::beds`].
pub type BedId = usize;
/// Index of a cover kind in [`Scenario::covers`].
pub type CoverId = usize;
/// Index of a crop in [`Scenario::crops`].
pub type CropId = usize;
/// Index of a family in [`Scenario::families`].
pub type FamilyId = usize;
/// Index of a food in [`Scenario::foods`].
pub type FoodId = usize;
/// Index of a standing planting in [`Scenario::standing`].
pub type StandingId = usize;
