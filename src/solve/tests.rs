//! The parts of the search against second opinions.
//!
//! Sources of truth: microlp's optimum of the same small linear programme, written here from
//! docs/method/programme.md; the exact search over the form by beds (itself checked against plain
//! branch and bound in tests/programme.rs); the inequalities of docs/method/bound.md, which hold
//! for any plan. All seasons are random.

use super::ascent::ascend;
use super::bound::{best_table, bound};
use super::compact::{Compact, Relaxed, relax};
use super::context::Context;
use super::draft::Draft;
use super::exact::{Better, ExactLimits, MOST_COLUMNS, exact};
use super::finish::finish;
use super::improve::Improver;
use super::interior::Midway;
use super::larder::{Larder, band};
use super::leave_out::needless;
use super::linear::{self, Limits};
use super::separate::Separator;
use super::{Options, Progress, Watch, solve};
use crate::candidates::{BARE, LevelBand, Season};
use crate::programme::{Form, Goal, Programme, Sense, lay_out};
use crate::strips::{Prices, Tolls};
use bedweek::test_season::{SeasonOptions, random_season};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

mod cover_rows;
mod division;
mod ended;
mod exchange;
mod remembered;
mod shown;
mod standing;

/// A clock that runs at every look, as a busy machine's would, and nobody to interrupt.
#[derive(Default)]
struct Restless(AtomicU32);

impl Watch for Restless {
    fn seconds(&self) -> f64 {
        f64::from(self.0.fetch_add(1, Ordering::Relaxed))
    }
    fn interrupted(&self) -> bool {
        false
    }
    fn progress(&self, _: Progress) {}
}

/// Everything switched on; every other season has a work limit, every third no band.
fn small(seed: u64) -> Season {
    let options = SeasonOptions {
        work_limit: seed % 2 == 1,
        level: seed % 3 != 2,
        ..SeasonOptions::small()
    };
    random_season(seed, 2, 2, 8, 44, options)
}

/// Room for the exact search's own tolerance.
fn slack(worth: f64) -> f64 {
    2e-6 * worth.abs().max(1.0)
}

/// The best of all plans without some candidates.
fn optimum(season: &Season, excluded: &[bool]) -> Better {
    let watch = Restless::default();
    let found =
        exact(season, excluded, -1e6, None, ExactLimits::default(), &watch).expect("small enough");
    assert!(found.finished);
    found.better.expect("idle ground is a plan")
}

fn bound_at(context: &Context, prices: &Prices) -> f64 {
    bound(context, prices, &context.price(prices, None, true))
}

/// A draft on bare beds after some passes over all strips.
fn drafted(context: &Context, larder: &Larder, seed: u64) -> Draft {
    let season = context.season;
    let bare = vec![vec![BARE; season.weeks]; season.beds.len()];
    let mut draft = Draft::idle(context, larder, bare);
    let mut improver = Improver::new(context, larder, &draft, &[], seed);
    for _ in 0..2 {
        improver.sweep(&mut draft, None, 0.3);
    }
    draft
}

/// Kept up to date change by change, a draft costs what it costs built afresh.
fn costs_the_same_built_afresh(context: &Context, larder: &Larder, draft: &Draft, seed: u64) {
    let mut fresh = Draft::idle(context, larder, draft.masks.clone());
    for (group, years) in draft.years.iter().enumerate() {
        for (strip, year) in years.iter().enumerate() {
            fresh.replace(context, larder, group, strip, year.clone());
        }
    }
    let (kept, fresh) = (draft.fixed_cost(context), fresh.fixed_cost(context));
    assert!((kept - fresh).abs() < 1e-6, "seed {seed}: {kept} {fresh}");
}

/// Prices of all sizes, some below nothing before they are clamped.
fn random_prices(context: &Context, random: &mut ChaCha8Rng) -> Prices {
    let mut prices = Prices::zero(context.season, &context.variety);
    let size = random.random_range(0.1..3.0);
    let flat: Vec<f64> = prices
        .flat()
        .iter()
        .map(|_| random.random_range(-0.5 * size..size))
        .collect();
    prices.set_flat(&flat);
    prices.clamp(context.season);
    prices
}

