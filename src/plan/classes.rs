//! Classes of lots, and what is eaten from each: the one place where a plan's amounts are rounded.

use crate::candidates::{CandidateId, Lot, ProductId, Season};
use crate::solve::Draw;
use std::collections::BTreeMap;

/// Amounts are cut to so many parts of a unit.
const PARTS: f64 = 1e9;
/// Share of a part by which an amount may be below a whole one through rounding of sums.
const NOISE: f64 = 1e-3;

/// What tells one class from another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ClassKey {
    pub product: ProductId,
    pub from: usize,
    pub fresh_until: usize,
    pub until: usize,
}

/// All lots of a plan with the same product and weeks.
#[derive(Clone, Debug, Default)]
pub struct Class {
    /// Units of the food.
    pub amount: f64,
    /// Units eaten by week.
    pub eaten: BTreeMap<usize, f64>,
}

/// Classes by key.
pub type Classes = BTreeMap<ClassKey, Class>;

impl ClassKey {
    pub fn of(lot: &Lot) -> ClassKey {
        ClassKey {
            product: lot.product,
            from: lot.from,
            fresh_until: lot.fresh_until,
            until: lot.until,
        }
    }

    /// Units used up of the class per unit eaten in that week.
    pub fn used_per_unit(&self, season: &Season, week: usize) -> f64 {
        let kept = week.saturating_sub(self.fresh_until);
        let loss = season.products[self.product].weekly_loss;
        (1.0 - loss).powi(-i32::try_from(kept).expect("weeks are few"))
    }
}

impl Class {
    /// Units used up, losses in store included.
    pub fn used(&self, season: &Season, key: &ClassKey) -> f64 {
        self.eaten
            .iter()
            .map(|(&week, units)| units * key.used_per_unit(season, week))
            .sum()
    }
}

/// The amount cut to whole parts.
pub fn cut(amount: f64) -> f64 {
    ((amount * PARTS + NOISE).floor() / PARTS).max(0.0)
}

/// The classes of the lots of all strips and of what is in store at the start, and the draws from them cut so that no class gives
/// more than it holds.
pub fn classes(season: &Season, strips: &[Vec<Vec<CandidateId>>], draws: &[Draw]) -> Classes {
    let mut classes = Classes::new();
    for lot in &season.in_store {
        classes.entry(ClassKey::of(lot)).or_default().amount += lot.amount;
    }
    for &id in strips.iter().flatten().flatten() {
        for lot in &season.candidates[id].lots {
            classes.entry(ClassKey::of(lot)).or_default().amount += lot.amount;
        }
    }
    for draw in draws {
        let key = ClassKey {
            product: draw.product,
            from: draw.from,
            fresh_until: draw.fresh_until,
            until: draw.until,
        };
        if let Some(class) = classes.get_mut(&key) {
            *class.eaten.entry(draw.week).or_default() += draw.units;
        }
    }
    for (key, class) in &mut classes {
        class.amount = cut(class.amount);
        let used = class.used(season, key);
        let share = if used > class.amount {
            class.amount / used
        } else {
            1.0
        };
        for units in class.eaten.values_mut() {
            *units = cut(*units * share);
        }
        class.eaten.retain(|_, units| *units > 0.0);
    }
    classes
}
