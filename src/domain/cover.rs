//! Covers that move from bed to bed, and the surroundings a bed stands in.

use super::Setting;
use crate::units::WeekOfYear;

/// What a place does to the weather: a polytunnel, or the shelf room.
#[derive(Clone, Debug, PartialEq)]
pub struct Surroundings {
    /// Rise of the daily maximum over the open air per MJ m⁻² d⁻¹ of transmitted light, °C.
    pub day_lift_c_per_mj: f64,
    /// Rise of the night minimum over the open air, °C.
    pub night_lift_c: f64,
    /// Share of light let through, 0 to 1.
    pub transmission: f64,
    /// The daily maximum is vented down to this, °C (never below the open air's).
    pub vented_above_c: f64,
    pub source: String,
}

/// A stretch of the year in which a cover may lie on a bed: on from the Monday of `on`,
/// off on the Monday of `off`; may run over the turn of the year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Spell {
    pub on: WeekOfYear,
    pub off: WeekOfYear,
}

impl Spell {
    /// Whether the cover may lie there in that week. Equal `on` and `off`: all the year round.
    pub fn contains(&self, week: WeekOfYear) -> bool {
        if self.on < self.off {
            self.on <= week && week < self.off
        } else {
            week >= self.on || week < self.off
        }
    }
}

/// A kind of cover. One cover lies on one whole bed.
#[derive(Clone, Debug, PartialEq)]
pub struct Cover {
    pub name: String,
    /// How many are to hand.
    pub count: u32,
    /// What it does to the weather beneath it, on top of the bed's surroundings.
    pub effect: Surroundings,
    /// Settings it fits.
    pub settings: Vec<Setting>,
    /// Largest bed it fits, m.
    pub max_length_m: f64,
    pub max_width_m: f64,
    /// The stretches of the year it may be used for; outside them it must be off.
    pub spells: Vec<Spell>,
    /// Work of putting it on and taking it off again, minutes.
    pub place_minutes: f64,
    pub remove_minutes: f64,
    /// Yearly cost of one more, money (for the worth of one more).
    pub yearly_cost_money: Option<f64>,
    /// Usual cautions, shown with the plan.
    pub cautions: Vec<String>,
}
