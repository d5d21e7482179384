//! Cover rows and lids: every plan keeps them, the bound at any prices of them is above every plan, and the relaxation
//! with them is not above the one without.
//!
//! Sources of truth: plans of the search, counted week by week here; the exact search's optimum. All seasons are random.

use super::{Restless, bound_at, cold, optimum, random_prices, relaxed, slack, small};
use crate::candidates::{BARE, CoverState, Season};
use crate::solve::context::Context;
use crate::solve::leave_out::needless;
use crate::solve::separate::Separator;
use crate::solve::{Answer, Options, solve};
use crate::strips::{
    CoverRow, Gives, Lid, Lying, Prices, Side, food_lots, standing_beds, state_of,
};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::sync::Arc;

/// A plan, some way from the best.
fn plan(season: &Season) -> Answer {
    let options = Options {
        gap: 0.0,
        seconds: None,
        work: Some(60),
    };
    solve(season, &options, &Restless::default())
}

/// What lies on a bed in a week of a plan.
fn lies(plan: &Answer, lying: &Lying) -> bool {
    plan.covers[lying.bed][lying.week] == lying.state
}

/// Some cover, or none, on some bed in some week.
fn any_lying(season: &Season, dice: &mut ChaCha8Rng) -> Lying {
    let states = CoverState::try_from(season.covers.len()).expect("covers are few");
    Lying {
        bed: dice.random_range(0..season.beds.len()),
        week: dice.random_range(0..season.weeks.min(20)),
        state: dice.random_range(BARE..=states),
    }
}

/// Units of a food that a plan eats in the weeks of a row.
fn eaten(season: &Season, plan: &Answer, row: &CoverRow) -> Vec<f64> {
    (row.first..=row.last)
        .map(|week| {
            let draws = plan
                .draws
                .iter()
                .filter(|draw| draw.week == week && season.products[draw.product].food == row.food);
            draws.map(|draw| draw.units).sum()
        })
        .collect()
}

/// By how much a plan keeps a row, without its lyings and with them; units of the food.
fn room(season: &Season, plan: &Answer, row: &CoverRow) -> (f64, f64) {
    let food = &season.foods[row.food];
    let table: f64 = (row.first..=row.last)
        .zip(eaten(season, plan, row))
        .map(|(week, eaten)| match row.side {
            Side::Wish => eaten,
            Side::Floor => -(food.floor[week] - eaten).max(0.0),
        })
        .sum();
    let begun = plan.strips.iter().flatten().flatten();
    let given: f64 = begun
        .filter_map(|c| row.terms.iter().find(|(of, _)| of == c))
        .map(|(_, units)| units)
        .sum();
    let without = row.right + given - table;
    let held = row.lyings.iter().filter(|l| lies(plan, l)).count() as f64;
    (without, without + row.units * held)
}

#[test]
fn every_plan_keeps_all_cover_rows() {
    const KEPT: f64 = -1e-6; // units
    let (mut rows, mut needed) = (0, 0);
    for seed in 0..12 {
        let season = small(seed);
        let beds = standing_beds(&season);
        let dice = &mut ChaCha8Rng::seed_from_u64(seed);
        let plan = plan(&season);
        for food in 0..season.foods.len() {
            let lots = food_lots(&season, food);
            for first in 0..season.weeks {
                let last = first + dice.random_range(0..8);
                let side = [Side::Wish, Side::Floor][first % 2];
                let Some(gives) = Gives::of(&season, &lots, food, side, (first, last)) else {
                    continue;
                };
                for _ in 0..8 {
                    let many = dice.random_range(1..4);
                    let mut lyings: Vec<Lying> =
                        (0..many).map(|_| any_lying(&season, dice)).collect();
                    lyings.sort();
                    lyings.dedup();
                    let row = gives.under(&season, &beds, lyings);
                    let (without, with) = room(&season, &plan, &row);
                    assert!(with > KEPT, "seed {seed}: {row:?} is broken by {with}");
                    rows += 1;
                    needed += usize::from(without < KEPT);
                }
            }
        }
    }
    assert!(
        needed > 50,
        "of {rows} rows {needed} hold by what lies there"
    );
}

