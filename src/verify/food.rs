//! From lots to the table: draws, supply by food and week, wishes, variety, the band, stores.

use super::names::{index, named};
use super::sums::{differ, exceeds, say};
use super::{Check, Facts, Findings};
use crate::domain::{CropId, FoodId, Scenario};
use crate::plan::{Draws, SupplyWeek, YearPlan};
use crate::units::Week;
use std::collections::BTreeMap;

/// A class of lots that something is eaten from.
pub struct Class<'a> {
    pub draws: &'a Draws,
    pub crop: CropId,
    pub way: usize,
    pub food: FoodId,
    /// In store at the start: no harvest, never fresh.
    pub in_store: bool,
    pub fresh_until: usize,
    pub until: usize,
    /// Units eaten by week of the horizon.
    pub eaten: Vec<(usize, f64)>,
    weekly_loss: f64,
}

impl Class<'_> {
    /// Units used up for one eaten in that week.
    pub fn used_per_unit(&self, week: usize) -> f64 {
        let mut units = 1.0;
        for _ in self.fresh_until..week {
            units /= 1.0 - self.weekly_loss;
        }
        units
    }

    fn called(&self) -> String {
        let d = self.draws;
        let stored = if self.in_store { ", in store" } else { "" };
        format!("{} ({}{stored}, {} to {})", d.crop, d.way, d.from, d.until)
    }
}

/// The plan's draws with their names resolved.
pub fn classes<'a>(
    scenario: &Scenario,
    plan: &'a YearPlan,
    found: &mut Findings,
) -> Vec<Class<'a>> {
    plan.draws
        .iter()
        .filter_map(|draws| match class(scenario, draws) {
            Ok(class) => Some(class),
            Err(reason) => {
                found.add(
                    Check::Names,
                    format!("draws on {} from {}: {reason}", draws.crop, draws.from),
                );
                None
            }
        })
        .collect()
}

fn class<'a>(scenario: &Scenario, draws: &'a Draws) -> Result<Class<'a>, String> {
    let crop = named(&scenario.crops, |c| &c.name, &draws.crop).ok_or("no such crop")?;
    let ways = &scenario.crops[crop].ways;
    let way = named(ways, |w| &w.name, &draws.way).ok_or("no such way of harvest")?;
    let food = ways[way].food;
    if scenario.foods[food].name != draws.food {
        return Err(format!(
            "is food {:?}, not {:?}",
            scenario.foods[food].name, draws.food
        ));
    }
    let week = |w: Week| index(scenario, w).ok_or_else(|| format!("{w} is outside the plan"));
    let eaten = draws
        .eaten
        .iter()
        .map(|(w, units)| Ok((week(*w)?, *units)))
        .collect::<Result<Vec<_>, String>>()?;
    let (from, fresh_until) = (week(draws.from)?, week(draws.fresh_until)?);
    let until = week(draws.until)?;
    let ends = scenario.repeats || until < scenario.horizon();
    if !(from <= fresh_until && fresh_until <= until && ends) {
        return Err("its weeks are out of order".into());
    }
    Ok(Class {
        draws,
        crop,
        way,
        food,
        in_store: draws.in_store,
        fresh_until,
        until,
        eaten,
        weekly_loss: ways[way].weekly_loss,
    })
}

pub fn check(facts: &Facts, found: &mut Findings) {
    draws(facts, found);
    let table = Table::of(facts);
    supply(facts, &table, found);
    variety(facts, found);
    band(facts, &table, found);
    shortfalls(facts, &table, found);
    stores(facts, found);
}

/// No class gives more than its plantings put into it, nor outside its weeks.
fn draws(facts: &Facts, found: &mut Findings) {
    let mut lots: BTreeMap<(bool, CropId, usize, Week, Week, Week), f64> = BTreeMap::new();
    for stored in in_store(facts.scenario) {
        let start = facts.scenario.start;
        let key = (true, stored.crop, stored.way, start, start, stored.until);
        *lots.entry(key).or_default() += stored.amount;
    }
    for stand in facts.stands {
        let Some(way) = stand.way else { continue };
        for lot in &stand.plan.lots {
            let key = (false, stand.crop, way, lot.from, lot.fresh_until, lot.until);
            *lots.entry(key).or_default() += lot.amount;
        }
    }
    let mut seen: Vec<(bool, CropId, usize, Week, Week, Week)> = Vec::new();
    for class in facts.classes {
        let d = class.draws;
        let key = (
            class.in_store,
            class.crop,
            class.way,
            d.from,
            d.fresh_until,
            d.until,
        );
        if seen.contains(&key) {
            found.add(
                Check::Draws,
                format!("{} is drawn on twice", class.called()),
            );
        }
        seen.push(key);
        let there = lots.get(&key).copied().unwrap_or(0.0);
        if differ(d.amount, there) {
            found.add(
                Check::Draws,
                format!(
                    "{} is said to hold {}, {} {}",
                    class.called(),
                    say(d.amount),
                    if class.in_store {
                        "the store holds"
                    } else {
                        "the plantings give"
                    },
                    say(there)
                ),
            );
        }
        let mut used = 0.0;
        for &(week, units) in &class.eaten {
            let date = facts.scenario.week(week);
            if date < d.from || date > d.until || exceeds(0.0, units) {
                found.add(
                    Check::Draws,
                    format!("{} gives {} in {date}", class.called(), say(units)),
                );
            }
            used += units * class.used_per_unit(week);
        }
        if exceeds(used, there) {
            found.add(
                Check::Draws,
                format!(
                    "{} uses up {} with losses, it holds {}",
                    class.called(),
                    say(used),
                    say(there)
                ),
            );
        }
    }
}

