//! Why a food is short in a week of a plan, and why a crop is not grown: what would have to have been
//! sown, what stands in the way, and what solving without it shows. Method: docs/method/what-if.md.

mod look;
mod obstacle;
mod tries;
mod ways;

pub use look::{Easiest, InTheWay};
pub use obstacle::Obstacle;
pub use tries::{Change, MissedMust, Tried};
pub use ways::{WayIn, begun_sooner};

use super::cases::{Case, Solved, Watches, side_by_side};
use crate::candidates::{self, Season};
use crate::domain::{BedId, CropId, FoodId, Scenario};
use crate::plan::YearPlan;
use crate::solve::Options;
use crate::units::Week;
use look::Ground;
use serde::Serialize;
use tries::{Ask, attempt};
use ways::{earlier, ways_in};

/// Amounts below this are none, units of a food or strips.
pub(super) const CRUMB: f64 = 1e-6;

/// Why a food is short.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WhyShort {
    pub food: String,
    pub unit: String,
    pub week: Week,
    pub currency: String,
    pub floor: f64,
    pub wish: f64,
    pub eaten: f64,
    /// What is missing to the floor; where the floor is met, to the wish.
    pub missing: f64,
    /// What could be eaten then, the most yielding first.
    pub ways: Vec<WayIn>,
    /// What could have been, had it been sown before the plan's start.
    pub before_start: Vec<WayIn>,
    /// Solved again with the food asked for whatever it costs: as things are, then without each
    /// obstacle.
    pub as_is: Option<Tried>,
    pub without: Vec<Tried>,
}

/// Why a crop is not grown.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WhyNot {
    pub crop: String,
    pub bed: Option<String>,
    pub week: Option<Week>,
    pub currency: String,
    /// Strips asked for, and how many the plan has of it there and then.
    pub strips: u32,
    pub planned: u32,
    /// How it could be grown there and then.
    pub ways: Vec<WayIn>,
    pub as_is: Option<Tried>,
    pub without: Vec<Tried>,
}

/// What is asked about a food.
#[derive(Clone, Copy, Debug)]
pub struct Short {
    pub food: FoodId,
    /// Index of the week in the horizon.
    pub week: usize,
}

/// What is asked about a crop.
#[derive(Clone, Copy, Debug)]
pub struct Not {
    pub crop: CropId,
    pub bed: Option<BedId>,
    /// Index of the week in which it would be planted; any when `None`.
    pub week: Option<usize>,
    pub strips: u32,
}

impl Not {
    /// Whether a candidate is a new planting of it there and then.
    fn fits(&self, season: &Season, candidate: usize) -> bool {
        let wanted = &season.candidates[candidate];
        wanted.standing.is_none()
            && self.bed.is_none_or(|bed| season.allowed(candidate, bed))
            && self.week.is_none_or(|week| wanted.start == week)
            && wanted.members.iter().any(|m| m.crop == self.crop)
    }
}

/// Plans found on the way, to be checked.
pub type Found = Vec<(Case, Solved)>;

/// Why the food is short in the plan. `options`: limits of each search; `None`: nothing is solved.
pub fn why_short(
    case: &Case,
    plan: &YearPlan,
    asked: Short,
    options: Option<&Options>,
    watches: &dyn Watches,
) -> (WhyShort, Found) {
    let scenario = &case.scenario;
    let food = &scenario.foods[asked.food];
    let supply = &plan.supply[asked.food].weeks[asked.week];
    let target = if supply.short > CRUMB {
        supply.floor
    } else {
        supply.wish
    };
    let missing = (target - supply.eaten).max(0.0);
    let ask = Ask::Eat {
        food: asked.food,
        week: asked.week,
        target,
    };
    let season = candidates::season(&ask.pressed(scenario, plan));
    let ground = Ground::of(scenario, plan);
    let serves = |c: usize| ways::units_in(&season, c, asked.food, asked.week);
    let ways = ways_in(scenario, &season, serves, Some(missing), &ground);
    let before_start = earlier(scenario, asked.food, asked.week, missing);
    let mut found = Vec::new();
    let (as_is, without) = match options {
        Some(options) if missing > CRUMB => {
            solve_without(case, plan, &ask, options, watches, &mut found)
        }
        _ => (None, Vec::new()),
    };
    let why = WhyShort {
        food: food.name.clone(),
        unit: food.unit.symbol().to_string(),
        week: supply.week,
        currency: scenario.currency.clone(),
        floor: supply.floor,
        wish: supply.wish,
        eaten: supply.eaten,
        missing,
        ways,
        before_start,
        as_is,
        without,
    };
    (why, found)
}

/// Why the crop is not grown there and then.
pub fn why_not(
    case: &Case,
    plan: &YearPlan,
    asked: Not,
    options: Option<&Options>,
    watches: &dyn Watches,
) -> (WhyNot, Found) {
    let scenario = &case.scenario;
    let ask = Ask::Grow(asked);
    let season = candidates::season(&ask.pressed(scenario, plan));
    let ground = Ground::of(scenario, plan);
    let fits = |c: usize| asked.fits(&season, c).then_some(0.0);
    let ways = ways_in(scenario, &season, fits, None, &ground.only(asked.bed));
    let planned = tries::begun(scenario, plan, &asked);
    let mut found = Vec::new();
    let (as_is, without) = match options {
        Some(options) if planned < asked.strips => {
            solve_without(case, plan, &ask, options, watches, &mut found)
        }
        _ => (None, Vec::new()),
    };
    let why = WhyNot {
        crop: scenario.crops[asked.crop].name.clone(),
        bed: asked.bed.map(|bed| scenario.beds[bed].name.clone()),
        week: asked.week.map(|week| scenario.week(week)),
        currency: scenario.currency.clone(),
        strips: asked.strips,
        planned,
        ways,
        as_is,
        without,
    };
    (why, found)
}

/// Solves as things are; and where that does not give what is asked for, without each obstacle. What
/// no candidate gives is not searched for.
fn solve_without(
    case: &Case,
    plan: &YearPlan,
    ask: &Ask,
    options: &Options,
    watches: &dyn Watches,
    found: &mut Found,
) -> (Option<Tried>, Vec<Tried>) {
    let conceivable =
        |scenario: &Scenario| ask.conceivable(&candidates::season(&ask.pressed(scenario, plan)));
    let lifted: Vec<(Obstacle, Scenario)> = Obstacle::ALL
        .into_iter()
        .filter(|obstacle| *obstacle != Obstacle::Share || ask.of_one_crop(&case.scenario))
        .filter_map(|obstacle| Some((obstacle, obstacle.lifted(&case.scenario)?)))
        .filter(|(_, scenario)| conceivable(scenario))
        .collect();
    if lifted.is_empty() && !conceivable(&case.scenario) {
        return (None, Vec::new());
    }
    let (as_is, made) = attempt(case, plan, ask, None, &case.scenario, options, watches);
    found.push(made);
    if as_is.had() {
        return (Some(as_is), Vec::new());
    }
    let tries = side_by_side(&lifted, |(obstacle, scenario)| {
        attempt(case, plan, ask, Some(*obstacle), scenario, options, watches)
    });
    let mut without = Vec::new();
    for (tried, made) in tries {
        found.push(made);
        without.push(tried);
    }
    (Some(as_is), without)
}
