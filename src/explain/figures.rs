//! The figures by which plans are set side by side: needs met by part of the year, worth, money and
//! work spent, covers used.

use crate::domain::{Scenario, is_southern};
use crate::plan::{Ending, YearPlan};
use crate::units::WeekOfYear;
use serde::Serialize;
use std::collections::BTreeMap;

/// Minutes in an hour.
const HOUR_MINUTES: f64 = 60.0;
/// Amounts below this are none, units of a food.
const CRUMB: f64 = 1e-6;

/// A part of the year as the table feels it, by weeks of the year (common practice in a mild
/// northern climate, no source; half a year later south of the equator): winter from December, the
/// hungry gap between winter's last and summer's first harvests, summer, autumn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    pub name: &'static str,
    /// First and last week of the year.
    pub from: u32,
    pub to: u32,
}

/// The parts of the year, from winter on; every week lies in one.
pub const PARTS: [Part; 4] = [
    Part {
        name: "winter",
        from: 48,
        to: 12,
    },
    Part {
        name: "hungry gap",
        from: 13,
        to: 22,
    },
    Part {
        name: "summer",
        from: 23,
        to: 35,
    },
    Part {
        name: "autumn",
        from: 36,
        to: 47,
    },
];

impl Part {
    /// Whether the week of the year lies in it.
    pub fn holds(&self, week: WeekOfYear) -> bool {
        let number = week.number();
        if self.from <= self.to {
            (self.from..=self.to).contains(&number)
        } else {
            number >= self.from || number <= self.to
        }
    }
}

/// How much of the needs is met: shares, 0 to 1; `None` where nothing is needed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Met {
    pub floors: Option<f64>,
    pub wishes: Option<f64>,
}

/// A food's needs met in the parts of the year, in the order of [`PARTS`], and over the planned
/// weeks.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FoodFigures {
    pub food: String,
    pub unit: String,
    pub eaten: f64,
    pub parts: Vec<Met>,
    pub year: Met,
}

/// How a kind of cover is used over the horizon.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CoverFigures {
    pub cover: String,
    pub to_hand: u32,
    /// Most that lie on beds in one week.
    pub most_used: usize,
    /// Weeks summed over the beds that they lie on.
    pub bed_weeks: usize,
    /// Yearly cost of all of them, where the models give it.
    pub yearly_cost: Option<f64>,
}

/// A plan in figures. Needs met and weeks short are those of the planned weeks, money and work
/// those of the whole horizon, as the worth is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figures {
    pub label: String,
    pub file: String,
    pub ending: Ending,
    pub worth: f64,
    pub bound: f64,
    pub gap: f64,
    /// All foods together, at price: in the parts of the year, and over all planned weeks.
    pub parts: Vec<Met>,
    pub year: Met,
    /// Planned weeks in which a floor is missed.
    pub weeks_short: usize,
    /// Worth of the food eaten, at price, a week: in the parts, and over all planned weeks.
    pub food_money_a_week: Vec<Option<f64>>,
    pub foods: Vec<FoodFigures>,
    /// Money by line of the ledger.
    pub ledger: BTreeMap<&'static str, f64>,
    pub work_hours: f64,
    /// The busiest week, hours.
    pub most_hours: f64,
    pub covers: Vec<CoverFigures>,
}

/// Sums of need and of what is met.
#[derive(Clone, Copy, Default)]
struct Sum {
    floor: f64,
    floor_met: f64,
    wish: f64,
    wish_met: f64,
}

impl Sum {
    fn add(&mut self, floor: f64, wish: f64, eaten: f64, by: f64) {
        self.floor += by * floor;
        self.floor_met += by * eaten.min(floor);
        self.wish += by * wish;
        self.wish_met += by * eaten.min(wish);
    }

    fn met(&self) -> Met {
        let share = |met: f64, need: f64| (need > 0.0).then(|| met / need);
        Met {
            floors: share(self.floor_met, self.floor),
            wishes: share(self.wish_met, self.wish),
        }
    }
}

