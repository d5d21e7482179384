//! Divisions of supply from change to change, the last one, and drafts that change and change back.
//!
//! Sources of truth: microlp's optimum of the table's programme, written here from
//! docs/method/programme.md, and every row counted again from the draws. All seasons are random.

use super::{costs_the_same_built_afresh, drafted, slack, small};
use crate::programme::{Goal, Programme, Sense};
use crate::solve::context::Context;
use crate::solve::finish::finish;
use crate::solve::larder::{Larder, band};
use crate::solve::linear::{self, Limits};
use crate::solve::supply::Supply;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// The best division of what is grown, by microlp: worth of the table, money.
fn division_by_lp(context: &Context, grown: &[f64]) -> f64 {
    let season = context.season;
    let mut p = Programme::new("division", Goal::Maximise);
    let mut eaten = vec![vec![Vec::new(); season.weeks]; season.foods.len()];
    let mut by_crop = vec![vec![Vec::new(); season.weeks]; context.variety.rows.len()];
    for (class, units) in context.classes.list.iter().zip(grown) {
        let product = &season.products[class.product];
        let mut used = Vec::new();
        for week in class.from..=class.until {
            let work = product.minutes_per_unit * season.minute_money;
            let draw = p.column(&["draw"], (0.0, 1e6), -work);
            used.push((draw, class.used_per_unit(week, season)));
            eaten[product.food][week].push((draw, 1.0));
            if let Some(row) = context.variety.of_product[class.product] {
                by_crop[row][week].push((draw, 1.0));
            }
        }
        p.row(None, &["lot"], used, Sense::AtMost, *units);
    }
    for (row, &(f, _)) in context.variety.rows.iter().enumerate() {
        let food = &season.foods[f];
        for week in 0..season.weeks {
            let most = food.single_crop_share * food.wish[week];
            let terms = by_crop[row][week].clone();
            p.row(None, &["variety"], terms, Sense::AtMost, most);
        }
    }
    for week in 0..season.weeks {
        let (low, high, below) = band(context, week);
        let mut total = Vec::new();
        for (f, food) in season.foods.iter().enumerate() {
            let all = p.column(&["eaten"], (0.0, food.wish[week]), food.price);
            let mut sum = std::mem::take(&mut eaten[f][week]);
            sum.push((all, -1.0));
            p.row(None, &["supply"], sum, Sense::Equal, 0.0);
            let short = p.column(&["short"], (0.0, 1e6), -food.short_cost[week]);
            let floor = vec![(all, 1.0), (short, 1.0)];
            p.row(None, &["floor"], floor, Sense::AtLeast, food.floor[week]);
            total.push((all, food.price));
        }
        p.row(None, &["high"], total.clone(), Sense::AtMost, high.min(1e6));
        total.push((p.column(&["low"], (0.0, 1e6), -below), 1.0));
        p.row(None, &["low"], total, Sense::AtLeast, low);
    }
    linear::solve(&p, Limits::default(), None)
        .unwrap()
        .check
        .objective
}

/// Every row that speaks of eating, counted again from the draws; the worth of the table.
fn recount(context: &Context, supply: &Supply) -> f64 {
    const ROUNDING: f64 = 1e-6;
    let season = context.season;
    let mut used = vec![0.0; supply.grown.len()];
    let mut eaten = vec![vec![0.0; season.weeks]; season.foods.len()];
    let mut by_crop = vec![vec![0.0; season.weeks]; context.variety.rows.len()];
    let mut worth = 0.0;
    for &(class, week, units) in supply.draws.iter().flatten() {
        let lots = &context.classes.list[class as usize];
        assert!(units >= 0.0 && (lots.from..=lots.until).contains(&week));
        let product = &season.products[lots.product];
        used[class as usize] += units * lots.used_per_unit(week, season);
        eaten[product.food][week] += units;
        worth -= units * product.minutes_per_unit * season.minute_money;
        if let Some(row) = context.variety.of_product[lots.product] {
            by_crop[row][week] += units;
        }
    }
    for (used, grown) in used.iter().zip(&supply.grown) {
        assert!(*used <= grown + ROUNDING, "{used} used of {grown}");
    }
    for (row, &(f, _)) in context.variety.rows.iter().enumerate() {
        let food = &season.foods[f];
        for week in 0..season.weeks {
            let most = food.single_crop_share * food.wish[week];
            assert!(by_crop[row][week] <= most + ROUNDING);
        }
    }
    for week in 0..season.weeks {
        let (low, high, below) = band(context, week);
        let mut total = 0.0;
        for (f, food) in season.foods.iter().enumerate() {
            let units = eaten[f][week];
            assert!((units - supply.eaten[f][week]).abs() < ROUNDING);
            assert!(units <= food.wish[week] + ROUNDING);
            total += food.price * units;
            worth -= food.short_cost[week] * (food.floor[week] - units).max(0.0);
        }
        assert!(total <= high + ROUNDING && (total - supply.total[week]).abs() < ROUNDING);
        worth += total - below * (low - total).max(0.0);
    }
    worth
}

/// All figures of a division that can be seen.
fn figures(context: &Context, supply: &Supply) -> String {
    let Supply {
        grown,
        eaten,
        total,
        harvest,
        by_crop,
        draws,
        ..
    } = supply;
    let worth = supply.worth(context);
    format!("{grown:?} {eaten:?} {total:?} {harvest:?} {by_crop:?} {draws:?} {worth:?}")
}

