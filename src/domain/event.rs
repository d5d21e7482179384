//! What happened that the plan did not foresee, what was harvested, and the plantings that both
//! speak of.

use super::{BedId, ClosedBed, ClosedShelf, CoverId, CropId, FoodId};
use crate::units::Week;

/// How plants came to nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Loss {
    /// Eaten, diseased, dried up, trodden on, ...
    Lost,
    /// The seed did not come up.
    NotUp,
    Bolted,
    Frosted,
}

impl Loss {
    /// As written in files.
    pub fn name(self) -> &'static str {
        match self {
            Loss::Lost => "lost",
            Loss::NotUp => "not up",
            Loss::Bolted => "bolted",
            Loss::Frosted => "frosted",
        }
    }
}

/// What happened. Plantings are indices into [`Roster::plantings`].
#[derive(Clone, Debug, PartialEq)]
pub enum Happening {
    /// A share of the plants, 0 to 1, is gone.
    Lost {
        plantings: Vec<usize>,
        share: f64,
        how: Loss,
        cause: Option<String>,
    },
    /// It is so many weeks' growth behind (ahead when negative).
    Late {
        plantings: Vec<usize>,
        weeks: i32,
    },
    /// What is still to come is so many times what was forecast.
    Yield {
        plantings: Vec<usize>,
        of_forecast: f64,
    },
    /// It was not sown or planted at all.
    NotSown {
        plantings: Vec<usize>,
    },
    /// Sown or planted out in another way than planned, or unplanned.
    Sown {
        /// The planned planting it takes the place of.
        instead_of: Option<usize>,
        crop: CropId,
        /// Index into the crop's raisings.
        raising: usize,
        bed: BedId,
        /// Counted from 0.
        strips: Vec<u32>,
        /// Week of sowing or setting.
        sown: Week,
        /// Week in which it went into the bed; `None`: it waits on the shelf.
        planted: Option<Week>,
    },
    CoverBroken {
        cover: CoverId,
        count: u32,
        /// The bed it lay on.
        bed: Option<BedId>,
    },
    CoverBought {
        cover: CoverId,
        count: u32,
    },
    /// Nothing can stand there in weeks `from..=to`.
    BedOut {
        bed: BedId,
        from: Week,
        to: Week,
    },
    /// From the week of the event on things can stand there again.
    BedBack {
        bed: BedId,
    },
    /// Needs of a food (of all, when left out) are so many times the scenario's in weeks
    /// `from..=to`.
    Need {
        food: Option<FoodId>,
        times: f64,
        from: Week,
        to: Option<Week>,
    },
    /// That part of the shelf cannot be used in weeks `from..=to`; a share of what stood there
    /// is gone.
    ShelfFailure {
        lit: bool,
        unlit: bool,
        from: Week,
        to: Week,
        lost: f64,
    },
    /// From the week of the event on those parts of the shelf can be used again.
    ShelfBack {
        lit: bool,
        unlit: bool,
    },
}

/// Something that happened, and when.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// The week of its date.
    pub week: Week,
    pub happening: Happening,
    /// In one sentence, with its date and the names used in the file.
    pub sentence: String,
}

/// What was taken from plantings of one crop on a day, in the food's unit.
#[derive(Clone, Debug, PartialEq)]
pub struct HarvestRecord {
    pub week: Week,
    pub plantings: Vec<usize>,
    pub amount: f64,
}

/// What a file of events says that is not known yet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Diary {
    /// In order of time.
    pub events: Vec<Event>,
    /// In order of time.
    pub harvests: Vec<HarvestRecord>,
    /// Events and records left aside because the plan was made with them.
    pub known: usize,
}

/// A planting of a plan, as far as events speak of it.
#[derive(Clone, Debug, PartialEq)]
pub struct RosterEntry {
    /// Its number in the plan, and its name where it stood at the start.
    pub id: String,
    pub name: Option<String>,
    pub crop: CropId,
    /// Index into the crop's raisings; `None` for what stood at the start.
    pub raising: Option<usize>,
    pub bed: BedId,
    /// Counted from 0.
    pub strips: Vec<u32>,
    pub sown: Week,
    pub planted: Week,
    /// First week in which the ground is free.
    pub cleared: Week,
    /// First week with a harvest.
    pub first_harvest: Option<Week>,
    /// Last week in which something of it can be taken.
    pub last_harvest: Option<Week>,
}

/// A cover on a bed in weeks `from..until`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Covered {
    pub bed: BedId,
    pub cover: CoverId,
    pub from: Week,
    pub until: Week,
}

/// A plan, as far as events speak of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Roster {
    /// In the order of the plan.
    pub plantings: Vec<RosterEntry>,
    pub covers: Vec<Covered>,
    /// Beds and parts of the shelf that this plan knew to be out of use.
    pub closed_beds: Vec<ClosedBed>,
    pub closed_shelf: Vec<ClosedShelf>,
    /// Sentences of the events that this plan and those before it were made with.
    pub known: Vec<String>,
    /// Whether it carries on another plan: records from before its start are then known.
    pub carries_on: bool,
    /// First week of the plan, and the week after its last.
    pub start: Week,
    pub end: Week,
}
