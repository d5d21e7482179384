//! Rounding rows made anew from food, weeks and divisor, and what they add to the price of eating.

use super::list::{PriceList, RoundingPrice, Span};
use super::range::Range;
use crate::candidates::{CandidateId, Lot, Season};
use crate::domain::CropId;
use std::collections::BTreeMap;

/// What rounding rows and cover rows add to the price of food eaten and take off the cost of food short, by food and
/// week, money per unit.
pub struct Tolls {
    pub eaten: Vec<Vec<Range>>,
    pub short: Vec<Vec<Range>>,
}

impl Tolls {
    /// At some prices.
    pub fn of(season: &Season, prices: &PriceList) -> Tolls {
        let none = vec![vec![Range::ZERO; season.weeks]; season.foods.len()];
        let mut tolls = Tolls {
            eaten: none.clone(),
            short: none,
        };
        let rounding = prices.rounding.iter().map(|row| (&row.span, row.price));
        let under = prices.under_covers.iter().map(|row| (&row.span, row.price));
        for (span, price) in rounding.chain(under) {
            let side = if span.floor {
                &mut tolls.short
            } else {
                &mut tolls.eaten
            };
            for toll in &mut side[span.food][span.first..=span.last] {
                *toll += Range::exact(price);
            }
        }
        tolls
    }
}

/// A row: what is eaten (or minus what is short) is at most `right` and the terms of what is begun.
pub struct RoundingRow {
    pub right: Range,
    /// Units for a strip of a candidate, from above.
    pub terms: Vec<(CandidateId, Range)>,
}

/// What is asked for of a food in a span of weeks, and what can come of it.
pub struct Asked {
    pub whole: Range,
    /// Without what can come from store; may be below nothing.
    pub rest: Range,
    /// What a strip of a candidate gives of it; ascending candidates, all above nothing.
    pub gives: Vec<(CandidateId, Range)>,
}

impl Asked {
    /// In the weeks of a span.
    pub fn of(season: &Season, of: &Span) -> Asked {
        let need = &season.foods[of.food];
        let asked = |week: usize| match of.floor {
            true => need.floor[week].min(need.wish[week]),
            false => need.wish[week],
        };
        // What is asked for in the span, by week, and what one crop may supply of it.
        let weeks = of.first..=of.last;
        let of_crop: Vec<Range> = (weeks.clone())
            .map(|week| {
                let most = Range::exact(need.single_crop_share) * need.wish[week];
                Range::exact(asked(week)).min(most)
            })
            .collect();
        let mut whole = Range::ZERO;
        for week in weeks {
            whole += Range::exact(asked(week));
        }
        let mut rest = whole;
        for lot in &season.in_store {
            if season.products[lot.product].food == of.food {
                rest -= eaten_of(season, &[lot], of.first, &of_crop);
            }
        }
        let mut all = Vec::new();
        for (c, candidate) in season.candidates.iter().enumerate() {
            let mut by_crop: BTreeMap<CropId, Vec<&Lot>> = BTreeMap::new();
            for lot in &candidate.lots {
                let product = &season.products[lot.product];
                if product.food == of.food && lot.from <= of.last && lot.until >= of.first {
                    by_crop.entry(product.crop).or_default().push(lot);
                }
            }
            let mut units = Range::ZERO;
            for lots in by_crop.values() {
                units += eaten_of(season, lots, of.first, &of_crop);
            }
            if units.high > 0.0 && !by_crop.is_empty() {
                all.push((c, units));
            }
        }
        Asked {
            whole,
            rest,
            gives: all,
        }
    }
}

/// Most that can be eaten of some lots of one crop in weeks from `first` on, of which each takes so much at most.
///
/// Week by week what must be eaten soonest is eaten first; no other order leaves more for the weeks to come. Of each lot
/// there is what is left of it at the span's beginning, what is lost within the span left out.
fn eaten_of(season: &Season, lots: &[&Lot], first: usize, most: &[Range]) -> Range {
    let mut there: Vec<(&Lot, Range)> = Vec::new();
    for &lot in lots {
        let mut units = Range::exact(lot.amount);
        let keep = Range::exact(1.0) - Range::exact(season.products[lot.product].weekly_loss);
        for _ in lot.fresh_until..lot.from.max(first) {
            units = units * keep;
        }
        there.push((lot, units));
    }
    there.sort_by_key(|(lot, _)| lot.until);
    let mut total = Range::ZERO;
    for (week, &most) in (first..).zip(most) {
        let mut room = most;
        for (lot, units) in &mut there {
            if lot.from <= week && week <= lot.until {
                let eaten = units.min(room).or_nothing();
                total += eaten;
                room = (room - eaten).or_nothing();
                *units = (*units - eaten).or_nothing();
            }
        }
    }
    total
}

/// The row that a food, its weeks and a divisor stand for.
///
/// Strips give at most `A_p` each; `R` of what is asked for cannot come from store. With `A_p` from above
/// and `R` from below, `sum A_p x_p + s >= R` holds, where `s` is what is not eaten (or is short). Taken as
/// they stand, doubles are exact, and so is their remainder by the divisor, so the rounded row
/// `r sum(floor(A_p / d)) x_p + sum min(r, A_p mod d) x_p + s >= r ceil(R / d)`, with `r = R mod d`, is
/// exact as well (mixed-integer rounding; Nemhauser & Wolsey 1990).
pub fn row(season: &Season, of: &RoundingPrice) -> RoundingRow {
    let Asked { whole, rest, gives } = Asked::of(season, &of.span);
    /// Quotients up to here are found exactly.
    const MOST_TIMES: f64 = 1e9;
    if rest.low <= 0.0 || rest.low / of.divisor > MOST_TIMES {
        // Nothing is said: at most what is asked for is eaten, nothing less than nothing is short.
        return RoundingRow {
            right: whole,
            terms: Vec::new(),
        };
    }
    let rest = rest.low;
    let remainder = rest % of.divisor;
    let up = ((rest - remainder) / of.divisor).round() + 1.0;
    let terms = gives.into_iter().map(|(c, units)| {
        let units = units.high.min(rest);
        let over = units % of.divisor;
        let times = ((units - over) / of.divisor).round();
        let counted = Range::exact(remainder) * times + Range::exact(over.min(remainder));
        (c, counted)
    });
    let terms = terms.collect();
    let moved = Range::exact(remainder) * up;
    RoundingRow {
        right: match of.span.floor {
            true => Range::ZERO - moved,
            false => whole - moved,
        },
        terms,
    }
}
