//! All food together, week by week in money: how even the year is, where it falls short and
//! where it gives too much.

use crate::domain::Scenario;
use crate::plan::YearPlan;
use crate::units::Week;

/// Share of a week's worth that may be left over before the week is called a glut (estimate): a
/// tenth is within what a table takes without noticing.
const GLUT_SHARE: f64 = 0.1;
/// Money by which a week may miss the band without being called short: rounding in the plan.
const ROUNDING: f64 = 0.005;

/// What is eaten in a week, at price.
#[derive(Clone, Debug, PartialEq)]
pub struct LevelWeek {
    pub week: Week,
    /// Eaten fresh and from store, money.
    pub fresh: f64,
    pub stored: f64,
    /// The band, where the scenario has one, money.
    pub band: Option<(f64, f64)>,
    /// Could last have been eaten this week and is not needed, money.
    pub left: f64,
    /// Foods whose floor is missed.
    pub short: Vec<String>,
}

impl LevelWeek {
    /// All that is eaten, money.
    pub fn eaten(&self) -> f64 {
        self.fresh + self.stored
    }

    /// Below the band: part of the hungry gap.
    pub fn hungry(&self) -> bool {
        self.band
            .is_some_and(|(low, _)| self.eaten() < low - ROUNDING)
    }

    /// The band is reached, and more is left over than a table takes without noticing.
    pub fn glut(&self) -> bool {
        !self.hungry() && self.left > GLUT_SHARE * self.eaten().max(ROUNDING)
    }
}

/// Every week of plan and tail.
pub fn level(scenario: &Scenario, plan: &YearPlan) -> Vec<LevelWeek> {
    let weeks = plan.scenario.weeks + plan.scenario.tail;
    (0..weeks)
        .map(|i| {
            let mut sum = LevelWeek {
                week: scenario.week(i),
                fresh: 0.0,
                stored: 0.0,
                band: (scenario.level.as_ref()).map(|l| (l.low_money[i], l.high_money[i])),
                left: 0.0,
                short: Vec::new(),
            };
            for (food, supply) in scenario.foods.iter().zip(&plan.supply) {
                let week = &supply.weeks[i];
                sum.fresh += food.price_money * week.fresh;
                sum.stored += food.price_money * week.stored;
                sum.left += food.price_money * week.left;
                if week.short > ROUNDING * week.floor.max(1.0) {
                    sum.short.push(supply.food.clone());
                }
            }
            sum
        })
        .collect()
}

/// Neighbouring weeks that `which` picks, taken together: first and last.
pub fn spans(weeks: &[LevelWeek], which: impl Fn(&LevelWeek) -> bool) -> Vec<(Week, Week)> {
    let mut spans: Vec<(Week, Week)> = Vec::new();
    for week in weeks.iter().filter(|week| which(week)) {
        match spans.last_mut() {
            Some((_, last)) if last.plus(1) == week.week => *last = week.week,
            _ => spans.push((week.week, week.week)),
        }
    }
    spans
}
