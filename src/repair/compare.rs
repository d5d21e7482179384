//! What the three answers mean beside each other: what was lost, what mends it, what cannot be
//! mended, and what is to be done otherwise.

use super::covers::{self, CoverFiller};
use super::jobs::{ChangedJob, changed_jobs};
use super::learn::Learned;
use crate::domain::Scenario;
use crate::plan::{Changed, Ending, Fate, FoodSupply, Rule, YearPlan};
use crate::units::Week;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A share of what the old plan gave below which a week counts as worse (estimate).
const WORSE: f64 = 0.02;
/// Amounts below this are none, units of the food.
const CRUMB: f64 = 1e-3;

/// One of the answers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AnswerLine {
    /// `repaired`, `left as it is` or `freely redrawn`.
    pub answer: String,
    /// Worth without the price of changes, money.
    pub worth: f64,
    /// Price of its changes as the scenario sets it, money; nothing where they are free.
    pub changes_money: f64,
    /// No such answer is worth more (price of changes taken off); none where nothing was sought.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bound: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gap: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub status: Option<Ending>,
    /// What is eaten, at price, in parts of what is wished.
    pub needs_met: f64,
    /// Weeks in which the floor of some food is missed.
    pub weeks_short: usize,
    /// What is missing to the floors, at price, money.
    pub short_money: f64,
    pub changes: Changed,
}

/// A food's week in the old plan and in the answers, in the food's unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LostWeek {
    pub week: Week,
    /// Eaten by the old plan, by the plan left as it is, and by the repaired plan.
    pub planned: f64,
    pub as_it_is: f64,
    pub repaired: f64,
}

/// A food of which something is lost.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LostFood {
    pub food: String,
    pub unit: String,
    /// Lost in all weeks if the plan is left as it is, and with the repair.
    pub lost: f64,
    pub lost_after_repair: f64,
    /// What the rest costs to buy, money.
    pub buy_money: f64,
    /// The first week from which on the repaired plan gives what the old one gave; none if it
    /// never does again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recovers: Option<Week>,
    /// The weeks in which something is lost.
    pub weeks: Vec<LostWeek>,
    /// New plantings that give it.
    pub filled_by: Vec<Filler>,
    /// Covers under which what is kept gives more of it in those weeks.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub filled_under: Vec<CoverFiller>,
}

/// New plantings of one crop.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Filler {
    pub crop: String,
    pub plantings: Vec<String>,
    /// First week of sowing, and first week with a harvest.
    pub sown: Week,
    pub from: Week,
    /// All that they give, in the food's unit.
    pub amount: f64,
}

/// A plan carried on, told.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Replan {
    pub name: String,
    pub currency: String,
    /// The first week that is planned anew.
    pub from: Week,
    pub events: Vec<String>,
    pub records: usize,
    /// Events and records that the plan knew of already.
    pub known: usize,
    pub answers: Vec<AnswerLine>,
    /// Foods of which something is lost, the dearest loss first.
    pub lost: Vec<LostFood>,
    pub jobs: Vec<ChangedJob>,
    /// What could not go on as planned.
    pub notes: Vec<String>,
    pub learned: Vec<Learned>,
}

/// The three answers, made for the same carried scenario.
#[derive(Clone, Copy, Debug)]
pub struct Answers<'a> {
    pub repaired: &'a YearPlan,
    /// None where shelf or work do not suffice for it any more.
    pub as_it_is: Option<&'a YearPlan>,
    pub redrawn: &'a YearPlan,
}

/// How many plantings of the old plan an answer changes.
pub fn changed(plan: &YearPlan) -> Changed {
    let mut changed = Changed::default();
    for change in &plan.changes {
        match change.change {
            Fate::Kept => {}
            Fate::Moved => changed.moved += 1,
            Fate::LeftOut => changed.dropped += 1,
            Fate::Added => changed.added += 1,
        }
    }
    changed
}

/// Answers, losses and jobs; `scenario` is the carried one.
pub fn compare(
    old: &YearPlan,
    scenario: &Scenario,
    answers: &Answers,
) -> (Vec<AnswerLine>, Vec<LostFood>, Vec<ChangedJob>) {
    let mut lines = vec![line("repaired", scenario, answers.repaired, true)];
    lines.extend((answers.as_it_is).map(|plan| line("left as it is", scenario, plan, false)));
    lines.push(line("freely redrawn", scenario, answers.redrawn, true));
    let as_it_is = answers.as_it_is.unwrap_or(answers.repaired);
    let mut lost: Vec<(f64, LostFood)> = Vec::new();
    for (id, food) in scenario.foods.iter().enumerate() {
        let before = old.supply.iter().find(|s| s.food == food.name);
        let now = |plan: &YearPlan| plan.supply[id].clone();
        let Some(before) = before else { continue };
        let found = lost_food(scenario, before, &now(as_it_is), &now(answers.repaired));
        if let Some(mut found) = found {
            found.buy_money = found.lost_after_repair * food.price_money;
            found.filled_by = fillers(answers.repaired, scenario, id, &found.weeks);
            found.filled_under =
                covers::fillers(as_it_is, answers.repaired, scenario, id, &found.weeks);
            lost.push((found.lost * food.price_money, found));
        }
    }
    lost.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.food.cmp(&b.1.food)));
    let lost = lost.into_iter().map(|(_, food)| food).collect();
    let jobs = changed_jobs(old, answers.repaired, scenario.start);
    (lines, lost, jobs)
}

