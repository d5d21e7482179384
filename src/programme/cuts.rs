//! Rows that every whole-strip plan keeps and the relaxation may not: rounding of strips against
//! what can be eaten.
//!
//! In weeks `W` all plantings give at most `sum A_p x_p` of a food (or of one product), of which
//! `Y` is eaten and at most `D` can be: `sum A_p x_p + (D - Y) >= D`, which is rounded for a divisor
//! ([`Scale`]).
//!
//! What is in store at the start is no planting's: `Y` leaves it out, and it counts with shortages.
//!
//! The same holds with floors in place of wishes and shortages in place of `D - Y`. Rows of space on
//! the shelf and of work are rounded as well.

use super::{ColumnId, Layout, Programme, Row, Terms};
use crate::candidates::Season;
use crate::rules::{LEAST_REMAINDER, PLANTS, SHELF, Scale, WORK_LIMIT};
use std::collections::BTreeMap;

/// Least violation, relative to the length of the row, for which a row is worth adding (estimate).
const LEAST_EFFICACY: f64 = 0.002;
/// Longest span of weeks looked at (estimate).
const LONGEST_SPAN: usize = 40;

/// A row to add: `terms >= rhs`.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    pub terms: Terms,
    pub rhs: f64,
    /// Violation by the point it was found at, relative to its length.
    pub efficacy: f64,
}

/// Lots of one strip: (first week, last week, amount).
type Harvests = Vec<(usize, usize, f64)>;

/// What can be eaten of one food or product, and who gives it.
struct Source {
    /// Most that can be eaten in each week.
    wish: Vec<f64>,
    /// Columns that add up to what is eaten in each week.
    eaten: Vec<Vec<ColumnId>>,
    /// Floors, and what meets them without a planting (shortages, food in store); empty for a
    /// single product.
    floor: Vec<f64>,
    spared: Vec<Vec<ColumnId>>,
    /// For each strip column.
    lots: Vec<(ColumnId, Harvests)>,
}

/// Finds rows violated at points of one programme.
pub struct Cutter {
    sources: Vec<Source>,
}

impl Cutter {
    /// Gathers what is needed from the layout of a form by beds.
    pub fn new(season: &Season, layout: &Layout) -> Cutter {
        let mut sources = Vec::new();
        for food in 0..season.foods.len() {
            let products: Vec<usize> = (0..season.products.len())
                .filter(|&r| season.products[r].food == food && !season.products[r].in_store)
                .collect();
            sources.push(source(season, layout, food, &products, true));
            if products.len() > 1 {
                for &product in &products {
                    sources.push(source(season, layout, food, &[product], false));
                }
            }
        }
        sources.retain(|s: &Source| !s.lots.is_empty());
        Cutter { sources }
    }

    /// The most violated row of each source, span start and kind, the best first.
    pub fn find(&self, programme: &Programme, point: &[f64]) -> Vec<Cut> {
        let spaces = programme.rows.iter().filter(|row| {
            row.rule.is_some_and(|rule| {
                [&SHELF, &PLANTS, &WORK_LIMIT]
                    .iter()
                    .any(|r| std::ptr::eq(rule, *r))
            })
        });
        let mut cuts: Vec<Cut> = spaces
            .filter_map(|row| rounded_space(programme, row, point))
            .collect();
        for source in &self.sources {
            for first in 0..source.wish.len() {
                let mut best: [Option<Cut>; 2] = [None, None];
                for last in first..source.wish.len().min(first + LONGEST_SPAN) {
                    for (kind, best) in best.iter_mut().enumerate() {
                        let found = source.cut(point, first, last, kind == 1);
                        let better =
                            |c: &Cut| best.as_ref().is_none_or(|b| c.efficacy > b.efficacy);
                        if let Some(cut) = found.filter(better) {
                            *best = Some(cut);
                        }
                    }
                }
                cuts.extend(best.into_iter().flatten());
            }
        }
        cuts.sort_by(|a, b| b.efficacy.total_cmp(&a.efficacy));
        cuts
    }
}

fn source(
    season: &Season,
    layout: &Layout,
    food: usize,
    products: &[usize],
    whole: bool,
) -> Source {
    let need = &season.foods[food];
    let weeks = season.weeks;
    let share = if whole { 1.0 } else { need.single_crop_share };
    let mut eaten = vec![Vec::new(); weeks];
    let mut stored = vec![Vec::new(); weeks];
    for (&(class, week), &column) in &layout.draws {
        if products.contains(&class.product) {
            eaten[week].push(column);
        } else if season.products[class.product].food == food && whole {
            stored[week].push(column);
        }
    }
    let mut lots: BTreeMap<ColumnId, Vec<(usize, usize, f64)>> = BTreeMap::new();
    for (&(_, candidate), &column) in &layout.strips {
        for lot in &season.candidates[candidate].lots {
            if products.contains(&lot.product) {
                lots.entry(column)
                    .or_default()
                    .push((lot.from, lot.until, lot.amount));
            }
        }
    }
    let short: Vec<Option<ColumnId>> = (0..weeks)
        .map(|week| layout.short.get(&(food, week)).copied())
        .collect();
    Source {
        wish: need.wish.iter().map(|d| d * share).collect(),
        eaten,
        // Floors of weeks in which nothing can be eaten are short in every plan.
        floor: match whole {
            true => (0..weeks)
                .map(|w| short[w].map_or(0.0, |_| need.floor[w]))
                .collect(),
            false => Vec::new(),
        },
        spared: (short.iter().zip(stored))
            .map(|(short, stored)| short.iter().copied().chain(stored).collect())
            .collect(),
        lots: lots.into_iter().collect(),
    }
}

