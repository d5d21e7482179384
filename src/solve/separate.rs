//! Finding the rounding rows that a relaxed plan breaks most.

use super::compact::Relaxed;
use super::context::Context;
use crate::rules::Scale;
use crate::strips::{FoodLots, Gives, Rounding, Side, food_lots};

/// Longest span of weeks looked at (estimate).
const LONGEST_SPAN: usize = 20;
/// Least violation that is worth a row, money at the food's price (estimate).
const LEAST_VIOLATION: f64 = 2e-3;

/// Finds rounding rows.
pub struct Separator {
    lots: Vec<FoodLots>,
}

impl Separator {
    /// For a season.
    pub fn of(context: &Context) -> Separator {
        let season = context.season;
        Separator {
            lots: (0..season.foods.len())
                .map(|food| food_lots(season, food))
                .collect(),
        }
    }

    /// Rows that the point breaks: for every food, side and first week the one broken most.
    pub fn find(&self, context: &Context, point: &Relaxed) -> Vec<Rounding> {
        let season = context.season;
        let mut found = Vec::new();
        for (food, lots) in self.lots.iter().enumerate() {
            for side in [Side::Wish, Side::Floor] {
                for first in 0..season.weeks {
                    let mut best: Option<(f64, Gives, f64)> = None;
                    for last in first..season.weeks.min(first + LONGEST_SPAN) {
                        let Some(gives) = Gives::of(season, lots, food, side, (first, last)) else {
                            continue;
                        };
                        if let Some((broken, divisor)) = worst(point, &gives)
                            && best.as_ref().is_none_or(|(most, _, _)| broken > *most)
                        {
                            best = Some((broken, gives, divisor));
                        }
                    }
                    if let Some((broken, gives, divisor)) = best
                        && broken * season.foods[food].price > LEAST_VIOLATION
                    {
                        found.extend(gives.rounded(divisor));
                    }
                }
            }
        }
        found
    }
}

/// The divisor whose row is broken most, and by how much (units of the food).
fn worst(point: &Relaxed, gives: &Gives) -> Option<(f64, f64)> {
    const IN_USE: f64 = 1e-4;
    let slack: f64 = (gives.first..=gives.last)
        .map(|week| match gives.side {
            Side::Wish => -point.eaten[gives.food][week],
            Side::Floor => point.short[gives.food][week],
        })
        .sum::<f64>()
        + match gives.side {
            Side::Wish => gives.asked,
            Side::Floor => 0.0,
        };
    let used: Vec<(f64, f64)> = gives
        .units
        .iter()
        .map(|&(c, units)| (units, point.strips[c]))
        .filter(|(_, strips)| *strips > IN_USE)
        .collect();
    let mut divisors: Vec<f64> = used.iter().map(|(units, _)| *units).collect();
    divisors.sort_by(f64::total_cmp);
    divisors.dedup_by(|a, b| (*a - *b).abs() <= 1e-9 * b.abs());
    let mut best: Option<(f64, f64)> = None;
    for divisor in divisors {
        let Some(scale) = Scale::of(gives.most, divisor) else {
            continue;
        };
        let left: f64 = used
            .iter()
            .map(|&(units, n)| scale.coefficient(units) * n)
            .sum();
        let broken = scale.units * (scale.up - left) - slack;
        if broken > best.map_or(0.0, |(most, _)| most) {
            best = Some((broken, divisor));
        }
    }
    best
}