/// The figures of a plan.
pub fn figures(label: &str, scenario: &Scenario, plan: &YearPlan) -> Figures {
    let weeks = plan.scenario.weeks;
    let southern = is_southern(scenario.climate.latitude_deg);
    let part_of: Vec<usize> = (0..weeks)
        .map(|w| {
            let week = scenario.week(w).of_year();
            let week = if southern {
                week.half_a_year_on()
            } else {
                week
            };
            PARTS
                .iter()
                .position(|part| part.holds(week))
                .expect("parts make up the year")
        })
        .collect();
    let mut all = [Sum::default(); PARTS.len()];
    let mut all_year = Sum::default();
    let mut money = [0.0; PARTS.len()];
    let mut foods = Vec::new();
    for (food, supply) in scenario.foods.iter().zip(&plan.supply) {
        let mut parts = [Sum::default(); PARTS.len()];
        let mut year = Sum::default();
        let mut eaten = 0.0;
        for (week, &part) in supply.weeks.iter().zip(&part_of) {
            let (floor, wish) = (week.floor, week.wish);
            parts[part].add(floor, wish, week.eaten, 1.0);
            year.add(floor, wish, week.eaten, 1.0);
            all[part].add(floor, wish, week.eaten, food.price_money);
            all_year.add(floor, wish, week.eaten, food.price_money);
            money[part] += food.price_money * week.eaten;
            eaten += week.eaten;
        }
        foods.push(FoodFigures {
            food: supply.food.clone(),
            unit: supply.unit.clone(),
            eaten,
            parts: parts.iter().map(Sum::met).collect(),
            year: year.met(),
        });
    }
    let short = |w: &usize| plan.supply.iter().any(|food| food.weeks[*w].short > CRUMB);
    let mut counts: Vec<f64> = (0..PARTS.len())
        .map(|part| part_of.iter().filter(|p| **p == part).count() as f64)
        .collect();
    counts.push(weeks as f64);
    let sums = money.iter().copied().chain([money.iter().sum()]);
    let mut ledger: BTreeMap<&'static str, f64> = BTreeMap::new();
    for line in &plan.ledger {
        *ledger.entry(line.rule.name()).or_default() += line.money;
    }
    let minutes = plan.work.iter().map(|w| w.ground + w.harvest + w.covers);
    Figures {
        label: label.to_string(),
        file: plan.scenario.file.clone(),
        ending: plan.result.status,
        worth: plan.result.worth,
        bound: plan.result.bound,
        gap: plan.result.gap,
        parts: all.iter().map(Sum::met).collect(),
        year: all_year.met(),
        weeks_short: (0..weeks).filter(short).count(),
        food_money_a_week: sums
            .zip(counts)
            .map(|(sum, count)| (count > 0.0).then(|| sum / count))
            .collect(),
        foods,
        ledger,
        work_hours: minutes.clone().sum::<f64>() / HOUR_MINUTES,
        most_hours: minutes.fold(0.0, f64::max) / HOUR_MINUTES,
        covers: covers(scenario, plan),
    }
}

fn covers(scenario: &Scenario, plan: &YearPlan) -> Vec<CoverFigures> {
    let index = |week: crate::units::Week| {
        let weeks = week.since(scenario.start).max(0);
        usize::try_from(weeks)
            .expect("not negative")
            .min(scenario.horizon())
    };
    (scenario.covers.iter())
        .map(|cover| {
            let mut lying = vec![0usize; scenario.horizon()];
            for spell in plan.covers.iter().filter(|s| s.cover == cover.name) {
                for week in &mut lying[index(spell.placed)..index(spell.removed)] {
                    *week += 1;
                }
            }
            CoverFigures {
                cover: cover.name.clone(),
                to_hand: cover.count,
                most_used: lying.iter().copied().max().unwrap_or(0),
                bed_weeks: lying.iter().sum(),
                yearly_cost: cover
                    .yearly_cost_money
                    .map(|one| one * f64::from(cover.count)),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_week_lies_in_one_part_of_the_year() {
        for number in 1..=53 {
            let week = WeekOfYear::new(number).unwrap();
            assert_eq!(
                PARTS.iter().filter(|p| p.holds(week)).count(),
                1,
                "W{number}"
            );
        }
    }
}
