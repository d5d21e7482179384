//! Solving again with what is asked for at a price that outweighs nearly everything, as things are or
//! without an obstacle, and what that changes.

use super::super::cases::{Case, Solved, Watches, solved_from};
use super::super::compare::{Known, difference};
use super::super::known;
use super::Not;
use super::obstacle::Obstacle;
use super::ways::units_in;
use crate::candidates::{Lot, Season};
use crate::domain::{Directive, DirectiveKind, FoodId, Scenario};
use crate::plan::{SupplyWeek, YearPlan};
use crate::solve::Options;
use crate::units::Week;
use serde::Serialize;
use std::collections::BTreeMap;

/// What is asked for is priced at this share of the plan's worth, and at least so much money.
const PRESSING_SHARE: f64 = 0.2;
const PRESSING_MONEY: f64 = 20.0;
/// Changes of area below this are not told, m².
const SLIGHT_M2: f64 = 0.05;

/// What is asked for.
pub enum Ask {
    /// So much of the food in that week, and no less than planned in other weeks.
    Eat {
        food: FoodId,
        week: usize,
        target: f64,
    },
    Grow(Not),
}

/// Area begun of a crop in the new plan and in the old one, m².
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    pub crop: String,
    pub before_m2: f64,
    pub after_m2: f64,
}

/// A must that a plan misses.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MissedMust {
    pub food: String,
    pub unit: String,
    pub week: Week,
    pub floor: f64,
    pub eaten: f64,
}

/// What solving again showed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tried {
    /// Without this; `None`: as things are.
    pub without: Option<Obstacle>,
    /// What is still missing of what is asked for: units of the food, or strips.
    pub missing: f64,
    /// What having it costs, money: found, and what is proven of it (only as things are).
    pub cost: f64,
    pub cost_at_least: Option<f64>,
    pub cost_at_most: Option<f64>,
    /// The scenario's musts that the plan misses.
    pub missed_musts: Vec<MissedMust>,
    /// Whether the search reached its gap.
    pub finished: bool,
    /// The largest changes of area by crop.
    pub changes: Vec<Change>,
}

impl Tried {
    /// Whether the plan has all that is asked for, and keeps the musts unless it was let off them.
    pub fn had(&self) -> bool {
        self.missing <= super::CRUMB
            && (self.missed_musts.is_empty() || self.without == Some(Obstacle::Musts))
    }
}

impl Ask {
    /// The scenario with what is asked for at its pressing price.
    pub fn pressed(&self, scenario: &Scenario, plan: &YearPlan) -> Scenario {
        let mut pressed = scenario.clone();
        let money = pressing(plan);
        match self {
            Ask::Eat { food, week, target } => {
                let supply = &plan.supply[*food].weeks;
                let need = &mut pressed.foods[*food];
                let missing = (target - supply[*week].eaten).max(super::CRUMB);
                for (w, floor) in need.floor.iter_mut().enumerate() {
                    *floor = if w == *week {
                        *target
                    } else {
                        floor.min(supply[w].eaten)
                    };
                }
                need.must.fill(false);
                need.short_money = need.short_money.max(money / missing);
            }
            Ask::Grow(not) => {
                let week = |index: usize| scenario.week(index);
                pressed.directives.push(Directive {
                    crop: not.crop,
                    bed: not.bed,
                    kind: DirectiveKind::Always {
                        strips: not.strips,
                        from: week(not.week.unwrap_or(0)),
                        to: week(not.week.unwrap_or(scenario.horizon() - 1)),
                        missing_money: money,
                    },
                });
            }
        }
        pressed
    }

    /// Whether any candidate, or what is in store, gives some of it.
    pub fn conceivable(&self, season: &Season) -> bool {
        let mut candidates = 0..season.candidates.len();
        match self {
            Ask::Eat { food, week, .. } => {
                let stored = |lot: &Lot| {
                    season.products[lot.product].food == *food
                        && (lot.from..=lot.until).contains(week)
                };
                season.in_store.iter().any(stored)
                    || candidates.any(|c| units_in(season, c, *food, *week).is_some())
            }
            Ask::Grow(not) => candidates.any(|c| not.fits(season, c)),
        }
    }

    /// Whether it is more than one crop may give.
    pub fn of_one_crop(&self, scenario: &Scenario) -> bool {
        match self {
            Ask::Eat { food, week, target } => {
                let need = &scenario.foods[*food];
                need.single_crop_share * need.wish[*week] < *target
            }
            Ask::Grow(_) => false,
        }
    }

    /// What is still missing in a plan.
    fn missing(&self, scenario: &Scenario, plan: &YearPlan) -> f64 {
        match self {
            Ask::Eat { food, week, target } => {
                (target - plan.supply[*food].weeks[*week].eaten).max(0.0)
            }
            Ask::Grow(not) => f64::from(not.strips.saturating_sub(begun(scenario, plan, not))),
        }
    }

