//! What is on the table: need, fresh, stored, eaten, short and left, by food and week; the stores.

use super::classes::{Classes, cut};
use super::names::unit_of;
use super::year::{ByWeek, Draws, FoodSupply, Shortfall, Store, SupplyWeek};
use crate::candidates::Season;
use crate::domain::Scenario;
use std::collections::BTreeMap;

/// Stores below this are not shown, units of the food.
const CRUMB: f64 = 1e-7;

/// Every food's weeks, the tail included; in a standing year those of the next one count as its own.
pub fn supply(scenario: &Scenario, season: &Season, classes: &Classes) -> Vec<FoodSupply> {
    let zero = || vec![vec![0.0; season.weeks]; season.foods.len()];
    let (mut fresh, mut stored, mut left) = (zero(), zero(), zero());
    for (key, class) in classes {
        let product = &season.products[key.product];
        let food = product.food;
        for (&week, units) in &class.eaten {
            let kind = if product.in_store || week > key.fresh_until {
                &mut stored
            } else {
                &mut fresh
            };
            kind[food][week % season.weeks] += units;
        }
        left[food][key.until % season.weeks] += (class.amount - class.used(season, key)).max(0.0);
    }
    season
        .foods
        .iter()
        .enumerate()
        .map(|(f, need)| FoodSupply {
            food: need.name.clone(),
            unit: unit_of(scenario, f),
            weeks: (0..season.weeks)
                .map(|w| {
                    let eaten = round(fresh[f][w] + stored[f][w]);
                    SupplyWeek {
                        week: scenario.week(w),
                        floor: need.floor[w],
                        wish: need.wish[w],
                        fresh: round(fresh[f][w]),
                        stored: round(stored[f][w]),
                        eaten,
                        short: round((need.floor[w] - eaten).max(0.0)),
                        left: cut(left[f][w]),
                    }
                })
                .collect(),
        })
        .collect()
}

/// Sums of amounts that are whole parts already: only the noise of adding goes.
fn round(amount: f64) -> f64 {
    (amount * 1e9).round() / 1e9
}

/// Floors missed, the largest cost first.
pub fn shortfalls(season: &Season, supply: &[FoodSupply]) -> Vec<Shortfall> {
    /// Below this a floor counts as met, units of the food.
    const MET: f64 = 1e-6;
    let mut found: Vec<(f64, Shortfall)> = Vec::new();
    for (food, need) in supply.iter().zip(&season.foods) {
        let weeks = food.weeks.iter().zip(&need.short_cost);
        for (week, short_cost) in weeks.filter(|(w, _)| w.short > MET) {
            let cost = week.short * (need.price + short_cost);
            found.push((
                cost,
                Shortfall {
                    food: food.food.clone(),
                    week: week.week,
                    floor: week.floor,
                    eaten: week.eaten,
                    short: week.short,
                    unit: food.unit.clone(),
                },
            ));
        }
    }
    found.sort_by(|a, b| {
        (b.0.total_cmp(&a.0))
            .then(a.1.week.cmp(&b.1.week))
            .then(a.1.food.cmp(&b.1.food))
    });
    found.into_iter().map(|(_, shortfall)| shortfall).collect()
}

/// What is kept of each product for eating later, at the end of each week.
pub fn stores(scenario: &Scenario, season: &Season, classes: &Classes) -> Vec<Store> {
    let mut kept: BTreeMap<(usize, usize), ByWeek> = BTreeMap::new();
    for (key, class) in classes {
        for week in key.fresh_until..key.until {
            let now = key.used_per_unit(season, week);
            let later: f64 = class
                .eaten
                .range(week + 1..)
                .map(|(&w, units)| units * key.used_per_unit(season, w) / now)
                .sum();
            let product = &season.products[key.product];
            let weeks = kept.entry((product.crop, product.way)).or_default();
            let week = scenario.week(scenario.within(week));
            *weeks.entry(week).or_default() += later;
        }
    }
    kept.into_iter()
        .map(|((crop, way), mut weeks)| {
            weeks.values_mut().for_each(|amount| *amount = cut(*amount));
            weeks.retain(|_, amount| *amount > CRUMB);
            let (crop, way) = (&scenario.crops[crop], &scenario.crops[crop].ways[way]);
            Store {
                crop: crop.name.clone(),
                way: way.name.clone(),
                food: scenario.foods[way.food].name.clone(),
                unit: unit_of(scenario, way.food),
                weeks,
            }
        })
        .filter(|store| !store.weeks.is_empty())
        .collect()
}

/// The classes that something is eaten from.
pub fn draws(scenario: &Scenario, season: &Season, classes: &Classes) -> Vec<Draws> {
    classes
        .iter()
        .filter(|(_, class)| !class.eaten.is_empty())
        .map(|(key, class)| {
            let product = &season.products[key.product];
            Draws {
                crop: scenario.crops[product.crop].name.clone(),
                way: scenario.crops[product.crop].ways[product.way].name.clone(),
                food: scenario.foods[product.food].name.clone(),
                in_store: product.in_store,
                from: scenario.week(key.from),
                fresh_until: scenario.week(key.fresh_until),
                until: scenario.week(key.until),
                amount: class.amount,
                eaten: class
                    .eaten
                    .iter()
                    .map(|(&w, &units)| (scenario.week(w), units))
                    .collect(),
            }
        })
        .collect()
}