#[test]
fn no_plan_is_worth_more_than_the_bound_at_any_prices() {
    let mut roundings = 0;
    for seed in 0..10 {
        let season = small(seed);
        let context = Context::new(&season);
        let larder = Larder::of(&context);
        let mut plans = vec![optimum(&season, &vec![false; season.candidates.len()]).worth];
        for draft in [1, 2].map(|s| drafted(&context, &larder, s)) {
            plans.push(draft.worth(&context).expect("drafts keep the limits"));
            plans.push(finish(&context, &draft).unwrap().worth);
        }
        let best = plans[0];
        for worth in &plans {
            assert!(*worth <= best + slack(best), "seed {seed}: {plans:?}");
        }
        let (mut compact, relaxed) = relaxed(&context);
        let found = Separator::of(&context).find(&context, &relaxed);
        roundings += found.len();
        compact.roundings = Arc::new(found);
        let rounded = cold(&context, &compact);
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let mut all = vec![
            Prices::zero(&season, &context.variety),
            relaxed.prices,
            rounded.prices,
        ];
        all.extend((0..20).map(|_| random_prices(&context, &mut random)));
        let near: Vec<Prices> = (0..20)
            .map(|_| {
                let mut random_too = random_prices(&context, &mut random);
                random_too.roundings = all[2].roundings.clone();
                random_too.rounding = all[2]
                    .rounding
                    .iter()
                    .map(|_| random.random_range(0.0..2.0))
                    .collect();
                all[2].blend(&random_too, 0.9)
            })
            .collect();
        all.extend(near);
        for (n, prices) in all.iter().enumerate() {
            let bound = bound_at(&context, prices);
            assert!(
                bound >= best - slack(best),
                "seed {seed}, prices {n}: {bound} below the plan worth {best}"
            );
        }
    }
    assert!(roundings > 20, "{roundings}");
}

/// From where a relaxation with fewer plantings, or without rows, was midway, the optimum is the same.
#[test]
fn relaxations_that_begin_midway_end_where_others_do() {
    let mut begun = 0;
    for seed in 0..30 {
        let season = small(seed);
        let context = Context::new(&season);
        let some: Vec<usize> = (0..season.candidates.len()).step_by(2).collect();
        let [mut few, mut all] = [Midway::default(), Midway::default()];
        let compact = Compact::of(&context, [&some]);
        relax(&context, &compact, &mut few, 1e-7, &|| true).unwrap();
        let (mut compact, point) = relaxed(&context);
        relax(&context, &compact, &mut all, 1e-7, &|| true).unwrap();
        let found = Separator::of(&context).find(&context, &point);
        compact.roundings = Arc::new(found);
        let rounded = cold(&context, &compact);
        for mut midway in [few, all].into_iter().filter(Midway::is_somewhere) {
            let again = relax(&context, &compact, &mut midway, 1e-7, &|| true).unwrap();
            let off = (again.worth - rounded.worth).abs();
            assert!(off < slack(rounded.worth), "seed {seed}: {off}");
            begun += 1;
        }
    }
    assert!(begun > 10, "{begun}");
}

/// The relaxation over all candidates.
fn relaxed(context: &Context) -> (Compact, Relaxed) {
    let all: Vec<usize> = (0..context.season.candidates.len()).collect();
    let compact = Compact::of(context, [&all]);
    let relaxed = cold(context, &compact);
    (compact, relaxed)
}

/// A relaxation that begins nowhere.
fn cold(context: &Context, compact: &Compact) -> Relaxed {
    relax(context, compact, &mut Midway::default(), 1e-7, &|| true).unwrap()
}

/// The best table of a week as a programme, for microlp.
fn table_by_lp(season: &Season, prices: &Prices, tolls: &Tolls, week: usize) -> f64 {
    let mut p = Programme::new("table", Goal::Maximise);
    let (low, high, below) = match &season.level {
        Some(level) => (level.low[week], level.high[week], level.below_cost),
        None => (0.0, 1e6, 0.0),
    };
    let mut total = Vec::new();
    for (f, food) in season.foods.iter().enumerate() {
        let margin = food.price - prices.food[f][week] - tolls.eaten[f][week];
        let eaten = p.column(&["eaten"], (0.0, food.wish[week]), margin);
        let short = p.column(
            &["short"],
            (0.0, food.floor[week]),
            tolls.short[f][week] - food.short_cost[week],
        );
        let floor = vec![(eaten, 1.0), (short, 1.0)];
        p.row(None, &["floor"], floor, Sense::AtLeast, food.floor[week]);
        total.push((eaten, food.price));
    }
    p.row(None, &["high"], total.clone(), Sense::AtMost, high);
    total.push((p.column(&["low"], (0.0, 1e6), -below), 1.0));
    p.row(None, &["low"], total, Sense::AtLeast, low);
    linear::solve(&p, Limits::default(), None)
        .unwrap()
        .check
        .objective
}

