//! Prices as others may use them: a search that hands them out, the bound at given prices, and what
//! ground is worth at them week by week. What follows from them is for `explain` to say.

use super::answer::Watch;
use super::ascent::ascend;
use super::bound::bound;
use super::context::Context;
use crate::candidates::Season;
use crate::strips::Prices;

/// A bound and the prices that prove it.
#[derive(Clone, Debug)]
pub struct Priced {
    pub bound: f64,
    pub prices: Prices,
}

/// What no plan of the season exceeds, at these prices (docs/method/bound.md). They must be prices
/// of the same foods, crops, covers and candidates; how much there is of beds, covers, shelf and
/// work may differ.
pub fn bound_at(season: &Season, prices: &Prices) -> f64 {
    let context = Context::new(season);
    let mut prices = prices.clone();
    prices.clamp(season);
    let paths = context.price(&prices, None, true);
    bound(&context, &prices, &paths)
}

/// Better prices by so many steps from those given; no plan is sought.
pub fn lowered(season: &Season, start: &Prices, steps: usize, watch: &dyn Watch) -> Priced {
    /// The ascent aims this share of the bound below it.
    const AIM: f64 = 0.01;
    let context = Context::new(season);
    let target = |first: f64| first - AIM * first.abs();
    let found = ascend(&context, start, target, steps, |_| !watch.interrupted());
    Priced {
        bound: found.bound,
        prices: found.prices,
    }
}

/// What a week of a strip is worth at these prices: what the best year of a strip of the group
/// loses when that week must stay empty, money. By group and week; `None` where what stands there
/// must stay.
pub fn ground_worth(season: &Season, prices: &Prices) -> Vec<Vec<Option<f64>>> {
    let mut context = Context::new(season);
    let free = context.price(prices, None, false);
    let mut worth = vec![Vec::with_capacity(season.weeks); season.groups.len()];
    for week in 0..season.weeks {
        for (excluded, candidate) in context.excluded.iter_mut().zip(&season.candidates) {
            *excluded = (candidate.start..candidate.end).contains(&week);
        }
        let without = context.price(prices, None, false);
        for (group, row) in worth.iter_mut().enumerate() {
            let value = without[group].value;
            row.push(
                value
                    .is_finite()
                    .then(|| (free[group].value - value).max(0.0)),
            );
        }
    }
    worth
}
