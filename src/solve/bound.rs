//! The bound: what no plan can exceed, computed from prices alone in our own arithmetic
//! (docs/method/bound.md has the proof).

use super::context::Context;
use crate::strips::{CoverCosts, Path, Prices, Tolls, class_values};

/// Worth that no plan exceeds, at clamped prices and with the exact best strip-years at them.
pub fn bound(context: &Context, prices: &Prices, paths: &[Path]) -> f64 {
    let mut total = shared_part(context, prices);
    for (group, path) in paths.iter().enumerate() {
        total += path.value * context.count(group) as f64;
    }
    total
}

/// The part of the bound that the shared rows and the table give.
fn shared_part(context: &Context, prices: &Prices) -> f64 {
    let season = context.season;
    let mut total = 0.0;
    let mut eaten = vec![0.0; season.foods.len()];
    let tolls = Tolls::of(season, prices);
    for week in 0..season.weeks {
        total += best_table(context, prices, &tolls, week, &mut eaten);
        if let Some(minutes) = season.minutes_per_week {
            total += prices.work[week] * minutes;
        }
        for (k, cover) in season.covers.iter().enumerate() {
            total += prices.cover[k][week] * f64::from(cover.count);
        }
        total += prices.shelf[0][week] * season.shelf_unlit_m2;
        total += prices.shelf[1][week] * season.shelf_lit_m2;
        for (row, &(f, _)) in context.variety.rows.iter().enumerate() {
            let food = &season.foods[f];
            total += prices.variety[row][week] * food.single_crop_share * food.wish[week];
        }
    }
    if !context.classes.in_store.is_empty() {
        let per_unit = class_values(season, &context.classes, &context.variety, prices);
        for &(class, units) in &context.classes.in_store {
            total += per_unit[class as usize] * units;
        }
    }
    for (plants, price) in season.on_shelf.iter().zip(&prices.plants) {
        total += price * plants.plants;
    }
    for (rule, price) in season.always.iter().zip(&prices.always) {
        total -= price * rule.units;
    }
    for (row, price) in prices.roundings.iter().zip(&prices.rounding) {
        total += price * row.right;
    }
    for (row, price) in prices.cover_rows.iter().zip(&prices.cover_row_price) {
        total += price * row.right;
    }
    total += CoverCosts::of(season, prices).best;
    for (row, price) in prices.breaks.iter().zip(&prices.break_price) {
        total += price * row.strips;
    }
    total += season.given_back;
    total
}

/// The best that a week's table can bring when every unit eaten costs its price: worth of the food
/// less what is short of floors and band. `eaten` receives what is eaten then.
///
/// Foods' stretches (to the floor, to the wish) are taken by what a money of food leaves over its
/// price; the band adds its cost to the first money and ends at its top. Exact, since the worth is
/// concave in the total and each food's stretches come in falling order.
pub fn best_table(
    context: &Context,
    prices: &Prices,
    tolls: &Tolls,
    week: usize,
    eaten: &mut [f64],
) -> f64 {
    let season = context.season;
    let (low, high, below) = match &season.level {
        Some(level) => (level.low[week], level.high[week], level.below_cost),
        None => (0.0, f64::INFINITY, 0.0),
    };
    let mut stretches: Vec<(f64, f64, usize)> = Vec::with_capacity(2 * season.foods.len());
    let mut worth = -below * low;
    for (f, food) in season.foods.iter().enumerate() {
        eaten[f] = 0.0;
        let floor = food.floor[week].min(food.wish[week]);
        // A toll above the cost of being short leaves the whole floor short.
        let short_cost = food.short_cost[week] - tolls.short[f][week];
        worth -= short_cost * food.floor[week];
        let short_cost = short_cost.max(0.0);
        let margin = food.price - prices.food[f][week] - tolls.eaten[f][week];
        if food.price <= 0.0 {
            // Worth nothing at price: it leaves the band alone, only its floor can pay.
            let gain = margin + short_cost;
            if gain > 0.0 {
                worth += gain * floor;
                eaten[f] = floor;
            }
            continue;
        }
        for (units, extra) in [(floor, short_cost), (food.wish[week] - floor, 0.0)] {
            if units > 0.0 {
                stretches.push(((margin + extra) / food.price, units * food.price, f));
            }
        }
    }
    stretches.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.2.cmp(&b.2)));
    let mut total = 0.0;
    for (net, money, f) in stretches {
        let mut left = money;
        for (top, gain) in [(low.min(high), net + below), (high, net)] {
            let room: f64 = top - total;
            if gain > 0.0 && room > 0.0 && left > 0.0 {
                let take = left.min(room);
                worth += gain * take;
                total += take;
                left -= take;
                eaten[f] += take / season.foods[f].price;
            }
        }
    }
    worth
}
