//! Beds, the raising shelf, and what stands in the beds already.

use super::{BedId, CoverId, CropId, FamilyId};
use crate::units::{Week, WeekOfYear};

/// What a bed is. Decides its surroundings and which crops and covers fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Setting {
    /// A raised bed in the open.
    Open,
    /// A border inside the polytunnel.
    Tunnel,
    /// A container that stands outside, or inside for part of the year.
    Container,
    /// A hanging basket, outside or inside for part of the year.
    Basket,
}

/// Weeks `from..=to` of every year; may run over the turn of the year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Period {
    pub from: WeekOfYear,
    pub to: WeekOfYear,
}

/// Strips `first..first + count` of a bed, counted from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Strips {
    pub first: u32,
    pub count: u32,
}

/// A crop that grew in a bed before the plan starts (no longer there).
#[derive(Clone, Debug, PartialEq)]
pub struct PastCrop {
    pub family: FamilyId,
    /// The week in which it was cleared.
    pub cleared: Week,
    pub strips: Strips,
}

/// A piece of ground, divided into equal strips across its width.
#[derive(Clone, Debug, PartialEq)]
pub struct Bed {
    pub name: String,
    pub setting: Setting,
    pub length_m: f64,
    pub width_m: f64,
    /// How many strips, 1 to 60.
    pub strips: u32,
    /// Share of the open sky's light that reaches it, 0 to 1.
    pub exposure: f64,
    /// Containers and baskets: when they stand inside the polytunnel.
    pub indoors: Vec<Period>,
    /// The cover lying on it when the plan starts.
    pub covered_by: Option<CoverId>,
    pub history: Vec<PastCrop>,
}

impl Bed {
    /// Area of one strip, m².
    pub fn strip_m2(&self) -> f64 {
        self.length_m * self.width_m / f64::from(self.strips)
    }
}

/// A planting that is in the ground when the plan starts.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    pub name: String,
    pub bed: BedId,
    /// Strip numbers within the bed, counted from 0, ascending.
    pub strips: Vec<u32>,
    pub crop: CropId,
    /// Index into the crop's ways of harvest; `None`: the plan chooses.
    pub way: Option<usize>,
    /// When it was sown (or set, for sets, tubers, cloves and crowns).
    pub sown: Week,
    /// When it went into this bed; equal to `sown` when sown in place.
    pub planted: Week,
    /// Share of a full stand still there, 0 to 1.
    pub share: f64,
    /// Share of its whole yield that has been taken already, 0 to 1.
    pub taken: f64,
    /// Where some of it has been taken before the first plan: the week by whose end it was ready, whatever the model says.
    pub ready_by: Option<Week>,
    /// Must stay until its natural end.
    pub keep: bool,
}

/// The raising shelf.
#[derive(Clone, Debug, PartialEq)]
pub struct Shelf {
    /// Space under lamps, m².
    pub lit_m2: f64,
    /// Space with daylight only, m².
    pub unlit_m2: f64,
    /// Warmth by day and by night, °C.
    pub day_c: f64,
    pub night_c: f64,
    /// Light under the lamps, MJ m⁻² d⁻¹ of solar radiation equivalent.
    pub lamp_mj: f64,
    /// Share of daylight that reaches the unlit part, 0 to 1.
    pub transmission: f64,
}
