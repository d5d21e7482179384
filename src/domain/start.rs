//! How things are at the start besides what is in the beds: food in store, plants on the shelf,
//! plantings already decided on and what departing from them costs.
//!
//! All of it may be empty: then the plan starts with nothing but the ground. What is in the beds is
//! [`super::Standing`].

use super::{BedId, CoverId, CropId, Scenario, Way};
use crate::units::Week;

/// Food harvested before the plan starts and still there.
#[derive(Clone, Debug, PartialEq)]
pub struct InStore {
    pub name: String,
    pub crop: CropId,
    /// Index into the crop's ways of harvest; says the food, how long it keeps, and its loss.
    pub way: usize,
    /// What is there on the Monday of the first planned week, in the food's unit. From then on it
    /// loses the way's share for every week kept; in the first week nothing is lost yet.
    pub amount: f64,
    /// The week it was taken, before the start. It is eaten at the latest `keeps_weeks` after it.
    pub harvested: Week,
}

/// Plants raised in modules that are on the shelf (sown at least) when the plan starts. No two
/// entries are alike in crop, raising, light and sowing week.
#[derive(Clone, Debug, PartialEq)]
pub struct OnShelf {
    pub name: String,
    pub crop: CropId,
    /// Index into the crop's raisings; one in modules.
    pub raising: usize,
    /// Under lamps.
    pub lit: bool,
    /// Before the start; need not be within the raising's sowing weeks.
    pub sown: Week,
    /// How many plants there are, more than 0.
    pub plants: f64,
}

/// A planting decided on that is not in its bed yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    pub name: String,
    pub bed: BedId,
    /// Strip numbers within the bed, counted from 0, ascending.
    pub strips: Vec<u32>,
    /// One, or the two of a recipe, the first of the recipe first.
    pub members: Vec<PlannedMember>,
    /// Its seed (sets, tubers, ...) is bought already.
    pub bought: bool,
    /// What is to lie on the bed while it stands there; nothing asks that this be so.
    pub under: Vec<PlannedCover>,
}

/// What is planted. With it a planting is kept if crop, raising, light and both weeks are the
/// same; way and clearing may change freely and only say how the plan was.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedMember {
    pub crop: CropId,
    /// Index into the crop's raisings.
    pub raising: usize,
    /// Raised under lamps (modules only).
    pub lit: bool,
    /// Before the start only if such plants are on the shelf ([`OnShelf`]).
    pub sown: Week,
    /// The week it goes into the bed, at the start or later; equal to `sown` when sown in place.
    pub planted: Week,
    /// Index into the crop's ways of harvest; `None`: not said, or a green manure.
    pub way: Option<usize>,
    /// First week in which its ground is free again; `None`: not said.
    pub cleared: Option<Week>,
}

/// A cover on the bed in weeks `from..=until`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlannedCover {
    pub cover: CoverId,
    pub from: Week,
    pub until: Week,
}

/// What departing from the plantings decided on costs, money per m² of bed. Without any
/// [`Planned`] nothing of it is charged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Changes {
    /// A planned planting left out: its seed not yet bought,
    pub drop_money_per_m2: f64,
    /// its seed bought but not sown,
    pub drop_bought_money_per_m2: f64,
    /// its plants sown or raised (on the shelf).
    pub drop_begun_money_per_m2: f64,
    /// The same sowing planted in another bed or in another week.
    pub move_money_per_m2: f64,
    /// A planting that was not planned.
    pub add_money_per_m2: f64,
}

impl Changes {
    /// Used where the scenario says nothing: estimates, below the worth of a planting (some 2 to 4 money per
    /// m²) but for plants already raised, and high enough that a year is not turned over for pennies
    /// (docs/decisions/21).
    pub const USUAL: Changes = Changes {
        drop_money_per_m2: 1.0,
        drop_bought_money_per_m2: 1.5,
        drop_begun_money_per_m2: 2.5,
        move_money_per_m2: 0.5,
        add_money_per_m2: 1.0,
    };
}

impl Scenario {
    /// What leaving out a planting decided on costs, money per m²: nothing where nobody wants what comes of it any more.
    pub fn drop_money(&self, planned: &Planned) -> f64 {
        let changes = &self.changes;
        if !planned.members.iter().any(|m| self.wanted(m.crop)) {
            0.0
        } else if planned.members.iter().any(|m| m.sown < self.start) {
            changes.drop_begun_money_per_m2
        } else if planned.bought {
            changes.drop_bought_money_per_m2
        } else {
            changes.drop_money_per_m2
        }
    }

    /// Whether some food that comes of the crop is wished for, or the ground covered by it is worth something.
    fn wanted(&self, crop: CropId) -> bool {
        let crop = &self.crops[crop];
        let wished = |way: &Way| self.foods[way.food].wish.iter().any(|&units| units > 0.0);
        crop.credit_money_per_m2_week > 0.0 || crop.ways.iter().any(wished)
    }
}
