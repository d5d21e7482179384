//! Better prices by the volume method (Barahona and Anbil 2000, Math. Programming 87): steps from the
//! best prices so far along an average of the excesses that the best strip-years cause. Cheap, since
//! pricing all strips takes milliseconds.

use super::bound::{best_table, bound};
use super::context::Context;
use crate::candidates::{BARE, CoverState};
use crate::domain::BedId;
use crate::strips::{CoverCosts, Path, Prices, Side, Tolls, best_weeks, state_of};
use std::collections::BTreeMap;

/// Prices and the bound at them.
pub struct Ascended {
    pub prices: Prices,
    pub bound: f64,
    pub steps: usize,
}

/// Steps towards `target`, given the bound at the start, until `steps` are done or `told` says stop.
pub fn ascend(
    context: &Context,
    start: &Prices,
    target: impl FnOnce(f64) -> f64,
    steps: usize,
    mut told: impl FnMut(f64) -> bool,
) -> Ascended {
    // Estimates, tuned on generated seasons: weight of the newest excess, first and least step.
    const NEWEST: f64 = 0.12;
    const FIRST_STEP: f64 = 0.6;
    const LEAST_STEP: f64 = 1e-3;
    const PATIENCE: usize = 8;
    let season = context.season;
    let mut center = start.clone();
    center.clamp(season);
    let scale = scales(context, &center);
    let paths = context.price(&center, None, true);
    let mut best = bound(context, &center, &paths);
    let target = target(best);
    let mut average = excess(context, &center, &paths);
    let mut step = FIRST_STEP;
    let mut failures = 0;
    let mut done = 0;
    while done < steps && step > LEAST_STEP {
        done += 1;
        let norm: f64 = average
            .iter()
            .zip(&scale)
            .map(|(g, s)| (g * s) * (g * s))
            .sum();
        if norm <= 0.0 {
            break;
        }
        let length = step * (best - target).max(1e-6 * best.abs()) / norm;
        let mut flat = center.flat();
        for ((price, g), s) in flat.iter_mut().zip(&average).zip(&scale) {
            *price -= length * g * s * s;
        }
        let mut trial = center.clone();
        trial.set_flat(&flat);
        trial.clamp(season);
        let paths = context.price(&trial, None, true);
        let value = bound(context, &trial, &paths);
        let new = excess(context, &trial, &paths);
        for (a, g) in average.iter_mut().zip(&new) {
            *a = NEWEST * g + (1.0 - NEWEST) * *a;
        }
        if value < best {
            let gain = (best - value) / best.abs().max(1.0);
            best = value;
            center = trial;
            failures = 0;
            if gain > 1e-4 {
                step = (step * 1.1).min(2.0);
            }
        } else {
            failures += 1;
            if failures >= PATIENCE {
                step *= 0.66;
                failures = 0;
            }
        }
        if !told(best) {
            break;
        }
    }
    Ascended {
        prices: center,
        bound: best,
        steps: done,
    }
}

