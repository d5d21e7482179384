//! Rounding rows: what whole strips can bring to the table in a span of weeks, which shares of strips
//! would overstate (docs/method/bound.md, "Rounding rows").
//!
//! In weeks `W` all plantings give at most `sum A_p x_p` of a food, of which `Y` is eaten and `D`
//! wished: `sum A_p x_p + (D - Y) >= D`, which is rounded for a divisor ([`Scale`]).
//!
//! With floors in place of wishes, and what is short of them in place of `D - Y`, the same holds.

use crate::candidates::{CandidateId, Lot, Season};
use crate::domain::{CropId, FoodId};
use crate::rules::Scale;
use std::ops::Range;

/// What a rounding row speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// What is eaten, against the wish.
    Wish,
    /// What is short, against the floor.
    Floor,
}

/// One row: over the weeks `first..=last`, what is eaten of the food (or, for floors, minus what is
/// short) is at most `right` plus the sum of `terms` over all strips.
#[derive(Clone, Debug, PartialEq)]
pub struct Rounding {
    pub food: FoodId,
    pub side: Side,
    pub first: usize,
    pub last: usize,
    /// In the food's unit.
    pub divisor: f64,
    pub right: f64,
    /// Units for each strip of a candidate; ascending candidates, none below nothing.
    pub terms: Vec<(CandidateId, f64)>,
}

impl Rounding {
    /// Whether it is the same row.
    pub fn same(&self, other: &Rounding) -> bool {
        let key = |r: &Rounding| (r.food, r.side, r.first, r.last);
        key(self) == key(other) && self.divisor == other.divisor
    }
}

/// What strips give to a food in a span of weeks.
#[derive(Clone, Debug)]
pub struct Gives {
    pub food: FoodId,
    pub side: Side,
    pub first: usize,
    pub last: usize,
    /// All that can be eaten, or must be, in the span; the food's unit.
    pub asked: f64,
    /// The same less what can come from store.
    pub most: f64,
    /// Units that one strip can give, at most `most`; ascending candidates, all above nothing.
    pub units: Vec<(CandidateId, f64)>,
}

/// A lot of a food, of a candidate.
#[derive(Clone, Copy, Debug)]
pub struct FoodLot {
    pub candidate: CandidateId,
    pub crop: CropId,
    pub lot: Lot,
    pub weekly_loss: f64,
}

impl FoodLot {
    fn of(season: &Season, candidate: CandidateId, lot: &Lot) -> FoodLot {
        let product = &season.products[lot.product];
        FoodLot {
            candidate,
            crop: product.crop,
            lot: *lot,
            weekly_loss: product.weekly_loss,
        }
    }
}

/// The lots of a food, ascending by candidate, and by crop and last week for each.
pub fn food_lots(season: &Season, food: FoodId) -> Vec<FoodLot> {
    let mut lots = Vec::new();
    for (c, candidate) in season.candidates.iter().enumerate() {
        let of_food = |lot: &&Lot| season.products[lot.product].food == food;
        let there = candidate.lots.iter().filter(of_food);
        lots.extend(there.map(|lot| FoodLot::of(season, c, lot)));
    }
    lots.sort_by_key(|lot| (lot.candidate, lot.crop, lot.lot.until));
    lots
}

/// What some lots of one crop, which ascend by their last week, can give at most from a first week on, week by week: what
/// goes off first is eaten first.
struct Giving<'l> {
    lots: &'l [FoodLot],
    left: Vec<f64>,
    given: f64,
}