fn line(name: &str, scenario: &Scenario, plan: &YearPlan, sought: bool) -> AnswerLine {
    let changes: f64 = (plan.ledger.iter())
        .filter(|l| l.rule == Rule::Changes)
        .map(|l| l.money)
        .sum();
    let (mut eaten, mut wished, mut short) = (0.0, 0.0, 0.0);
    let mut missed: BTreeMap<Week, f64> = BTreeMap::new();
    for (food, supply) in scenario.foods.iter().zip(&plan.supply) {
        for week in supply.weeks.iter().take(scenario.weeks) {
            eaten += food.price_money * week.eaten;
            wished += food.price_money * week.wish;
            short += food.price_money * week.short;
            if week.short > CRUMB {
                *missed.entry(week.week).or_default() += week.short;
            }
        }
    }
    AnswerLine {
        answer: name.into(),
        worth: plan.result.worth - changes,
        changes_money: 0.0 - changes,
        bound: sought.then_some(plan.result.bound),
        gap: sought.then_some(plan.result.gap),
        status: sought.then_some(plan.result.status),
        needs_met: if wished > 0.0 { eaten / wished } else { 1.0 },
        weeks_short: missed.len(),
        short_money: short,
        changes: changed(plan),
    }
}

fn lost_food(
    scenario: &Scenario,
    before: &FoodSupply,
    as_it_is: &FoodSupply,
    repaired: &FoodSupply,
) -> Option<LostFood> {
    let planned = |week: Week| {
        before
            .weeks
            .iter()
            .find(|w| w.week == week)
            .map(|w| w.eaten)
    };
    let mut weeks = Vec::new();
    let (mut lost, mut rest) = (0.0, 0.0);
    let mut worse: Option<Week> = None;
    for (left, mended) in as_it_is.weeks.iter().zip(&repaired.weeks) {
        // A need that has shrunk since is no loss.
        let Some(planned) = planned(left.week).map(|eaten| eaten.min(left.wish)) else {
            continue;
        };
        let missing = (planned - left.eaten).max(0.0);
        let slack = (WORSE * planned).max(CRUMB);
        if missing > slack {
            lost += missing;
            weeks.push(LostWeek {
                week: left.week,
                planned,
                as_it_is: left.eaten,
                repaired: mended.eaten,
            });
            rest += (planned - mended.eaten).max(0.0);
            if planned - mended.eaten > slack {
                worse = Some(left.week);
            }
        }
    }
    let first = weeks.first()?.week;
    let recovers = worse.map_or(first, |week| week.plus(1));
    let end = scenario.week(scenario.horizon());
    Some(LostFood {
        food: before.food.clone(),
        unit: before.unit.clone(),
        lost,
        lost_after_repair: rest,
        buy_money: 0.0,
        recovers: (recovers < end).then_some(recovers),
        weeks,
        filled_by: Vec::new(),
        filled_under: Vec::new(),
    })
}

/// Plantings that were not decided on, or not there, and give the food by the last of the weeks in
/// which some is lost.
fn fillers(plan: &YearPlan, scenario: &Scenario, food: usize, weeks: &[LostWeek]) -> Vec<Filler> {
    let last = weeks.last().map(|w| w.week);
    let new = |id: &str| {
        plan.changes.iter().any(|c| {
            matches!(c.change, Fate::Added | Fate::Moved) && c.planting.as_deref() == Some(id)
        })
    };
    let mut found: BTreeMap<&str, Filler> = BTreeMap::new();
    for p in &plan.plantings {
        let partner = p.partner.as_deref().is_some_and(new);
        let gives = (scenario.crops.iter().find(|c| c.name == p.crop))
            .and_then(|c| c.ways.iter().find(|w| Some(&w.name) == p.way.as_ref()))
            .is_some_and(|w| w.food == food);
        let (Some(from), true) = (p.first_harvest, gives) else {
            continue;
        };
        if Some(from) > last
            || p.standing.is_some()
            || !(new(&p.id) || partner || plan.changes.is_empty())
        {
            continue;
        }
        let amount: f64 = p.lots.iter().map(|l| l.amount).sum();
        let filler = found.entry(&p.crop).or_insert(Filler {
            crop: p.crop.clone(),
            plantings: Vec::new(),
            sown: p.sown,
            from,
            amount: 0.0,
        });
        filler.plantings.push(p.id.clone());
        filler.sown = filler.sown.min(p.sown);
        filler.from = filler.from.min(from);
        filler.amount += amount;
    }
    let mut list: Vec<Filler> = found.into_values().collect();
    list.sort_by(|a, b| (a.from, &a.crop).cmp(&(b.from, &b.crop)));
    list
}
