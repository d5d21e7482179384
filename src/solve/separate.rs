//! Finding the rounding rows that a relaxed plan breaks most.

use super::compact::Relaxed;
use super::context::Context;
use super::lyings::Lyings;
use crate::domain::BedId;
use crate::rules::Scale;
use crate::strips::{CoverRow, FoodLot, Gives, Rounding, Side, food_lots, standing_beds};
use std::collections::BTreeMap;

/// Longest span of weeks looked at (estimate).
const LONGEST_SPAN: usize = 20;
/// The same of cover rows: longer ones bring less (measured, docs/decisions/34).
const LONGEST_UNDER: usize = 8;
/// Least violation that is worth a row, money at the food's price (estimate).
const LEAST_VIOLATION: f64 = 2e-3;

/// Finds rounding rows.
pub struct Separator {
    lots: Vec<Vec<FoodLot>>,
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
        let looked = |gives: &Gives| worst(point, gives);
        let found = self.most_broken(context, point, LONGEST_SPAN, looked);
        let rounded = |(whole, divisor): (Gives, f64)| whole.rounded(divisor);
        found.into_iter().filter_map(rounded).collect()
    }

    /// Cover rows that the point breaks: for every food, side and week the one broken most that is found.
    pub fn find_cover_rows(&self, context: &Context, point: &Relaxed) -> Vec<CoverRow> {
        let season = context.season;
        if season.cycle.is_some() {
            return Vec::new();
        }
        let lyings = Lyings::of(context, point, &self.standing_beds);
        let looked = |gives: &Gives| {
            let asked = gives.most - slack(point, gives);
            let (chosen, counts) = lyings.choose(gives, point);
            (!chosen.is_empty()).then_some((asked - counts, chosen))
        };
        let found = self.most_broken(context, point, LONGEST_UNDER, looked);
        let under = |(whole, chosen): (Gives, _)| whole.under(season, &self.standing_beds, chosen);
        found.into_iter().map(under).collect()
    }

    /// For every food, side and first week: what strips give in the span of at most so many weeks in which a row is broken
    /// most, and what makes that row. `looked` says by how much the row of a span is broken, in the food's unit, of which it
    /// is told only what plantings in use give.
    fn most_broken<M>(
        &self,
        context: &Context,
        point: &Relaxed,
        longest: usize,
        looked: impl Fn(&Gives) -> Option<(f64, M)>,
    ) -> Vec<(Gives, M)> {
        const IN_USE: f64 = 1e-6; // strips
        let season = context.season;
        let mut found = Vec::new();
        for (food, lots) in self.lots.iter().enumerate() {
            let in_use = |lot: &&FoodLot| point.strips[lot.candidate] > IN_USE;
            let used: Vec<FoodLot> = lots.iter().filter(in_use).copied().collect();
            let least = LEAST_VIOLATION / season.foods[food].price;
            for side in [Side::Wish, Side::Floor] {
                for first in 0..season.weeks {
                    let mut best: Option<(f64, (usize, usize), M)> = None;
                    let last = first..first + longest;
                    for gives in Gives::spans(season, &used, food, side, first, last) {
                        if let Some((broken, row)) = looked(&gives)
                            && broken > best.as_ref().map_or(least, |(most, ..)| *most)
                        {
                            best = Some((broken, (first, gives.last), row));
                        }
                    }
                    if let Some((_, span, row)) = best
                        && let Some(whole) = Gives::of(season, lots, food, side, span)
                    {
                        found.push((whole, row));
                    }
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