impl<'l> Giving<'l> {
    /// From a first week on.
    fn from(lots: &'l [FoodLot], first: usize) -> Giving<'l> {
        let left_of = |of: &FoodLot| -> f64 {
            let kept = of.lot.from.max(first).saturating_sub(of.lot.fresh_until);
            of.lot.amount * (1.0 - of.weekly_loss).powi(kept as i32)
        };
        Giving {
            lots,
            left: lots.iter().map(left_of).collect(),
            given: 0.0,
        }
    }

    /// Eats so much at most in the next week.
    fn eat(&mut self, week: usize, most: f64) {
        let mut room = most;
        for (left, FoodLot { lot, .. }) in self.left.iter_mut().zip(self.lots) {
            if (lot.from..=lot.until).contains(&week) {
                let eaten = left.min(room);
                *left -= eaten;
                room -= eaten;
                self.given += eaten;
            }
        }
    }
}

impl Gives {
    /// What strips give in each span that begins with a week and ends with one of the `last`; spans in which nothing is
    /// asked for at an end, or all of that is in store, are left out.
    pub fn spans(
        season: &Season,
        lots: &[FoodLot],
        food: FoodId,
        side: Side,
        first: usize,
        last: Range<usize>,
    ) -> Vec<Gives> {
        let need = &season.foods[food];
        let asked = |w: usize| match side {
            Side::Wish => need.wish[w],
            Side::Floor => need.floor[w].min(need.wish[w]),
        };
        let end = season.weeks.min(last.end);
        if first >= end || asked(first) <= 0.0 {
            return Vec::new();
        }
        let stored: Vec<FoodLot> = (season.in_store.iter())
            .filter(|lot| season.products[lot.product].food == food)
            .map(|lot| FoodLot::of(season, 0, lot))
            .collect();
        let mut in_store: Vec<Giving> = (stored.chunks(1))
            .map(|lot| Giving::from(lot, first))
            .collect();
        let open = |of: &FoodLot| of.lot.from < end && of.lot.until >= first;
        let mut giving: Vec<Giving> = lots
            .chunk_by(|a, b| (a.candidate, a.crop) == (b.candidate, b.crop))
            .filter(|lots| lots.iter().any(open))
            .map(|lots| Giving::from(lots, first))
            .collect();
        let mut whole = 0.0;
        let mut spans = Vec::new();
        for week in first..end {
            let here = asked(week);
            whole += here;
            for crop in in_store.iter_mut().chain(&mut giving) {
                crop.eat(week, here.min(need.most_of_one_crop(week)));
            }
            let most = whole - in_store.iter().map(|lot| lot.given).sum::<f64>();
            if !last.contains(&week) || here <= 0.0 || most <= 0.0 {
                continue;
            }
            let mut units: Vec<(CandidateId, f64)> = Vec::new();
            for crop in giving.iter().filter(|crop| crop.given > 0.0) {
                let c = crop.lots[0].candidate;
                match units.last_mut() {
                    Some((before, sum)) if *before == c => *sum += crop.given,
                    _ => units.push((c, crop.given)),
                }
            }
            for (_, sum) in &mut units {
                *sum = sum.min(most);
            }
            spans.push(Gives {
                food,
                side,
                first,
                last: week,
                asked: whole,
                most,
                units,
            });
        }
        spans
    }

    /// What strips give in one span of weeks; `None` where [`Gives::spans`] leaves it out.
    pub fn of(
        season: &Season,
        lots: &[FoodLot],
        food: FoodId,
        side: Side,
        (first, last): (usize, usize),
    ) -> Option<Gives> {
        Gives::spans(season, lots, food, side, first, last..last + 1).pop()
    }

    /// The row for a divisor; `None` where the remainder is too small for a useful one.
    pub fn rounded(&self, divisor: f64) -> Option<Rounding> {
        let scale = Scale::of(self.most, divisor)?;
        Some(Rounding {
            food: self.food,
            side: self.side,
            first: self.first,
            last: self.last,
            divisor,
            right: match self.side {
                Side::Wish => self.asked - scale.units * scale.up,
                Side::Floor => -scale.units * scale.up,
            },
            terms: self
                .units
                .iter()
                .map(|&(c, units)| (c, scale.units * scale.coefficient(units)))
                .collect(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::{FoodLot, Giving};
    use crate::candidates::Lot;
    use petgraph::algo::dinics;
    use petgraph::graph::Graph;
    use proptest::prelude::*;

    /// A lot of whole units that loses nothing.
    fn lot(from: usize, until: usize, amount: u32) -> FoodLot {
        FoodLot {
            candidate: 0,
            crop: 0,
            lot: Lot {
                product: 0,
                from,
                fresh_until: until,
                until,
                amount: f64::from(amount),
            },
            weekly_loss: 0.0,
        }
    }

    proptest! {
        // Against the greatest flow from lots to weeks, found by petgraph.
        #[test]
        fn what_lots_give_is_the_greatest_flow(
            first in 0usize..4,
            most in prop::collection::vec(0u32..8, 1..8),
            mut lots in prop::collection::vec((0usize..10, 0usize..5, 0u32..20), 0..6),
        ) {
            lots.sort_by_key(|&(from, weeks, _)| from + weeks);
            let lots: Vec<FoodLot> = (lots.iter())
                .map(|&(from, weeks, amount)| lot(from, from + weeks, amount))
                .collect();
            let mut graph: Graph<(), u32> = Graph::new();
            let (source, sink) = (graph.add_node(()), graph.add_node(()));
            let weeks: Vec<_> = (first..).zip(&most).map(|(week, &most)| {
                let node = graph.add_node(());
                graph.add_edge(node, sink, most);
                (week, node)
            }).collect();
            for FoodLot { lot, .. } in &lots {
                let node = graph.add_node(());
                graph.add_edge(source, node, lot.amount as u32);
                let open = |(week, _): &&(usize, _)| (lot.from..=lot.until).contains(week);
                for &(_, to) in weeks.iter().filter(open) {
                    graph.add_edge(node, to, lot.amount as u32);
                }
            }
            let (flow, _) = dinics(&graph, source, sink);
            let mut giving = Giving::from(&lots, first);
            for (week, &most) in (first..).zip(&most) {
                giving.eat(week, f64::from(most));
            }
            prop_assert_eq!(giving.given, f64::from(flow));
        }
    }
}