/// What is on the table, by food and week.
pub struct Table {
    fresh: Vec<Vec<f64>>,
    stored: Vec<Vec<f64>>,
}

impl Table {
    /// Adds up the draws.
    pub fn of(facts: &Facts) -> Table {
        let scenario = facts.scenario;
        let zero = vec![vec![0.0; scenario.horizon() + 1]; scenario.foods.len()];
        let mut table = Table {
            fresh: zero.clone(),
            stored: zero,
        };
        for class in facts.classes {
            for &(week, units) in &class.eaten {
                let part = if class.in_store || week > class.fresh_until {
                    &mut table.stored
                } else {
                    &mut table.fresh
                };
                part[class.food][scenario.within(week)] += units;
            }
        }
        table
    }

    pub fn eaten(&self, food: FoodId, week: usize) -> f64 {
        self.fresh[food][week] + self.stored[food][week]
    }

    /// At price, in a week.
    pub fn worth(&self, scenario: &Scenario, week: usize) -> f64 {
        (scenario.foods.iter().enumerate())
            .map(|(f, food)| food.price_money * self.eaten(f, week))
            .sum()
    }
}

/// Food in store at the start that can still be eaten in the plan.
struct Stored {
    crop: CropId,
    way: usize,
    until: Week,
    amount: f64,
}

fn in_store(scenario: &Scenario) -> Vec<Stored> {
    let end = scenario.week(scenario.horizon());
    let kept = scenario.in_store.iter().map(|stored| {
        let way = &scenario.crops[stored.crop].ways[stored.way];
        let keeps = i32::try_from(way.keeps_weeks).unwrap_or(i32::MAX / 2);
        Stored {
            crop: stored.crop,
            way: stored.way,
            until: stored.harvested.plus(keeps).min(end.plus(-1)),
            amount: stored.amount,
        }
    });
    kept.filter(|stored| stored.until >= scenario.start)
        .collect()
}

/// What is left of each food, by the last week in which it could have been eaten.
fn left(facts: &Facts) -> Vec<Vec<f64>> {
    let scenario = facts.scenario;
    let mut left = vec![vec![0.0; scenario.horizon() + 1]; scenario.foods.len()];
    for stand in facts.stands {
        let Some(way) = stand.way else { continue };
        let food = scenario.crops[stand.crop].ways[way].food;
        for lot in &stand.plan.lots {
            if let Some(week) = index(scenario, lot.until) {
                left[food][scenario.within(week)] += lot.amount;
            }
        }
    }
    for stored in in_store(scenario) {
        let food = scenario.crops[stored.crop].ways[stored.way].food;
        if let Some(week) = index(scenario, stored.until) {
            left[food][week] += stored.amount;
        }
    }
    for class in facts.classes {
        for &(week, units) in &class.eaten {
            left[class.food][scenario.within(class.until)] -= units * class.used_per_unit(week);
        }
    }
    left
}

/// The plan's supply is what the draws add up to, within the wish.
fn supply(facts: &Facts, table: &Table, found: &mut Findings) {
    let scenario = facts.scenario;
    let left = left(facts);
    for (f, (food, said)) in scenario.foods.iter().zip(&facts.plan.supply).enumerate() {
        if said.weeks.len() != scenario.horizon() || said.unit != food.unit.symbol() {
            found.add(
                Check::Supply,
                format!(
                    "{} has {} weeks in {}",
                    food.name,
                    said.weeks.len(),
                    said.unit
                ),
            );
            continue;
        }
        for (w, week) in said.weeks.iter().enumerate() {
            let date = scenario.week(w);
            let eaten = table.eaten(f, w);
            let mut wrong = |what: &str, said: f64, is: f64| {
                if differ(said, is) {
                    found.add(
                        Check::Supply,
                        format!(
                            "{} in {date}: {what} is said to be {}, it is {}",
                            food.name,
                            say(said),
                            say(is)
                        ),
                    );
                }
            };
            wrong("the floor", week.floor, food.floor[w]);
            wrong("the wish", week.wish, food.wish[w]);
            wrong("fresh", week.fresh, table.fresh[f][w]);
            wrong("from store", week.stored, table.stored[f][w]);
            wrong("eaten", week.eaten, eaten);
            wrong("short", week.short, (food.floor[w] - eaten).max(0.0));
            wrong("left", week.left, left[f][w].max(0.0));
            check_week(facts, f, w, week, eaten, found);
        }
    }
}

