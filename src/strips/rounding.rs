//! Rounding rows: what whole strips can bring to the table in a span of weeks, which shares of strips
//! would overstate (docs/method/bound.md, "Rounding rows").
//!
//! In weeks `W` all plantings give at most `sum A_p x_p` of a food, of which `Y` is eaten and `D`
//! wished: `sum A_p x_p + (D - Y) >= D`, which is rounded for a divisor ([`Scale`]).
//!
//! With floors in place of wishes, and what is short of them in place of `D - Y`, the same holds.

use crate::candidates::{CandidateId, Season};
use crate::domain::FoodId;
use crate::rules::Scale;

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

/// The lots of one food: (candidate, first week, last fresh week, last week, units, weekly loss).
pub type FoodLots = Vec<(CandidateId, [usize; 3], f64, f64)>;

/// The lots of a food, ascending by candidate.
pub fn food_lots(season: &Season, food: FoodId) -> FoodLots {
    let mut lots = Vec::new();
    for (c, candidate) in season.candidates.iter().enumerate() {
        for lot in &candidate.lots {
            let product = &season.products[lot.product];
            if product.food == food {
                let weeks = [lot.from, lot.fresh_until, lot.until];
                lots.push((c, weeks, lot.amount, product.weekly_loss));
            }
        }
    }
    lots
}

impl Gives {
    /// What strips give in the weeks `first..=last`; `None` where nothing is asked for at an end of
    /// the span.
    pub fn of(
        season: &Season,
        lots: &FoodLots,
        food: FoodId,
        side: Side,
        (first, last): (usize, usize),
    ) -> Option<Gives> {
        let need = &season.foods[food];
        let asked = |w: usize| match side {
            Side::Wish => need.wish[w],
            Side::Floor => need.floor[w].min(need.wish[w]),
        };
        if last >= season.weeks || asked(first) <= 0.0 || asked(last) <= 0.0 {
            return None;
        }
        let sum = |from: usize, until: usize| -> f64 {
            (from.max(first)..=until.min(last)).map(asked).sum()
        };
        let given = |[from, fresh_until, until]: [usize; 3], amount: f64, loss: f64| -> f64 {
            if from > last || until < first {
                return 0.0;
            }
            let kept = from.max(first).saturating_sub(fresh_until);
            (amount * (1.0 - loss).powi(kept as i32)).min(sum(from, until))
        };
        let stored: f64 = season
            .in_store
            .iter()
            .filter(|lot| season.products[lot.product].food == food)
            .map(|lot| {
                let weeks = [lot.from, lot.fresh_until, lot.until];
                given(weeks, lot.amount, season.products[lot.product].weekly_loss)
            })
            .sum();
        let whole = sum(first, last);
        let most = whole - stored;
        if most <= 0.0 {
            return None;
        }
        let mut units: Vec<(CandidateId, f64)> = Vec::new();
        for &(c, weeks, amount, weekly_loss) in lots {
            let given = given(weeks, amount, weekly_loss);
            if given <= 0.0 {
                continue;
            }
            match units.last_mut() {
                Some((before, sum)) if *before == c => *sum += given,
                _ => units.push((c, given)),
            }
        }
        for (_, sum) in &mut units {
            *sum = sum.min(most);
        }
        Some(Gives {
            food,
            side,
            first,
            last,
            asked: whole,
            most,
            units,
        })
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
