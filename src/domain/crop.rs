//! Crops: how they grow, how they are raised, how they are harvested.

use super::{FamilyId, FoodId, Setting};
use crate::units::{WeekOfYear, WeeksOfYear};

/// A figure with its usual spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Amount {
    pub low: f64,
    pub usual: f64,
    pub high: f64,
}

/// How warmth and light drive growth. Daily growth is counted in growth units: one unit is one
/// day's growth at the optimum temperature in ample light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thermal {
    /// No growth at or below, °C.
    pub base_c: f64,
    /// Fastest growth, °C.
    pub optimum_c: f64,
    /// No growth at or above, °C.
    pub ceiling_c: f64,
    /// Light at which growth is half of that in ample light, MJ m⁻² d⁻¹.
    pub half_light_mj: f64,
    /// Base temperature for emergence, °C.
    pub emergence_base_c: f64,
    /// Thermal time from sowing to emergence above that base, °C d.
    pub emergence_cd: f64,
}

/// How a planting is begun.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Method {
    /// Seed sown in the bed.
    Direct,
    /// Plants raised on the shelf in modules.
    Modules,
    Sets,
    Tubers,
    Cloves,
    Crowns,
}

impl Method {
    /// As written in files and reports.
    pub fn word(self) -> &'static str {
        match self {
            Method::Direct => "direct",
            Method::Modules => "modules",
            Method::Sets => "sets",
            Method::Tubers => "tubers",
            Method::Cloves => "cloves",
            Method::Crowns => "crowns",
        }
    }
}

/// Which part of the shelf raising may use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShelfNeed {
    /// Lit or unlit, whichever has room; lit and unlit plants grow differently.
    Either,
    /// Needs lamps.
    Lit,
}

/// One way of beginning a planting.
#[derive(Clone, Debug, PartialEq)]
pub struct Raising {
    pub method: Method,
    /// Weeks of the year in which it may be sown (or set); wraps over the turn of the year.
    pub sow_from: WeekOfYear,
    pub sow_to: WeekOfYear,
    /// Of these, the weeks to which the holding keeps itself.
    pub sow_only: WeeksOfYear,
    /// Modules only: growth units on the shelf until fit to plant out, and the longest stay.
    pub ready_units: f64,
    pub max_shelf_weeks: u32,
    /// Modules only: weeks after sowing at which seedlings raised in a tray are moved to modules;
    /// 0 where seed is sown into the modules themselves.
    pub prick_out_weeks: u32,
    pub shelf: ShelfNeed,
    /// Modules only: plants per m² of shelf.
    pub plants_per_shelf_m2: f64,
    /// Plants per m² of bed.
    pub plants_per_m2: f64,
    /// Seeds (sets, tubers, ...) used per plant, spares included.
    pub seeds_per_plant: f64,
    /// Price of one seed (set, tuber, ...), money.
    pub seed_money: f64,
    /// Work of sowing and of planting out, minutes per m² of bed.
    pub sow_minutes_per_m2: f64,
    pub plant_minutes_per_m2: f64,
}

impl Raising {
    /// Whether it may be sown (or set) in that week of the year.
    pub fn may_sow(&self, week: WeekOfYear) -> bool {
        week.within(self.sow_from, self.sow_to) && self.sow_only.contains(week)
    }
}

/// Growth units over which the whole yield of a picked crop is taken.
pub type PickSpan = f64;

/// How the harvest comes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WayKind {
    /// Picked week by week as it grows; the whole yield over `span` growth units.
    Picking { span: PickSpan },
    /// Ready at once, lifted as needed for at most so many weeks.
    Standing { weeks: u32 },
    /// Cleared at once when ready.
    Clearing,
}

/// One way of harvest.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    pub name: String,
    pub kind: WayKind,
    pub food: FoodId,
    /// Growth units from emergence (direct, sets, tubers, cloves) or from sowing on the shelf
    /// (modules; shelf growth counts) to the first harvest; of a crop that needs
    /// vernalisation, from when it has had its cold.
    pub ready_units: f64,
    /// In the food's unit per m² of bed, over the whole harvest.
    pub yield_per_m2: Amount,
    /// kg per unit of the food.
    pub kg_per_unit: f64,
    /// Weeks it keeps after harvest; 0: eaten in the week it is taken.
    pub keeps_weeks: u32,
    /// Share lost per week kept, 0 to 1.
    pub weekly_loss: f64,
    /// Work of harvest, minutes per unit of the food.
    pub harvest_minutes_per_unit: f64,
}

/// When a crop runs to seed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bolting {
    /// Growth units from which the plant feels cold and long days.
    pub juvenile_units: f64,
    /// Weeks with a mean below `cold_c` after which it will bolt (0: needs no cold).
    pub cold_weeks: f64,
    pub cold_c: f64,
    /// Bolts once the day is longer than this, hours, ...
    pub day_length_h: f64,
    /// ... and so many growth units have been made in days that long.
    pub long_day_units: f64,
}

/// The cold a plant needs before it forms what is harvested (sprouting broccoli, winter
/// cauliflower).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vernalisation {
    /// Growth units from which the plant feels cold.
    pub juvenile_units: f64,
    /// Weeks with a mean below `cold_c` that it needs.
    pub cold_weeks: f64,
    pub cold_c: f64,
}

/// A plant that stands for years and yields at a season.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Perennial {
    pub harvest_from: WeekOfYear,
    pub harvest_to: WeekOfYear,
}

/// A crop, or one season's kind of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Crop {
    pub name: String,
    /// Whether new plantings of it may be thought of: not where `crops_used` leaves it out, and it is known for what stands,
    /// is in store, on the shelf or decided on.
    pub anew: bool,
    pub family: FamilyId,
    pub settings: Vec<Setting>,
    pub thermal: Thermal,
    pub raisings: Vec<Raising>,
    /// Empty for a green manure. A perennial's ways are all of the picking kind.
    pub ways: Vec<Way>,
    /// Lowest air temperature at plant height it survives, °C.
    pub killed_below_c: f64,
    pub bolting: Option<Bolting>,
    pub vernalisation: Option<Vernalisation>,
    pub perennial: Option<Perennial>,
    /// Longest time in the ground after which it is past use, weeks.
    pub max_ground_weeks: u32,
    /// Credit for ground covered by a green manure, money per m² and week.
    pub credit_money_per_m2_week: f64,
    /// Work of clearing, minutes per m².
    pub clear_minutes_per_m2: f64,
    /// Usual cautions, shown where it is grown.
    pub cautions: Vec<String>,
}