impl Source {
    /// The best rounding of one span of weeks, if it is violated.
    fn cut(&self, point: &[f64], first: usize, last: usize, floors: bool) -> Option<Cut> {
        let span = first..=last;
        let limit: &[f64] = if floors { &self.floor } else { &self.wish };
        if limit.is_empty() || limit[first] <= 0.0 || limit[last] <= 0.0 {
            return None;
        }
        let most: f64 = span.clone().map(|w| limit[w]).sum();
        // The slack is `most - eaten`, or the shortages (and the food from store) of the span.
        let slack: f64 = span
            .clone()
            .map(|w| {
                if floors {
                    self.spared[w].iter().map(|&c| point[c]).sum::<f64>()
                } else {
                    limit[w] - self.eaten[w].iter().map(|&c| point[c]).sum::<f64>()
                }
            })
            .sum();
        // Only short slack can be cut off.
        if slack >= most * 0.999 {
            return None;
        }
        // What the point has nothing of counts only in the length of a row that is violated.
        let used = self.gives(first, last, most, &|column| point[column] != 0.0);
        let mut divisors: Vec<f64> = used
            .iter()
            .filter(|(column, _)| point[*column] > 1e-6)
            .map(|&(_, amount)| amount)
            .collect();
        divisors.sort_by(f64::total_cmp);
        divisors.dedup_by(|a, b| (*a - *b).abs() <= 1e-9 * b.abs());
        let mut gives: Option<Vec<(ColumnId, f64)>> = None;
        divisors
            .into_iter()
            .filter_map(|divisor| {
                let scale = Scale::of(most, divisor)?;
                let left: f64 = used
                    .iter()
                    .map(|&(column, amount)| scale.coefficient(amount) * point[column])
                    .sum();
                let violation = scale.up - left - slack / scale.units;
                if violation <= 1e-6 {
                    return None;
                }
                let gives = gives.get_or_insert_with(|| self.gives(first, last, most, &|_| true));
                Some(self.row(gives, &scale, most, (first, last), floors, violation))
            })
            .filter(|cut| cut.efficacy > LEAST_EFFICACY)
            .max_by(|a, b| a.efficacy.total_cmp(&b.efficacy))
    }

    /// What a strip of each column of interest gives in a span of weeks, the most that counts.
    fn gives(
        &self,
        first: usize,
        last: usize,
        most: f64,
        of_interest: &dyn Fn(ColumnId) -> bool,
    ) -> Vec<(ColumnId, f64)> {
        let of_interest = self.lots.iter().filter(|it| of_interest(it.0));
        of_interest
            .filter_map(|(column, lots)| {
                let mut sum = 0.0;
                for &(from, until, amount) in lots {
                    if from <= last && until >= first {
                        let here: f64 = self.wish[from.max(first)..=until.min(last)].iter().sum();
                        sum += amount.min(here);
                    }
                }
                (sum > 0.0).then_some((*column, sum.min(most)))
            })
            .collect()
    }

    fn row(
        &self,
        gives: &[(ColumnId, f64)],
        scale: &Scale,
        most: f64,
        (first, last): (usize, usize),
        floors: bool,
        violation: f64,
    ) -> Cut {
        let mut terms: Terms = gives
            .iter()
            .map(|&(column, amount)| (column, scale.units * scale.coefficient(amount)))
            .collect();
        let mut rhs = scale.units * scale.up;
        for week in first..=last {
            if floors {
                terms.extend(self.spared[week].iter().map(|&c| (c, 1.0)));
            } else {
                terms.extend(self.eaten[week].iter().map(|&c| (c, -1.0)));
            }
        }
        if !floors {
            rhs -= most;
        }
        let length = terms.iter().map(|(_, a)| a * a).sum::<f64>().sqrt();
        Cut {
            terms,
            rhs,
            efficacy: violation * scale.units / length,
        }
    }
}

/// The best rounding of a row of positive terms with a limit, if it is violated: terms that are
/// not whole are left out, which only loosens the row.
fn rounded_space(programme: &Programme, row: &Row, point: &[f64]) -> Option<Cut> {
    let whole: Vec<(ColumnId, f64)> = row
        .terms
        .iter()
        .copied()
        .filter(|&(column, amount)| programme.columns[column].integer && amount > 0.0)
        .collect();
    let mut divisors: Vec<f64> = whole
        .iter()
        .filter(|(column, _)| point[*column] > 1e-6)
        .map(|&(_, amount)| amount)
        .collect();
    divisors.sort_by(f64::total_cmp);
    divisors.dedup();
    let best = divisors.into_iter().filter_map(|divisor| {
        let parts = row.rhs / divisor;
        // A limit that is just met must not be rounded down for want of a last digit.
        let down = (parts + 1e-9).floor();
        let rest = (parts - down).max(0.0);
        if rest > 1.0 - LEAST_REMAINDER {
            return None;
        }
        let terms: Terms = whole
            .iter()
            .map(|&(column, amount)| {
                let parts = amount / divisor;
                let more = ((parts - parts.floor() - rest) / (1.0 - rest)).max(0.0);
                (column, -(parts.floor() + more))
            })
            .collect();
        let left: f64 = terms.iter().map(|&(column, a)| a * point[column]).sum();
        let length = terms.iter().map(|(_, a)| a * a).sum::<f64>().sqrt();
        Some(Cut {
            terms,
            rhs: -down,
            efficacy: (-down - left) / length,
        })
    });
    best.filter(|cut| cut.efficacy > LEAST_EFFICACY)
        .max_by(|a, b| a.efficacy.total_cmp(&b.efficacy))
}
