//! The best table of a week at some prices, from above.

use super::list::PriceList;
use super::range::Range;
use super::rounding::Tolls;
use crate::candidates::Season;

/// What a food can add: so many units up to its floor or wish, each worth `net` before the band, and
/// `price` to the band.
struct Stretch {
    units: Range,
    net: Range,
    price: f64,
}

/// What eating can bring in a week at the most, money.
///
/// With a multiplier `t` on the worth of what is eaten (up to the band's price below `low`, less than
/// nothing above `high`) every stretch stands alone: the sum is above the best table for any `t`, and for
/// one of them equal to it (duality). So the least sum over the multipliers at which a stretch changes
/// sides is taken.
pub fn best(season: &Season, prices: &PriceList, tolls: &Tolls, week: usize) -> Range {
    let mut worth = Range::ZERO;
    let mut stretches = Vec::with_capacity(2 * season.foods.len());
    for (f, food) in season.foods.iter().enumerate() {
        let short = Range::exact(food.short_cost[week]) - tolls.short[f][week];
        worth -= short * food.floor[week];
        let net =
            Range::exact(food.price) - Range::exact(prices.food[f][week]) - tolls.eaten[f][week];
        let floor = food.floor[week].min(food.wish[week]);
        stretches.push(Stretch {
            units: Range::exact(floor),
            net: net + short.or_nothing(),
            price: food.price,
        });
        stretches.push(Stretch {
            units: (Range::exact(food.wish[week]) - Range::exact(floor)).or_nothing(),
            net,
            price: food.price,
        });
    }
    let (low, high, below) = match &season.level {
        Some(level) => (level.low[week], level.high[week], level.below_cost),
        None => (0.0, f64::INFINITY, 0.0),
    };
    let changes = stretches.iter().filter(|s| s.price > 0.0);
    let mut multipliers: Vec<f64> = changes.map(|s| -s.net.high / s.price).collect();
    multipliers.extend([0.0, below]);
    let gains = multipliers
        .into_iter()
        .filter(|&t| t <= below && (t >= 0.0 || high.is_finite()))
        .map(|t| {
            // Being below costs at least `save` of the money missing up to `low`; beyond `high` is nothing.
            let (save, cap) = (t.max(0.0), (-t).max(0.0));
            let mut sum = Range::exact(save) * -low;
            if cap > 0.0 {
                sum += Range::exact(cap) * high;
            }
            for s in &stretches {
                sum += (s.units * (s.net + Range::exact(t) * s.price)).or_nothing();
            }
            sum
        });
    let gain = gains.reduce(|a, b| if b.high < a.high { b } else { a });
    worth + gain.expect("nothing is a multiplier")
}