#[test]
fn the_best_table_is_the_optimum_of_its_programme() {
    let mut random = ChaCha8Rng::seed_from_u64(7);
    let (mut free, mut unbanded) = (0, 0);
    for seed in 0..150 {
        let mut season = random_season(seed, 2, 2, 6, 4, SeasonOptions::bare(5));
        for food in &mut season.foods {
            food.price = random.random_range(0.5..4.0);
            if random.random_range(0..5) == 0 {
                food.price = 0.0;
                free += 1;
            }
            let weeks = food.short_cost.len();
            food.short_cost = vec![random.random_range(0.0..6.0); weeks];
            food.wish = (0..4).map(|_| random.random_range(0.0..5.0)).collect();
            let share = random.random_range(0.0..1.0);
            food.floor = food.wish.iter().map(|wish| share * wish).collect();
        }
        if random.random_range(0..3) > 0 {
            let low: Vec<f64> = (0..4).map(|_| random.random_range(0.0..25.0)).collect();
            let more = random.random_range(0.0..10.0);
            season.level = Some(LevelBand {
                high: low.iter().map(|low| low + more).collect(),
                low,
                below_cost: random.random_range(0.0..2.0),
            });
        } else {
            unbanded += 1;
        }
        let context = Context::new(&season);
        let mut prices = Prices::zero(&season, &context.variety);
        for row in &mut prices.food {
            row.iter_mut()
                .for_each(|p| *p = random.random_range(-1.0..6.0));
        }
        prices.clamp(&season);
        let mut tolls = Tolls::of(&season, &prices);
        for (eaten, short) in tolls.eaten.iter_mut().zip(&mut tolls.short) {
            eaten
                .iter_mut()
                .for_each(|p| *p = random.random_range(0.0..1.0));
            short
                .iter_mut()
                .for_each(|p| *p = random.random_range(0.0..4.0));
        }
        for week in 0..4 {
            let mut eaten = vec![0.0; season.foods.len()];
            let worth = best_table(&context, &prices, &tolls, week, &mut eaten);
            let best = table_by_lp(&season, &prices, &tolls, week);
            assert!(
                (worth - best).abs() < 1e-6,
                "seed {seed}, week {week}: {worth}, by microlp {best}"
            );
            // What it says is eaten brings just that.
            let (low, high, below) = band(&context, week);
            let (mut brought, mut total) = (0.0, 0.0);
            for (f, food) in season.foods.iter().enumerate() {
                assert!((0.0..=food.wish[week] + 1e-9).contains(&eaten[f]));
                let (toll, relief) = (tolls.eaten[f][week], tolls.short[f][week]);
                brought += (food.price - prices.food[f][week] - toll) * eaten[f];
                // With relief above its cost the whole floor is short.
                let short = if relief > food.short_cost[week] {
                    food.floor[week]
                } else {
                    (food.floor[week] - eaten[f]).max(0.0)
                };
                brought -= (food.short_cost[week] - relief) * short;
                total += food.price * eaten[f];
            }
            brought -= below * (low - total).max(0.0);
            assert!(total <= high + 1e-9);
            assert!((brought - worth).abs() < 1e-6, "{brought} {worth}");
        }
    }
    assert!(free > 50 && unbanded > 20);
}

/// Prices as good as the search has them, and the bound at them.
fn good_prices(context: &Context, target: f64) -> (Prices, f64) {
    let start = relaxed(context).1.prices;
    let better = ascend(context, &start, |_| target, 100, |_| true);
    (better.prices, better.bound)
}

#[test]
fn leaving_out_what_is_needless_costs_nothing() {
    let (mut left_out, mut fell) = (0, 0);
    for seed in 0..20 {
        let season = random_season(seed, 2, 2, 6, 30, SeasonOptions::small());
        let context = Context::new(&season);
        let best = optimum(&season, &vec![false; season.candidates.len()]);
        let (prices, whole) = good_prices(&context, best.worth);
        // Against a plan hardly worth less than the best.
        let known = best.worth - 2.0 * slack(best.worth);
        let out = needless(&context, &prices, whole, known);
        left_out += out.iter().filter(|&&o| o).count();
        let without = optimum(&season, &out).worth;
        assert!(
            (without - best.worth).abs() <= slack(best.worth),
            "seed {seed}: {without} without, {} with all",
            best.worth
        );
        // What it keeps may well be missed: a planting of the best plan, for one.
        let used = best.strips.iter().flatten().flatten();
        let mut planted = used.filter(|&&c| season.candidates[c].standing.is_none());
        if let Some(&c) = planted.next() {
            let mut out = vec![false; season.candidates.len()];
            out[c] = true;
            fell += usize::from(optimum(&season, &out).worth < best.worth - slack(best.worth));
        }
    }
    assert!(left_out > 5, "only {left_out} were left out");
    assert!(
        fell > 2,
        "a planting of the best plan was missed {fell} times"
    );
}

