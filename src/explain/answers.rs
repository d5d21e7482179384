//! The searches of a plan carried on: what becomes of it if it is left as it is, its repair, and the
//! year freely redrawn.

use super::steady::steady;
use crate::candidates::{self, Decided, Season};
use crate::domain::{Changes, Scenario};
use crate::plan::YearPlan;
use crate::solve::{self, Answer, Given, Options, Watch};
use crate::strips::Prices;

/// The free redraw, which only shows what the repair gives up, has what the repair left of its clock
/// limit, but at least this share of it.
const REDRAW_SHARE: f64 = 1.0 / 3.0;
/// Likewise what finds out which clearings may stay as they were (estimate).
const STEADY_SHARE: f64 = 1.0 / 4.0;

/// What the searches gave.
pub struct ThreeAnswers {
    pub season: Season,
    /// The plan as it was decided on, as far as it still holds.
    pub decided: Decided,
    /// `None` where shelf or work do not suffice for it any more.
    pub as_it_is: Option<Answer>,
    pub repaired: Answer,
    /// The prices that the repair's bound rests on; `None` where the search was cut short before it had
    /// any.
    pub prices: Option<Prices>,
    /// The scenario in which changes are free, and its season.
    pub free: Scenario,
    pub free_season: Season,
    /// Never worth less than the repair.
    pub redrawn: Answer,
}

/// Searches for the three answers. `scenario` carries `old` on, and `season` is its season. Of
/// divisions of the supply that are worth the same each answer has the one nearest to what `old` puts
/// on the table.
///
/// # Panics
/// Where the season has no plan at all, see [`solve::possible`].
pub fn three_answers(
    scenario: &Scenario,
    season: Season,
    old: &YearPlan,
    options: &Options,
    watch: &dyn Watch,
) -> ThreeAnswers {
    let began = watch.seconds();
    let until = |share: f64| Options {
        seconds: (options.seconds)
            .map(|limit| (began + limit).max(watch.seconds() + share * limit)),
        ..*options
    };
    let meant = meant(scenario, old);
    let decided = candidates::decided(scenario, &season);
    let as_it_is = solve::evaluate_near(&season, given(&decided), &meant, watch);
    let (repaired, prices) = solve::mend(&season, &until(1.0), watch, given(&decided));
    let limit = until(STEADY_SHARE).seconds;
    let repaired = steady(&season, repaired, &decided, prices.as_ref(), (limit, watch));
    let repaired = near(&season, repaired, &meant, watch);
    let free = freely(scenario);
    let free_season = candidates::season(&free);
    let redrawn = redraw(
        (&season, &repaired, prices.as_ref()),
        &free_season,
        &until(REDRAW_SHARE),
        watch,
    );
    ThreeAnswers {
        as_it_is: as_it_is.map(|answer| Answer {
            bound: repaired.bound.max(answer.worth),
            ..answer
        }),
        redrawn: near(&free_season, redrawn, &meant, watch),
        season,
        decided,
        repaired,
        prices,
        free,
        free_season,
    }
}

fn given(decided: &Decided) -> Given<'_> {
    Given {
        strips: &decided.strips,
        covers: &decided.covers,
    }
}

/// What the old plan puts on the table in the weeks that are left, by food and week.
fn meant(scenario: &Scenario, old: &YearPlan) -> Vec<Vec<f64>> {
    let of_food = |name: &str| old.supply.iter().find(|supply| supply.food == name);
    let foods = scenario.foods.iter().map(|food| {
        let supply = of_food(&food.name);
        let in_week = |w: usize| {
            let week = scenario.week(w);
            let there = supply.and_then(|s| s.weeks.iter().find(|s| s.week == week));
            there.map_or(0.0, |there| there.eaten)
        };
        (0..scenario.horizon()).map(in_week).collect()
    });
    foods.collect()
}

/// The answer with its supply divided as near as can be to what was meant.
fn near(season: &Season, answer: Answer, meant: &[Vec<f64>], watch: &dyn Watch) -> Answer {
    /// What the last digits of a division may take from the worth, share of it and money.
    const ROUNDING_SHARE: f64 = 1e-7;
    const ROUNDING: f64 = 1e-4;
    let given = Given {
        strips: &answer.strips,
        covers: &answer.covers,
    };
    let least = answer.worth - ROUNDING.max(ROUNDING_SHARE * answer.worth.abs());
    match solve::evaluate_near(season, given, meant, watch) {
        Some(near) if near.worth >= least => Answer {
            draws: near.draws,
            worth: near.worth,
            bound: answer.bound.max(near.worth),
            ..answer
        },
        _ => answer,
    }
}

/// The scenario in which changes cost nothing.
fn freely(scenario: &Scenario) -> Scenario {
    let mut free = scenario.clone();
    free.changes = Changes {
        drop_money_per_m2: 0.0,
        drop_bought_money_per_m2: 0.0,
        drop_begun_money_per_m2: 0.0,
        move_money_per_m2: 0.0,
        add_money_per_m2: 0.0,
    };
    free
}

/// The year redrawn, begun from the repair and, where there are any, its prices: they bound it as
/// well, and all of the time goes into the plan.
fn redraw(
    (season, repaired, prices): (&Season, &Answer, Option<&Prices>),
    free: &Season,
    options: &Options,
    watch: &dyn Watch,
) -> Answer {
    // Without the price of changes no planting stops being worth while, so that all find their place.
    let again = candidates::in_season(season, &repaired.strips, &repaired.covers, free);
    match (&again, prices) {
        (Some(again), Some(prices)) => {
            let prices = fitting(season, free, prices);
            solve::solve_with_prices(free, options, watch, given(again), &prices)
        }
        (again, _) => solve::solve_priced(free, options, watch, again.as_ref().map(given)).0,
    }
}

/// Prices for another season of the same scenario: rounding rows speak of plantings by number.
fn fitting(season: &Season, other: &Season, prices: &Prices) -> Prices {
    let names =
        |s: &Season| -> Vec<String> { s.candidates.iter().map(|c| c.name.clone()).collect() };
    match names(season) == names(other) {
        true => prices.clone(),
        false => prices.clone().without_rows(),
    }
}