    /// Worth of a plan of the pressed scenario by the prices of the scenario itself.
    fn own_worth(
        &self,
        scenario: &Scenario,
        pressed: &Scenario,
        old: &YearPlan,
        new: &YearPlan,
    ) -> f64 {
        match self {
            Ask::Eat { food, .. } => {
                let short = |scenario: &Scenario| -> f64 {
                    let need = &scenario.foods[*food];
                    let weeks = need.floor.iter().zip(&new.supply[*food].weeks);
                    let cost = |(w, (floor, week)): (usize, (&f64, &SupplyWeek))| {
                        need.short_money_in(w) * (floor - week.eaten).max(0.0)
                    };
                    weeks.enumerate().map(cost).sum()
                };
                new.result.worth + short(pressed) - short(scenario)
            }
            Ask::Grow(_) => new.result.worth + pressing(old) * self.missing(scenario, new),
        }
    }
}

/// Money that what is asked for is made worth.
fn pressing(plan: &YearPlan) -> f64 {
    PRESSING_MONEY + PRESSING_SHARE * plan.result.worth.abs()
}

/// Strips of the crop that the plan begins there and then.
pub fn begun(scenario: &Scenario, plan: &YearPlan, not: &Not) -> u32 {
    let crop = &scenario.crops[not.crop].name;
    let bed = not.bed.map(|bed| &scenario.beds[bed].name);
    let week = not.week.map(|week| scenario.week(week));
    let strips = (plan.plantings.iter())
        .filter(|p| p.standing.is_none() && p.crop == *crop)
        .filter(|p| bed.is_none_or(|bed| *bed == p.bed))
        .filter(|p| week.is_none_or(|week| week == p.planted))
        .map(|p| p.strips.len());
    u32::try_from(strips.sum::<usize>()).expect("strips are few")
}

/// Solves `scenario` (the case's, or that without an obstacle) with what is asked for pressed.
pub fn attempt(
    case: &Case,
    plan: &YearPlan,
    ask: &Ask,
    without: Option<Obstacle>,
    scenario: &Scenario,
    options: &Options,
    watches: &dyn Watches,
) -> (Tried, (Case, Solved)) {
    let label = match without {
        None => "as things are".to_string(),
        Some(obstacle) => format!("without {obstacle:?}").to_lowercase(),
    };
    let pressed = Case {
        label,
        scenario: ask.pressed(scenario, plan),
        ..case.clone()
    };
    let made = solved_from(&pressed, options, watches, |season| {
        known::of_plan(&case.scenario, plan, season)
    });
    let worth = ask.own_worth(scenario, &pressed.scenario, plan, &made.plan);
    // What is known of the plans that have it, by the scenario's own prices.
    let with = Known {
        worth,
        bound: made.plan.result.bound,
    };
    let known = Known {
        worth: plan.result.worth,
        bound: plan.result.bound,
    };
    let gain = difference("", known, with);
    let mut tried = Tried {
        without,
        missing: ask.missing(scenario, &made.plan),
        cost: -gain.found,
        cost_at_least: None,
        cost_at_most: None,
        missed_musts: missed_musts(&case.scenario, &made.plan),
        finished: made.answer.gap() <= options.gap,
        changes: changes(plan, &made.plan),
    };
    if without.is_none() && tried.had() {
        tried.cost_at_least = Some((-gain.at_most).max(0.0));
        tried.cost_at_most = Some(-gain.at_least);
    }
    (tried, (pressed, made))
}

fn missed_musts(scenario: &Scenario, plan: &YearPlan) -> Vec<MissedMust> {
    let mut missed = Vec::new();
    for (food, supply) in scenario.foods.iter().zip(&plan.supply) {
        for (w, week) in supply.weeks.iter().enumerate() {
            if food.must[w] && food.floor[w] - week.eaten > super::CRUMB {
                missed.push(MissedMust {
                    food: food.name.clone(),
                    unit: food.unit.symbol().to_string(),
                    week: week.week,
                    floor: food.floor[w],
                    eaten: week.eaten,
                });
            }
        }
    }
    missed
}

/// Areas begun by crop that differ, the largest difference first.
fn changes(old: &YearPlan, new: &YearPlan) -> Vec<Change> {
    let mut areas: BTreeMap<&str, [f64; 2]> = BTreeMap::new();
    for (i, plan) in [old, new].into_iter().enumerate() {
        for planting in plan.plantings.iter().filter(|p| p.standing.is_none()) {
            areas.entry(&planting.crop).or_default()[i] += planting.area_m2;
        }
    }
    let mut changes: Vec<Change> = areas
        .into_iter()
        .filter(|(_, [before, after])| (after - before).abs() >= SLIGHT_M2)
        .map(|(crop, [before_m2, after_m2])| Change {
            crop: crop.to_string(),
            before_m2,
            after_m2,
        })
        .collect();
    let size = |c: &Change| (c.after_m2 - c.before_m2).abs();
    changes.sort_by(|a, b| size(b).total_cmp(&size(a)));
    changes
}
