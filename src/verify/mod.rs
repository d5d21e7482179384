//! An independent check of a plan: from the scenario and the plan file alone, everything is
//! reckoned again and compared.
//!
//! Shares no code with what makes plans (candidates, rules, programme, strips, solve); the growth
//! model is asked again with each planting's own dates and what lies on its bed. Whether the plan
//! was made for this very scenario file is left to `cli`.

mod covers;
mod duties;
mod food;
mod ground;
mod growth;
mod harvest;
mod ledger;
mod names;
mod rotation;
mod start;
mod sums;
mod turns;
mod worth;

use crate::domain::Scenario;
use crate::plan::YearPlan;
use covers::CoverLog;
use names::Stand;
use std::fmt;
use turns::{Turns, Years};

/// One thing in a plan that does not hold.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Violation {
    pub check: Check,
    /// What is wrong, with places, weeks and amounts.
    pub sentence: String,
}

/// What is checked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Check {
    /// Names, numbers and weeks exist and make sense.
    Names,
    /// Strips exist and hold one planting (or a recipe's two) at a time.
    Ground,
    /// What stands at the start is treated once and only once.
    Standing,
    /// What is in store, on the shelf and decided on at the start.
    Start,
    /// Recipes are followed.
    Recipes,
    /// "Never" is respected, settings fit.
    Directives,
    /// Breaks of families.
    Rotation,
    /// Covers fit, are to hand, and lie only in their spells.
    Covers,
    /// Shelf space.
    Shelf,
    /// Dates and yields against the growth model.
    Growth,
    /// What is eaten against what is there.
    Draws,
    /// Supply by food and week, wishes, variety, band, stores, shortfalls.
    Supply,
    /// Work by week and its limit.
    Work,
    /// What is to be bought.
    Buying,
    /// The ledger and the worth.
    Ledger,
    /// Bound, gap and status.
    Result,
}

impl fmt::Display for Violation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

/// What has been found so far.
#[derive(Debug, Default)]
struct Findings(Vec<Violation>);

impl Findings {
    fn add(&mut self, check: Check, sentence: impl Into<String>) {
        self.0.push(Violation {
            check,
            sentence: sentence.into(),
        });
    }
}

/// Everything in the plan that does not hold, in order of the checks; empty for a good plan. A standing year is
/// checked against the scenario's.
pub fn verify(scenario: &Scenario, plan: &YearPlan) -> Vec<Violation> {
    let mut found = Findings::default();
    let year = plan
        .standing_year
        .as_ref()
        .map(|_| scenario.standing_year());
    let scenario = match &year {
        None => scenario,
        Some(Ok(year)) => year,
        Some(Err(why)) => {
            found.add(Check::Names, format!("there is no standing year: {why}"));
            return found.0;
        }
    };
    names::calendar(scenario, plan, &mut found);
    let stands = names::stands(scenario, plan, &mut found);
    let log = CoverLog::read(scenario, plan, &mut found);
    let classes = food::classes(scenario, plan, &mut found);
    let turns = (plan.standing_year.as_ref()).map(|told| Turns::read(scenario, told, &mut found));
    // Without names there is nothing to check the rest against.
    if found.0.is_empty() {
        let years = turns.map(|turns| Years::of(scenario, &turns, &stands));
        let facts = Facts {
            scenario,
            plan,
            stands: &stands,
            over_years: years.as_ref().map_or(&stands, |years| &years.stands),
            counted: years.as_ref().map_or(0, |years| years.settled),
            log: &log,
            classes: &classes,
        };
        ground::check(&facts, &mut found);
        rotation::check(&facts, &mut found);
        covers::check(&facts, &mut found);
        start::check(&facts, &mut found);
        growth::check(&facts, &mut found);
        harvest::check(&facts, &mut found);
        food::check(&facts, &mut found);
        duties::check(&facts, &mut found);
        ledger::check(&facts, &mut found);
        worth::check(&facts, &mut found);
    }
    found.0.sort();
    found.0.dedup();
    found.0
}

/// The musts that a plan misses, a sentence each; none where musts do not bind. What is eaten is taken
/// from the plan's table, which [`verify`] checks.
pub fn missed_musts(scenario: &Scenario, plan: &YearPlan) -> Vec<String> {
    /// Amounts missing below this are none, units of the food.
    const CRUMB: f64 = 1e-6;
    if !scenario.musts_bind() {
        return Vec::new();
    }
    let mut missed = Vec::new();
    for (food, supply) in scenario.foods.iter().zip(&plan.supply) {
        for (w, week) in supply.weeks.iter().enumerate() {
            if food.must[w] && food.floor[w] - week.eaten > CRUMB {
                missed.push(format!(
                    "{} in {}: {} of {} {} eaten, and the floor is a must",
                    food.name,
                    week.week,
                    week.eaten,
                    food.floor[w],
                    food.unit.symbol()
                ));
            }
        }
    }
    missed
}

/// A plan whose names have been resolved.
#[derive(Clone, Copy)]
struct Facts<'a> {
    scenario: &'a Scenario,
    plan: &'a YearPlan,
    /// In the order of the plan's plantings.
    stands: &'a [Stand<'a>],
    /// The same, or in a standing year those of many years, weeks counted from the first.
    over_years: &'a [Stand<'a>],
    /// The first week of the year that counts among these.
    counted: usize,
    log: &'a CoverLog,
    /// In the order of the plan's draws.
    classes: &'a [food::Class<'a>],
}