#[test]
fn every_plan_keeps_all_lids() {
    let mut full = 0;
    for seed in 0..12 {
        let season = small(seed);
        let plan = plan(&season);
        for (group, it) in season.groups.iter().enumerate() {
            for week in 0..season.weeks {
                for state in 0..=CoverState::try_from(season.covers.len()).expect("few") {
                    let lid = Lid { group, week, state };
                    let under = (it.strips.iter())
                        .filter_map(|&s| plan.strips[it.bed][s as usize].first())
                        .filter(|&&c| season.candidates[c].standing.is_some())
                        .filter(|&&c| state_of(&season, c, week) == Some(state))
                        .count();
                    let bed = it.bed;
                    let most = match lies(&plan, &Lying { bed, week, state }) {
                        true => it.strips.len(),
                        false => 0,
                    };
                    assert!(under <= most, "seed {seed}: {under} strips under {lid:?}");
                    full += usize::from(under > 0);
                }
            }
        }
    }
    assert!(full > 100, "only {full} lids hold anything");
}

#[test]
fn the_bound_at_any_prices_of_cover_rows_and_lids_is_above_every_plan() {
    let (mut rows, mut lids, mut lower) = (0, 0, 0);
    for seed in 0..30 {
        let season = small(seed);
        let context = Context::new(&season);
        let best = optimum(&season, &vec![false; season.candidates.len()]).worth;
        let (mut compact, first) = relaxed(&context);
        let separator = Separator::of(&context);
        compact.cover_rows = Arc::new(separator.find_cover_rows(&context, &first));
        compact.lidded = separator.find_lids(&context, &first);
        let found = cold(&context, &compact);
        assert!(found.worth <= first.worth + slack(best), "seed {seed}");
        lower += usize::from(found.worth < first.worth - slack(best));
        rows += found.prices.cover_rows.len();
        lids += found.prices.lids.len();
        let dice = &mut ChaCha8Rng::seed_from_u64(seed);
        let mut all: Vec<Prices> = vec![found.prices];
        for n in 0..20 {
            let mut other = random_prices(&context, dice);
            let shared = &all[0];
            other.cover_rows = shared.cover_rows.clone();
            other.lids = shared.lids.clone();
            other.cover_row_price = random_list(shared.cover_row_price.len(), dice);
            other.lid_price = random_list(shared.lid_price.len(), dice);
            all.push(if n % 2 == 0 {
                other
            } else {
                all[0].blend(&other, 0.9)
            });
        }
        for (n, prices) in all.iter().enumerate() {
            let bound = bound_at(&context, prices);
            assert!(
                bound >= best - slack(best),
                "seed {seed}, prices {n}: {bound} below the plan worth {best}"
            );
        }
        // Prices of a season with more groups.
        let mut shifted = all[0].clone();
        shifted.lids = Arc::new(
            (shifted.lids.iter())
                .map(|lid| Lid {
                    group: lid.group + 1,
                    ..*lid
                })
                .collect(),
        );
        assert!(crate::solve::bound_at(&season, &shifted) >= best - slack(best));
        let worse = best - 1e-3;
        let out = needless(&context, &all[0], bound_at(&context, &all[0]), worse);
        let without = optimum(&season, &out).worth;
        assert!((without - best).abs() <= slack(best), "seed {seed}");
    }
    assert!(
        rows > 100 && lids > 60 && lower > 0,
        "{rows} {lids} {lower}"
    );
}

fn random_list(length: usize, dice: &mut ChaCha8Rng) -> Vec<f64> {
    (0..length).map(|_| dice.random_range(0.0..1.5)).collect()
}