#[test]
fn no_plan_holds_what_is_needless_against_a_worse_one() {
    // Money that makes the best plan hold a certain candidate.
    const BAIT: f64 = 1000.0;
    let (mut plans, mut flagged) = (0, 0);
    for seed in 0..3 {
        let season = small(seed);
        let context = Context::new(&season);
        let best = optimum(&season, &vec![false; season.candidates.len()]).worth;
        let (prices, whole) = good_prices(&context, best);
        for c in (0..season.candidates.len()).step_by(9) {
            let mut baited = season.clone();
            baited.candidates[c].cost -= BAIT;
            let plan = optimum(&baited, &vec![false; season.candidates.len()]);
            let all: Vec<usize> = plan.strips.iter().flatten().flatten().copied().collect();
            let times = all.iter().filter(|&&held| held == c).count();
            if times == 0 {
                continue; // stands nowhere, or may not be begun
            }
            let worth = plan.worth - BAIT * times as f64;
            let known = worth - 1e-3;
            let out = needless(&context, &prices, whole, known);
            let wrong = all.iter().find(|&&held| out[held]);
            assert!(
                wrong.is_none(),
                "seed {seed}: a plan worth {worth} holds {wrong:?}"
            );
            plans += 1;
            // The test means something where a somewhat better plan would rule it out.
            flagged += usize::from(needless(&context, &prices, whole, whole)[c]);
        }
    }
    assert!(plans > 6 && flagged > 1, "{flagged} of {plans}");
}

#[test]
fn the_same_season_gives_the_same_answer_however_busy_the_machine() {
    for seed in 0..3 {
        let season = random_season(seed, 3, 3, 9, 40, SeasonOptions::small());
        let options = Options {
            gap: 0.0,
            seconds: None,
            work: Some(400),
        };
        // Whole answers are compared; only the clock may differ.
        let [one, two] = [0, 1].map(|_| {
            let mut answer = solve(&season, &options, &Restless::default());
            answer.seconds = 0.0;
            answer
        });
        assert_eq!(one, two, "seed {seed}");
        assert!(one.worth <= one.bound);
    }
}

#[test]
fn the_search_brackets_the_exact_optimum() {
    for seed in 0..4 {
        let season = small(seed);
        let best = optimum(&season, &vec![false; season.candidates.len()]).worth;
        let options = Options {
            gap: 0.0,
            seconds: None,
            work: Some(300),
        };
        let answer = solve(&season, &options, &Restless::default());
        let (worth, bound) = (answer.worth, answer.bound);
        assert!(worth <= best + slack(best), "seed {seed}: {worth} {best}");
        assert!(bound >= best - slack(best), "seed {seed}: {bound} {best}");
    }
}

#[test]
fn the_search_keeps_to_the_limit_of_work() {
    /// Both sides of the column that the exact search tries when the limit is met.
    const AT_ONCE: u64 = 2;
    for seed in 0..5 {
        let season = random_season(seed, 3, 3, 9, 40, SeasonOptions::small());
        let with = |work| {
            let options = Options {
                gap: 0.0,
                seconds: None,
                work,
            };
            solve(&season, &options, &Restless::default())
        };
        let whole = with(None);
        assert_eq!(whole.status, super::Status::Optimal, "seed {seed}");
        // The exact search comes last: an eighth is cut off it.
        let limit = whole.work - whole.work / 8;
        let answer = with(Some(limit));
        assert_eq!(answer.status, super::Status::WorkLimit, "seed {seed}");
        let most = limit + AT_ONCE;
        assert!(
            answer.work <= most,
            "seed {seed}: {} of {most}",
            answer.work
        );
        assert!(answer.worth <= whole.worth + slack(whole.worth));
        assert!(answer.bound >= whole.worth - slack(whole.worth));
    }
}

#[test]
fn a_programme_too_large_is_not_searched() {
    let season = random_season(0, 8, 4, 120, 52, SeasonOptions::small());
    let none = vec![false; season.candidates.len()];
    let (programme, _) = lay_out(&season, Form::Bed, &|_| true);
    let columns = programme.columns.len();
    assert!(columns > MOST_COLUMNS, "{columns} columns");
    let found = exact(
        &season,
        &none,
        0.0,
        None,
        ExactLimits::default(),
        &Restless::default(),
    );
    assert_eq!(found, None);
    let season = small(0);
    let none = vec![false; season.candidates.len()];
    let searched = |columns| {
        let limits = ExactLimits {
            columns,
            ..ExactLimits::default()
        };
        exact(&season, &none, -1e6, None, limits, &Restless::default()).is_some()
    };
    assert!(searched(None) && !searched(Some(10)) && searched(Some(MOST_COLUMNS)));
}
