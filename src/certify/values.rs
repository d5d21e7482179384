//! What a planting is worth to a strip at some prices.

use super::Rows;
use super::covers::Costs;
use super::list::PriceList;
use super::range::Range;
use crate::candidates::{BARE, Candidate, GroupId, Lot, Season};
use crate::domain::BedId;
use std::collections::BTreeMap;

/// Values of all candidates.
pub struct Values<'v> {
    season: &'v Season,
    prices: &'v PriceList,
    /// Without covers and without what is counted on, money per strip.
    bare: Vec<Range>,
    /// Covers over its weeks and moves between them, money per whole bed.
    covers: Vec<Range>,
    /// What lying on beds costs beside.
    costs: &'v Costs,
}

/// Product, weeks: what the worth of a unit rests on.
type LotKey = (usize, usize, usize, usize);

fn key(lot: &Lot) -> LotKey {
    (lot.product, lot.from, lot.fresh_until, lot.until)
}

/// What lots are worth: by unit in their best week, and how much of them can be eaten at all.
pub struct LotValues<'v> {
    season: &'v Season,
    prices: &'v PriceList,
    known: BTreeMap<LotKey, (Range, Range)>,
}

impl<'v> LotValues<'v> {
    pub fn new(season: &'v Season, prices: &'v PriceList) -> LotValues<'v> {
        LotValues {
            season,
            prices,
            known: BTreeMap::new(),
        }
    }

    /// What a lot brings at the most, money.
    pub fn of(&mut self, lot: &Lot) -> Range {
        let (worth, useful) = match self.known.get(&key(lot)) {
            Some(known) => *known,
            None => {
                let found = self.reckon(lot);
                self.known.insert(key(lot), found);
                found
            }
        };
        worth * Range::exact(lot.amount).min(useful)
    }

    fn reckon(&self, lot: &Lot) -> (Range, Range) {
        let (season, prices) = (self.season, self.prices);
        let product = &season.products[lot.product];
        let food = &season.foods[product.food];
        let variety = (prices.variety.iter())
            .find(|(f, c, _)| (*f, *c) == (product.food, product.crop))
            .map(|(_, _, row)| row);
        let keep = Range::exact(1.0) - Range::exact(product.weekly_loss);
        let share = food.single_crop_share.min(1.0);
        let (mut worth, mut useful) = (Range::ZERO, Range::ZERO);
        let mut left = Range::exact(1.0);
        for week in lot.from..=lot.until {
            if week > lot.fresh_until {
                left = left * keep;
            }
            let minute = Range::exact(season.minute_money) + Range::exact(prices.work[week]);
            let mut unit = Range::exact(prices.food[product.food][week]);
            unit -= minute * product.minutes_per_unit;
            if let Some(row) = variety {
                unit -= Range::exact(row[week]);
            }
            worth = worth.max(unit * left);
            let eaten = Range::exact(food.wish[week]) * share;
            // All of a lot that is lost from one week to the next is of no more use.
            if left.low > 0.0 {
                useful += eaten.through(left);
            } else {
                useful = Range::exact(f64::MAX);
            }
        }
        (worth.or_nothing(), useful)
    }
}

impl<'v> Values<'v> {
    /// At some prices, whose rows are given.
    pub fn of(season: &'v Season, prices: &'v PriceList, rows: &'v Rows) -> Values<'v> {
        let mut lots = LotValues::new(season, prices);
        let mut bare: Vec<Range> = (season.candidates.iter())
            .map(|candidate| {
                let mut value = Range::ZERO;
                for lot in &candidate.lots {
                    value += lots.of(lot);
                }
                for &(week, minutes) in &candidate.work {
                    let minute =
                        Range::exact(season.minute_money) + Range::exact(prices.work[week]);
                    value -= minute * minutes;
                }
                for s in &candidate.shelf {
                    value -= Range::exact(prices.shelf[usize::from(s.lit)][s.week]) * s.m2;
                }
                for p in &candidate.plants {
                    value -= Range::exact(prices.plants[p.of]) * p.plants;
                }
                value - Range::exact(candidate.cost)
            })
            .collect();
        let rounding = rows.rounding.iter().zip(&prices.rounding);
        let under = rows.under_covers.iter().zip(&prices.under_covers);
        let terms = (rounding.map(|(row, of)| (&row.terms, of.price)))
            .chain(under.map(|(row, of)| (&row.terms, of.price)));
        for (terms, price) in terms.filter(|(_, price)| *price > 0.0) {
            for &(c, units) in terms {
                bare[c] += units * price;
            }
        }
        for (row, of) in rows.breaks.iter().zip(&prices.breaks) {
            if of.price > 0.0 {
                for &(c, times) in &row.terms {
                    bare[c] -= Range::exact(of.price) * times;
                }
            }
        }
        let covers = season.candidates.iter();
        Values {
            season,
            prices,
            bare,
            covers: covers.map(|c| cover_cost(season, prices, c)).collect(),
            costs: &rows.costs,
        }
    }

    /// Worth to a strip of a bed, money, from above.
    pub fn on(&self, bed: BedId, candidate: usize) -> f64 {
        self.to_a_strip(bed, candidate).high
    }

    /// The same of a way to treat what stands in a group.
    pub fn standing(&self, group: GroupId, candidate: usize) -> f64 {
        let bed = self.season.groups[group].bed;
        let lids = self.costs.lids(self.season, group, candidate);
        (self.to_a_strip(bed, candidate) - lids).high
    }

    fn to_a_strip(&self, bed: BedId, candidate: usize) -> Range {
        let season = self.season;
        let ground = &season.beds[bed];
        let covers = self.covers[candidate] + self.costs.on_bed(season, bed, candidate);
        let mut value = self.bare[candidate] - covers.over(f64::from(ground.strips));
        for (rule, &price) in season.always.iter().zip(&self.prices.always) {
            let there = rule.bed.is_none_or(|b| b == bed);
            if there && price > 0.0 && rule.matches(season.plain(candidate)) {
                value += Range::exact(price) * rule.per_strip(&season.kinds[ground.kind]);
            }
        }
        value
    }
}

/// What changing from one cover state to another costs a whole bed, money.
pub fn change(season: &Season, from: u8, to: u8) -> Range {
    if from == to {
        return Range::ZERO;
    }
    let cover = |state: u8| (state != BARE).then(|| &season.covers[usize::from(state) - 1]);
    let off = cover(from).map_or(0.0, |c| c.remove_minutes);
    let on = cover(to).map_or(0.0, |c| c.place_minutes);
    (Range::exact(off) + Range::exact(on)) * season.minute_money
}

fn cover_cost(season: &Season, prices: &PriceList, candidate: &Candidate) -> Range {
    let mut cost = Range::ZERO;
    let mut before = None;
    for (week, &state) in (candidate.start..).zip(&candidate.states) {
        if state != BARE {
            let of_year = week % season.weeks;
            cost += Range::exact(prices.cover[usize::from(state) - 1][of_year]);
        }
        if let Some(before) = before {
            cost += change(season, before, state);
        }
        before = Some(state);
    }
    cost
}
