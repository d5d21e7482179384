//! The last word on a draft: its supply divided by linear programming, every limit kept exactly, its
//! worth reckoned afresh from the draws.

use super::answer::Draw;
use super::context::Context;
use super::draft::Draft;
use super::interior::Lp;
use super::larder::band;
use super::supply::Draws;
use super::table::Table;
use std::collections::BTreeMap;

/// A draft's draws and worth.
pub struct Finished {
    pub draws: Vec<Draw>,
    pub worth: f64,
}

/// Accuracy asked of the last division, a share of the worth.
const ACCURACY: f64 = 1e-9;

/// Divides the draft's supply, by linear programming or, should that be worse, as the draft does;
/// `None` where the draft breaks a limit.
pub fn finish(context: &Context, draft: &Draft) -> Option<Finished> {
    if !draft.has_room(context) {
        return None;
    }
    let quick: Draws = draft.supply.draws.iter().flatten().copied().collect();
    let mut best = settle(context, draft, &quick);
    if let Some(draws) = divide(context, draft, None) {
        let exact = settle(context, draft, &draws);
        if exact.1 > best.1 {
            best = exact;
        }
    }
    Some(told(context, best))
}

/// The same, with what is eaten as near to `meant` (units, by food and week) as the worth allows:
/// many divisions are worth the same.
pub fn finish_near(context: &Context, draft: &Draft, meant: &[Vec<f64>]) -> Option<Finished> {
    /// What may be lost of the worth: as much as the accuracy leaves open, money and share of it.
    const OPEN: f64 = 1e-4;
    const OPEN_SHARE: f64 = 1e-7;
    let best = finish(context, draft)?;
    let Some(draws) = divide(context, draft, Some(meant)) else {
        return Some(best);
    };
    let near = settle(context, draft, &draws);
    let open = OPEN.max(OPEN_SHARE * best.worth.abs());
    Some(match near.1 >= best.worth - open {
        true => told(context, near),
        false => best,
    })
}

fn told(context: &Context, (draws, worth): (Draws, f64)) -> Finished {
    let draw = |(class, week, units): (u32, usize, f64)| {
        let lots = &context.classes.list[class as usize];
        Draw {
            product: lots.product,
            from: lots.from,
            fresh_until: lots.fresh_until,
            until: lots.until,
            week,
            units,
        }
    };
    Finished {
        draws: draws.into_iter().map(draw).collect(),
        worth,
    }
}

/// The best division; of those worth the same, one near to what was meant.
fn divide(context: &Context, draft: &Draft, meant: Option<&[Vec<f64>]>) -> Option<Draws> {
    /// What a unit eaten as meant counts besides, share of its price: less than any two uses of a
    /// unit differ by that are not worth the same.
    const AS_MEANT: f64 = 1e-4;
    let season = context.season;
    let grown: BTreeMap<u32, f64> = (0u32..)
        .zip(&draft.supply.grown)
        .filter(|(_, units)| **units > 1e-9)
        .map(|(class, units)| (class, *units))
        .collect();
    let limit = season.minutes_per_week.unwrap_or(0.0);
    let left: Vec<f64> = (0..season.weeks)
        .map(|week| (limit - draft.other_minutes(week)).max(0.0))
        .collect();
    let mut lp = Lp::default();
    let table = Table::add(&mut lp, context, &grown, &left);
    for (&(food, week), &(eaten, _)) in &table.eaten {
        let units = meant.map_or(0.0, |meant| meant[food][week]);
        if units > 0.0 {
            let kept = lp.col(
                ("kept", [food, week, 0]),
                -AS_MEANT * season.foods[food].price,
            );
            let most = lp.at_most(("kept", [food, week, 0]), units);
            lp.term(most, kept, 1.0);
            let of_eaten = lp.at_most(("kept of eaten", [food, week, 0]), 0.0);
            lp.term(of_eaten, kept, 1.0);
            lp.term(of_eaten, eaten, -1.0);
        }
    }
    let point = lp.solve(ACCURACY)?;
    Some(
        table
            .draws
            .iter()
            .map(|&(class, week, col)| (class, week, point.x[col]))
            .collect(),
    )
}

/// Draws cut down until every limit holds, and the worth of the plan with them.
fn settle(context: &Context, draft: &Draft, draws: &[(u32, usize, f64)]) -> (Draws, f64) {
    const NOTHING: f64 = 1e-9; // units: draws below are left out
    let season = context.season;
    let mut draws: Draws = draws.iter().copied().filter(|d| d.2 > NOTHING).collect();
    let product = |class: u32| context.classes.list[class as usize].product;
    let food = |class: u32| season.products[product(class)].food;
    let used =
        |class: u32, week: usize| context.classes.list[class as usize].used_per_unit(week, season);
    cut(
        &mut draws,
        |d| (d.0 as usize, used(d.0, d.1)),
        |c| draft.supply.grown[c],
    );
    let weeks = season.weeks;
    cut(
        &mut draws,
        |d| (food(d.0) * weeks + d.1, 1.0),
        |key| season.foods[key / weeks].wish[key % weeks],
    );
    cut(
        &mut draws,
        |d| match context.variety.of_product[product(d.0)] {
            Some(row) => (1 + row * weeks + d.1, 1.0),
            None => (0, 0.0),
        },
        |key| match key.checked_sub(1) {
            None => f64::INFINITY,
            Some(key) => {
                let food = &season.foods[context.variety.rows[key / weeks].0];
                food.most_of_one_crop(key % weeks)
            }
        },
    );
    cut(
        &mut draws,
        |d| (d.1, season.foods[food(d.0)].price),
        |week| band(context, week).1,
    );
    if let Some(limit) = season.minutes_per_week {
        cut(
            &mut draws,
            |d| (d.1, season.products[product(d.0)].minutes_per_unit),
            |week| (limit - draft.other_minutes(week)).max(0.0),
        );
    }
    let mut eaten = vec![vec![0.0; weeks]; season.foods.len()];
    let mut minutes = 0.0;
    for &(class, week, units) in &draws {
        eaten[food(class)][week] += units;
        minutes += units * season.products[product(class)].minutes_per_unit;
    }
    let mut worth = -minutes * season.minute_money - draft.fixed_cost(context);
    for week in 0..weeks {
        let (low, _, below) = band(context, week);
        let mut total = 0.0;
        for (f, need) in season.foods.iter().enumerate() {
            total += need.price * eaten[f][week];
            worth -= need.short_cost[week] * (need.floor[week] - eaten[f][week]).max(0.0);
        }
        worth += total - below * (low - total).max(0.0);
    }
    (draws, worth)
}

/// Scales the draws of each key down where together they exceed its limit.
fn cut(
    draws: &mut [(u32, usize, f64)],
    key: impl Fn(&(u32, usize, f64)) -> (usize, f64),
    limit: impl Fn(usize) -> f64,
) {
    let mut sums: BTreeMap<usize, f64> = BTreeMap::new();
    for draw in draws.iter() {
        let (key, weight) = key(draw);
        *sums.entry(key).or_insert(0.0) += weight * draw.2;
    }
    for draw in draws.iter_mut() {
        let (key, _) = key(draw);
        let (sum, limit) = (sums[&key], limit(key));
        if sum > limit {
            draw.2 *= limit / sum;
        }
    }
}