/// By how much each shared row is over-filled (less than zero) or slack (more) at these prices:
/// the slope of the bound, in the order of [`Prices::flat`].
fn excess(context: &Context, prices: &Prices, paths: &[Path]) -> Vec<f64> {
    let season = context.season;
    let mut slope = prices.clone();
    slope.set_flat(&vec![0.0; prices.flat().len()]);
    let tolls = Tolls::of(season, prices);
    let mut strips_under: BTreeMap<Place, f64> = BTreeMap::new();
    // Strips that begin each candidate.
    let mut begun = vec![0.0; season.candidates.len()];
    let mut eaten = vec![0.0; season.foods.len()];
    let mut taken = vec![vec![0.0; season.weeks]; season.foods.len()];
    let mut short = vec![vec![0.0; season.weeks]; season.foods.len()];
    for week in 0..season.weeks {
        best_table(context, prices, &tolls, week, &mut eaten);
        for (f, units) in eaten.iter().enumerate() {
            let food = &season.foods[f];
            slope.food[f][week] = -units;
            taken[f][week] = *units;
            // A toll above the cost of being short leaves the whole floor short.
            short[f][week] = if tolls.short[f][week] > food.short_cost[week] {
                food.floor[week]
            } else {
                (food.floor[week] - units).max(0.0)
            };
        }
        for (row, &(f, _)) in context.variety.rows.iter().enumerate() {
            let food = &season.foods[f];
            slope.variety[row][week] = food.most_of_one_crop(week);
        }
        slope.work[week] = season.minutes_per_week.unwrap_or(0.0);
        for (k, cover) in season.covers.iter().enumerate() {
            slope.cover[k][week] = f64::from(cover.count);
        }
        slope.shelf[0][week] = season.shelf_unlit_m2;
        slope.shelf[1][week] = season.shelf_lit_m2;
    }
    for (slot, plants) in slope.plants.iter_mut().zip(&season.on_shelf) {
        *slot = plants.plants;
    }
    for (slot, rule) in slope.always.iter_mut().zip(&season.always) {
        *slot = -rule.units;
    }
    let weeks = best_weeks(season, &context.classes, &context.variety, prices);
    let eat = |slope: &mut Prices, class: u32, units: f64, strips: f64| {
        let (_, week, kept) = weeks[class as usize];
        let product = context.classes.list[class as usize].product;
        let units = units * kept * strips;
        slope.food[season.products[product].food][week] += units;
        slope.work[week] -= units * season.products[product].minutes_per_unit;
        if let Some(row) = context.variety.of_product[product] {
            slope.variety[row][week] -= units;
        }
    };
    for &(class, units) in &context.classes.in_store {
        eat(&mut slope, class, units, 1.0);
    }
    for (group, path) in paths.iter().enumerate() {
        let strips = context.count(group) as f64;
        let bed = season.groups[group].bed;
        let share = strips / f64::from(season.beds[bed].strips);
        let terrain = &context.terrains.list[context.terrains.of_bed[bed]];
        for &c in &path.candidates {
            let candidate = &season.candidates[c];
            begun[c] += strips;
            for &(class, units) in &context.classes.of_candidate[c] {
                eat(&mut slope, class, units, strips);
            }
            for &(week, minutes) in &candidate.work {
                slope.work[week] -= minutes * strips;
            }
            for s in &candidate.shelf {
                slope.shelf[usize::from(s.lit)][s.week] -= s.m2 * strips;
            }
            for (offset, &state) in candidate.states.iter().enumerate() {
                let week = (candidate.start + offset) % season.weeks;
                *strips_under.entry((bed, week, state)).or_default() += share;
            }
            for p in &candidate.plants {
                slope.plants[p.of] -= p.plants * strips;
            }
            for a in terrain.served(c) {
                slope.always[a] += strips * season.always[a].per_strip(&season.kinds[terrain.kind]);
            }
        }
    }
    let lies = lying(context, prices, &strips_under);
    for (&(_, week, state), share) in &lies {
        if state != BARE {
            slope.cover[usize::from(state) - 1][week] -= share;
        }
    }
    let share = |bed: usize, week: usize, state: CoverState| {
        lies.get(&(bed, week, state)).copied().unwrap_or(0.0)
    };
    let grown =
        |terms: &[(usize, f64)]| -> f64 { terms.iter().map(|&(c, units)| units * begun[c]).sum() };
    let table = |food: usize, side: Side, first: usize, last: usize| -> f64 {
        match side {
            Side::Wish => -taken[food][first..=last].iter().sum::<f64>(),
            Side::Floor => short[food][first..=last].iter().sum(),
        }
    };
    for (slot, row) in slope.rounding.iter_mut().zip(prices.roundings.iter()) {
        *slot = row.right + grown(&row.terms) + table(row.food, row.side, row.first, row.last);
    }
    for (slot, row) in (slope.cover_row_price.iter_mut()).zip(prices.cover_rows.iter()) {
        *slot = row.right + grown(&row.terms) + table(row.food, row.side, row.first, row.last);
        for lying in &row.lyings {
            *slot += row.units * share(lying.bed, lying.week, lying.state);
        }
    }
    for (slot, lid) in slope.lid_price.iter_mut().zip(prices.lids.iter()) {
        let strips = context.count(lid.group) as f64;
        let bed = season.groups[lid.group].bed;
        let begun = paths[lid.group].candidates.first();
        let under = begun.is_some_and(|&c| {
            season.candidates[c].standing.is_some()
                && state_of(season, c, lid.week) == Some(lid.state)
        });
        let under = if under { strips } else { 0.0 };
        *slot = strips * share(bed, lid.week, lid.state) - under;
    }
    for (slot, row) in slope.break_price.iter_mut().zip(prices.breaks.iter()) {
        *slot = row.strips - row.held(&begun);
    }
    slope.flat()
}

/// A bed, a week and what may lie there then.
type Place = (BedId, usize, CoverState);

/// What lies where, in shares of beds: what brings most there on all of a bed but for what strips have under
/// anything else.
fn lying(
    context: &Context,
    prices: &Prices,
    strips_under: &BTreeMap<Place, f64>,
) -> BTreeMap<Place, f64> {
    let best = CoverCosts::of(context.season, prices).lies;
    let mut lies = BTreeMap::new();
    let mut others: BTreeMap<(BedId, usize), f64> = BTreeMap::new();
    for (&(bed, week, state), &share) in strips_under {
        if state != best.get(&(bed, week)).copied().unwrap_or(BARE) {
            lies.insert((bed, week, state), share);
            *others.entry((bed, week)).or_default() += share;
        }
    }
    for bed in 0..context.season.beds.len() {
        for week in 0..context.season.weeks {
            let state = best.get(&(bed, week)).copied().unwrap_or(BARE);
            let others = others.get(&(bed, week)).copied().unwrap_or(0.0);
            lies.insert((bed, week, state), (1.0 - others).max(0.0));
        }
    }
    lies
}

/// The size of a usual price of each row, so that steps are alike in kg, litres and covers.
fn scales(context: &Context, prices: &Prices) -> Vec<f64> {
    let season = context.season;
    let mut scale = prices.clone();
    for (f, food) in season.foods.iter().enumerate() {
        scale.food[f].fill(food.price);
    }
    for (row, &(f, _)) in context.variety.rows.iter().enumerate() {
        scale.variety[row].fill(0.3 * season.foods[f].price);
    }
    scale.work.fill(if season.minutes_per_week.is_some() {
        season.minute_money.max(0.01)
    } else {
        0.0
    });
    for row in &mut scale.cover {
        row.fill(0.3); // money per cover and week, estimate
    }
    for row in &mut scale.shelf {
        row.fill(1.0); // money per m² and week, estimate
    }
    scale.plants.fill(0.1); // money per plant, estimate
    for (slot, rule) in scale.always.iter_mut().zip(&season.always) {
        *slot = 0.1 * rule.missing_money;
    }
    for (slot, row) in scale.rounding.iter_mut().zip(prices.roundings.iter()) {
        *slot = 0.3 * season.foods[row.food].price; // estimate, as for variety
    }
    for (slot, row) in (scale.cover_row_price.iter_mut()).zip(prices.cover_rows.iter()) {
        *slot = 0.3 * season.foods[row.food].price; // estimate, as for variety
    }
    scale.lid_price.fill(0.3); // money per strip and week, estimate
    scale.break_price.fill(0.3); // money per strip and week, estimate
    scale.flat()
}
