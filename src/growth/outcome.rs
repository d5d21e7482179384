//! How a planting begins and what becomes of it.

use crate::domain::{CropId, Scenario, StandingId};
use crate::units::Week;
use std::fmt;

/// How and when a planting is begun. Everything happens on the Monday of its week.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beginning {
    pub crop: CropId,
    /// Index into the crop's raisings; `None` for what stands already when the plan starts: it
    /// was raised on the shelf if planted after it was sown, is not held to the sowing weeks,
    /// and neither frost nor bolting befalls it before the plan starts.
    pub raising: Option<usize>,
    /// Raised under lamps (modules only).
    pub lit: bool,
    pub sown: Week,
    /// Week in which it goes into the bed; equal to `sown` when sown in place.
    pub planted: Week,
    /// The week by whose end it was ready, whatever the model says; only of what stands already.
    pub ready_by: Option<Week>,
}

impl Beginning {
    /// Of what stands when the plan starts.
    pub fn of_standing(scenario: &Scenario, id: StandingId) -> Beginning {
        let standing = &scenario.standing[id];
        Beginning {
            crop: standing.crop,
            raising: None,
            lit: scenario.raised_lit(id),
            sown: standing.sown,
            planted: standing.planted,
            ready_by: standing.ready_by,
        }
    }
}

/// Why a harvest (or a cover of green manure) is over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ending {
    /// The whole yield has been picked.
    Taken,
    /// The week after the last brings a killing frost.
    Frost,
    /// It runs to seed in the week after the last.
    Bolts,
    /// It has stood as long as it can.
    PastUse,
    /// Only because the simulation ends there.
    Horizon,
}

/// What becomes of a planting that succeeds.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// Week in which it comes up; `None` where nothing comes up anew (raised on the shelf,
    /// crowns).
    pub emerged: Option<Week>,
    /// Week of the first harvest; of a green manure, the first in which it covers the ground.
    pub first: Week,
    /// Harvest by week, ascending, in the food's unit per m² of bed at the usual yield. Picking:
    /// one entry for each week with something worth picking; standing and clearing: one entry at
    /// `first` with the whole yield; green manure: none.
    pub harvest: Vec<(Week, f64)>,
    /// Last week in which it can still be harvested or lifted, or covers the ground.
    pub last: Week,
    pub ending: Ending,
}

/// Why a planting fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Failure {
    /// Not within the sowing weeks of its raising.
    OutsideSowingWeeks,
    /// Planted in a week in which it cannot be: before it is sown, or moved although sown in
    /// place.
    PlantedOutOfTurn { planted: Week },
    /// Raised without the lamps it needs.
    NeedsLamps,
    /// Would not come up by that week; the seed rots.
    TooColdToEmerge { given_up: Week },
    /// Not fit to plant out within its longest stay on the shelf.
    TooSlowOnShelf { given_up: Week },
    /// Planted out before it is fit.
    NotFitToPlant { fit: Week },
    /// Left on the shelf too long.
    HeldTooLong { latest: Week },
    /// Killed by frost before it is ready.
    Frost { week: Week },
    /// Runs to seed before it is ready.
    Bolts { week: Week },
    /// Past its time in the ground before it is ready.
    PastUse { week: Week },
    /// Not ready before the simulation ends.
    NotReady { before: Week },
    /// The crop has no such way of harvest or raising.
    NoSuchWay,
}

impl fmt::Display for Failure {
    /// In plain words, to follow a crop's name: `killed by frost in 2027-W02`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Failure::OutsideSowingWeeks => write!(f, "outside its sowing weeks"),
            Failure::PlantedOutOfTurn { planted } => {
                write!(f, "cannot go into the bed in {planted} when sown then")
            }
            Failure::NeedsLamps => write!(f, "needs lamps on the shelf"),
            Failure::TooColdToEmerge { given_up } => {
                write!(f, "too cold to emerge: not up by {given_up}")
            }
            Failure::TooSlowOnShelf { given_up } => {
                write!(
                    f,
                    "too slow on the shelf: not fit to plant out by {given_up}"
                )
            }
            Failure::NotFitToPlant { fit } => write!(f, "not fit to plant out before {fit}"),
            Failure::HeldTooLong { latest } => {
                write!(f, "must leave the shelf in {latest} at the latest")
            }
            Failure::Frost { week } => write!(f, "killed by frost in {week}"),
            Failure::Bolts { week } => write!(f, "runs to seed in {week} before it is ready"),
            Failure::PastUse { week } => write!(f, "past its time in {week} before it is ready"),
            Failure::NotReady { before } => write!(f, "not ready before {before}"),
            Failure::NoSuchWay => write!(f, "has no such way of raising or harvest"),
        }
    }
}

impl std::error::Error for Failure {}
