//! Finding the rounding rows that a relaxed plan breaks most.

use super::compact::Relaxed;
use super::context::Context;
use super::lyings::Lyings;
use crate::domain::BedId;
use crate::rules::Scale;
use crate::strips::{CoverRow, FoodLots, Gives, Rounding, Side, food_lots, standing_beds};
use std::collections::BTreeMap;

/// Longest span of weeks looked at (estimate).
const LONGEST_SPAN: usize = 20;
/// The same of cover rows: longer ones bring less (measured, docs/decisions/34).
const LONGEST_UNDER: usize = 8;
/// Least violation that is worth a row, money at the food's price (estimate).
const LEAST_VIOLATION: f64 = 2e-3;

/// Finds rounding rows.
pub struct Separator {
    lots: Vec<FoodLots>,
    standing_beds: BTreeMap<usize, Vec<BedId>>,
}

impl Separator {
    /// For a season.
    pub fn of(context: &Context) -> Separator {
        let season = context.season;
        Separator {
            lots: (0..season.foods.len())
                .map(|food| food_lots(season, food))
                .collect(),
            standing_beds: standing_beds(season),
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

    /// Cover rows that the point breaks: for every food, side and week the one broken most that is found.
    pub fn find_cover_rows(&self, context: &Context, point: &Relaxed) -> Vec<CoverRow> {
        let season = context.season;
        let mut found = Vec::new();
        if season.cycle.is_some() {
            return found;
        }
        let lyings = Lyings::of(context, point, &self.standing_beds);
        for (food, lots) in self.lots.iter().enumerate() {
            for side in [Side::Wish, Side::Floor] {
                for first in 0..season.weeks {
                    let mut best: Option<(f64, CoverRow)> = None;
                    for last in first..season.weeks.min(first + LONGEST_UNDER) {
                        let Some(gives) = Gives::of(season, lots, food, side, (first, last)) else {
                            continue;
                        };
                        let asked = gives.most - slack(point, &gives);
                        let (chosen, counts) = lyings.choose(&gives, point);
                        let broken = asked - counts;
                        if !chosen.is_empty()
                            && broken * season.foods[food].price > LEAST_VIOLATION
                            && best.as_ref().is_none_or(|(most, _)| broken > *most)
                        {
                            best = Some((broken, gives.under(season, &self.standing_beds, chosen)));
                        }
                    }
                    found.extend(best.map(|(_, row)| row));
                }
            }
        }
        found
    }
}

impl Separator {
    /// Beds and weeks whose lids the point breaks.
    pub fn find_lids(&self, context: &Context, point: &Relaxed) -> Vec<(BedId, usize)> {
        match context.season.cycle {
            Some(_) => Vec::new(),
            None => Lyings::of(context, point, &self.standing_beds).broken(),
        }
    }
}

/// What is not eaten of what is asked for, or short of it, units of the food.
fn slack(point: &Relaxed, gives: &Gives) -> f64 {
    let weeks = gives.first..=gives.last;
    match gives.side {
        Side::Wish => gives.asked - point.eaten[gives.food][weeks].iter().sum::<f64>(),
        Side::Floor => point.short[gives.food][weeks].iter().sum(),
    }
}

/// The divisor whose row is broken most, and by how much (units of the food).
fn worst(point: &Relaxed, gives: &Gives) -> Option<(f64, f64)> {
    const IN_USE: f64 = 1e-4;
    let slack = slack(point, gives);
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