#[test]
fn a_division_keeps_every_limit_and_comes_near_the_best_one() {
    let (mut quick_all, mut best_all) = (0.0, 0.0);
    for seed in 0..12 {
        let season = small(seed);
        let context = Context::new(&season);
        let larder = Larder::of(&context);
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let mut supply = Supply::none(&context);
        let classes = context.classes.list.len() as u32;
        let idle = supply.worth(&context);
        for round in 0..40 {
            // Some lots more, some less, as when plantings are exchanged.
            let changes: Vec<(u32, f64)> = (0..random.random_range(1..4))
                .map(|_| {
                    let class = random.random_range(0..classes);
                    (class, random.random_range(-2.0..6.0))
                })
                .collect();
            let before = figures(&context, &supply);
            let undo = supply.change(&context, &larder, &changes);
            let worth = recount(&context, &supply);
            let told = supply.worth(&context);
            assert!((worth - told).abs() < 1e-6, "seed {seed}: {worth} {told}");
            if round % 2 == 1 {
                supply.restore(&larder, undo);
                assert_eq!(figures(&context, &supply), before, "seed {seed}");
            }
        }
        let (quick, best) = (
            supply.worth(&context),
            division_by_lp(&context, &supply.grown),
        );
        assert!(quick <= best + 1e-6, "seed {seed}: {quick} {best}");
        quick_all += quick - idle;
        best_all += best - idle;
    }
    // Measured: 0.9994.
    assert!(quick_all > 0.999 * best_all, "{quick_all} of {best_all}");
}

#[test]
fn prices_say_what_a_change_can_bring_at_most() {
    const ROUNDING: f64 = 1e-6;
    let mut exactly = 0;
    for seed in (0..12).step_by(3) {
        let season = small(seed);
        let context = Context::new(&season);
        let larder = Larder::of(&context);
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let mut supply = Supply::none(&context);
        let classes = context.classes.list.len() as u32;
        for _ in 0..20 {
            // About as much as is wanted of a food in some weeks, or less of what is grown.
            let changes: Vec<(u32, f64)> = (0..random.random_range(1..4))
                .map(|_| {
                    let class = random.random_range(0..classes);
                    let grown = supply.grown[class as usize];
                    (class, random.random_range(-grown.min(0.5)..=0.2))
                })
                .collect();
            for food in 0..season.foods.len() {
                supply.divide(&context, &larder, food);
            }
            let before = division_by_lp(&context, &supply.grown);
            let most = supply.at_most(&context, &larder, &changes);
            // What the division leaves is won without any change.
            let left = (before - supply.worth(&context)).max(0.0);
            supply.change(&context, &larder, &changes);
            let gain = division_by_lp(&context, &supply.grown) - before;
            assert!(
                gain <= most + left + ROUNDING,
                "seed {seed}: {gain} {most} {left}"
            );
            exactly += i32::from(gain.abs() > ROUNDING && most - gain < ROUNDING);
        }
    }
    // Small changes are worth just what the prices say.
    assert!(exactly >= 3, "{exactly}");
}

#[test]
fn a_finished_draft_has_the_best_division() {
    for seed in (0..12).step_by(2) {
        let season = small(seed);
        let context = Context::new(&season);
        let larder = Larder::of(&context);
        let draft = drafted(&context, &larder, seed);
        let best = division_by_lp(&context, &draft.supply.grown) - draft.fixed_cost(&context);
        let finished = finish(&context, &draft).unwrap().worth;
        let quick = draft.worth(&context).unwrap();
        assert!(quick <= finished + 1e-6, "seed {seed}: {quick} {finished}");
        assert!(
            (finished - best).abs() < slack(best),
            "seed {seed}: {finished}, by microlp {best}"
        );
    }
}

#[test]
fn a_year_taken_back_leaves_the_draft_as_it_was() {
    let mut exchanged = 0;
    for seed in 0..12 {
        let season = small(seed);
        let context = Context::new(&season);
        let larder = Larder::of(&context);
        let mut draft = drafted(&context, &larder, seed);
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        for _ in 0..40 {
            let group = random.random_range(0..season.groups.len());
            let strip = random.random_range(0..context.count(group));
            let bed = season.groups[group].bed;
            let choice = &context.terrains.list[context.terrains.of_bed[bed]].candidates;
            let mut year = draft.years[group][strip].clone();
            year.truncate(usize::from(season.groups[group].standing.is_some()));
            if !choice.is_empty() {
                year.push(choice[random.random_range(0..choice.len())]);
                exchanged += 1;
            }
            let before = (
                draft.years.clone(),
                draft.cost.to_bits(),
                figures(&context, &draft.supply),
            );
            let (shelf, always) = (draft.shelf.clone(), draft.always.clone());
            let minutes: Vec<f64> = (0..season.weeks).map(|w| draft.other_minutes(w)).collect();
            let replaced = draft.replace(&context, &larder, group, strip, year);
            draft.restore(&context, &larder, replaced);
            let after = (
                draft.years.clone(),
                draft.cost.to_bits(),
                figures(&context, &draft.supply),
            );
            assert_eq!(before, after, "seed {seed}");
            assert_eq!(always, draft.always);
            // These are added and taken away again: rounding may stay behind.
            let near = |a: &[f64], b: &[f64]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-9);
            assert!(near(&shelf[0], &draft.shelf[0]) && near(&shelf[1], &draft.shelf[1]));
            let now: Vec<f64> = (0..season.weeks).map(|w| draft.other_minutes(w)).collect();
            assert!(near(&minutes, &now));
        }
        costs_the_same_built_afresh(&context, &larder, &draft, seed);
    }
    assert!(exchanged > 200);
}