fn check_week(
    facts: &Facts,
    food: FoodId,
    w: usize,
    week: &SupplyWeek,
    eaten: f64,
    found: &mut Findings,
) {
    let (food, date) = (&facts.scenario.foods[food], facts.scenario.week(w));
    if week.week != date {
        found.add(
            Check::Supply,
            format!("{}: {} stands in the place of {date}", food.name, week.week),
        );
    }
    if exceeds(eaten, food.wish[w]) {
        found.add(
            Check::Supply,
            format!(
                "{} of {} are eaten in {date}, the wish is {}",
                say(eaten),
                food.name,
                say(food.wish[w])
            ),
        );
    }
}

/// No crop supplies more of a food than its share of the wish.
fn variety(facts: &Facts, found: &mut Findings) {
    let mut by_crop: BTreeMap<(FoodId, CropId, usize), f64> = BTreeMap::new();
    for class in facts.classes {
        for &(week, units) in &class.eaten {
            let week = facts.scenario.within(week);
            *by_crop.entry((class.food, class.crop, week)).or_default() += units;
        }
    }
    for ((food, crop, week), units) in by_crop {
        let need = &facts.scenario.foods[food];
        let wish = need.wish.get(week).copied().unwrap_or(0.0);
        let most = need.single_crop_share * wish;
        if exceeds(units, most) {
            found.add(
                Check::Supply,
                format!(
                    "{} supplies {} of {} in {}, one crop may supply {}",
                    facts.scenario.crops[crop].name,
                    say(units),
                    need.name,
                    facts.scenario.week(week),
                    say(most)
                ),
            );
        }
    }
}

/// The worth of what is eaten stays below the top of the band.
fn band(facts: &Facts, table: &Table, found: &mut Findings) {
    let Some(level) = &facts.scenario.level else {
        return;
    };
    for (week, high) in level.high_money.iter().enumerate() {
        let worth = table.worth(facts.scenario, week);
        if exceeds(worth, *high) {
            found.add(
                Check::Supply,
                format!(
                    "what is eaten in {} is worth {}, the band ends at {}",
                    facts.scenario.week(week),
                    say(worth),
                    say(*high)
                ),
            );
        }
    }
}

/// Every floor missed is listed, and nothing else.
fn shortfalls(facts: &Facts, table: &Table, found: &mut Findings) {
    for (f, food) in facts.scenario.foods.iter().enumerate() {
        for w in 0..facts.scenario.horizon() {
            let date = facts.scenario.week(w);
            let short = (food.floor[w] - table.eaten(f, w)).max(0.0);
            let listed: Vec<_> = (facts.plan.shortfalls.iter())
                .filter(|s| s.food == food.name && s.week == date)
                .collect();
            let said: f64 = listed.iter().map(|s| s.short).sum();
            let agree = listed.iter().all(|s| {
                !differ(s.floor, food.floor[w])
                    && !differ(s.eaten, table.eaten(f, w))
                    && s.unit == food.unit.symbol()
            });
            if differ(short, said) || !agree {
                found.add(
                    Check::Supply,
                    format!(
                        "{} is {} short in {date}, the plan lists {}",
                        food.name,
                        say(short),
                        say(said)
                    ),
                );
            }
        }
    }
}

/// What is kept of each product is what is eaten from store later.
fn stores(facts: &Facts, found: &mut Findings) {
    let mut kept: BTreeMap<(&str, &str, Week), f64> = BTreeMap::new();
    for class in facts.classes {
        for week in class.fresh_until..class.until {
            let later: f64 = (class.eaten.iter())
                .filter(|(w, _)| *w > week)
                .map(|&(w, units)| units * class.used_per_unit(w) / class.used_per_unit(week))
                .sum();
            let key = (
                class.draws.crop.as_str(),
                class.draws.way.as_str(),
                facts.scenario.week(facts.scenario.within(week)),
            );
            *kept.entry(key).or_default() += later;
        }
    }
    for store in &facts.plan.stores {
        for (week, amount) in &store.weeks {
            *kept.entry((&store.crop, &store.way, *week)).or_default() -= amount;
        }
    }
    for ((crop, way, week), difference) in kept {
        if differ(difference, 0.0) {
            found.add(
                Check::Supply,
                format!(
                    "the store of {crop} ({way}) at the end of {week} is off by {}",
                    say(difference)
                ),
            );
        }
    }
}
