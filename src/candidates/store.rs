//! What is to hand at the start: food in store (a product of its own for each crop and way, and its
//! lots) and plants on the shelf.

use super::draft::Start;
use super::names;
use super::season::{Lot, Plants, Product};
use crate::domain::Scenario;

/// Adds the products of what is in store after those that are grown, and returns the lots. What
/// is past keeping by the start, and nothing at all, give none.
pub(super) fn in_store(scenario: &Scenario, products: &mut Vec<Product>) -> Vec<Lot> {
    let last_week = scenario.horizon() - 1;
    let mut lots = Vec::new();
    for stored in &scenario.in_store {
        let crop = &scenario.crops[stored.crop];
        let way = &crop.ways[stored.way];
        let keeps = i32::try_from(way.keeps_weeks).unwrap_or(i32::MAX / 2);
        let until = stored.harvested.plus(keeps).since(scenario.start);
        let (Ok(until), true) = (usize::try_from(until), stored.amount > 0.0) else {
            continue;
        };
        let known = |p: &Product| p.in_store && p.crop == stored.crop && p.way == stored.way;
        let product = products.iter().position(known).unwrap_or_else(|| {
            products.push(Product {
                name: names::product_in_store(&crop.name, &way.name),
                crop: stored.crop,
                way: stored.way,
                food: way.food,
                weekly_loss: way.weekly_loss,
                minutes_per_unit: 0.0,
                in_store: true,
            });
            products.len() - 1
        });
        lots.push(Lot {
            product,
            from: 0,
            fresh_until: 0,
            until: until.min(last_week),
            amount: stored.amount,
        });
    }
    lots
}

/// Share by which plants to hand may be short of what is taken, for want of a last digit.
const ROUNDING: f64 = 1e-7;

/// The plants on the shelf, in the scenario's order.
pub(super) fn on_shelf(scenario: &Scenario) -> Vec<Plants> {
    let entries = scenario.on_shelf.iter().map(|entry| Plants {
        name: entry.name.clone(),
        plants: entry.plants * (1.0 + ROUNDING),
    });
    entries.collect()
}

/// Which of the plants on the shelf a planting begun so takes.
pub(super) fn shelf_entry(scenario: &Scenario, start: &Start) -> Option<usize> {
    let sown = scenario.start.plus(start.sown);
    scenario.on_shelf.iter().position(|entry| {
        (entry.crop, entry.raising, entry.lit, entry.sown)
            == (start.crop, start.raising, start.lit, sown)
    })
}
