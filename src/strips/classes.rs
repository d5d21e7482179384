//! Classes of lots: lots with equal product and weeks are interchangeable, so that supply is
//! reckoned by class.

use crate::candidates::{Lot, ProductId, Season};
use std::collections::BTreeMap;

/// All lots with these figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LotClass {
    pub product: ProductId,
    pub from: usize,
    pub fresh_until: usize,
    pub until: usize,
}

impl LotClass {
    fn of(lot: &Lot) -> LotClass {
        LotClass {
            product: lot.product,
            from: lot.from,
            fresh_until: lot.fresh_until,
            until: lot.until,
        }
    }

    /// Most that can be used of the class, whatever is grown.
    fn useful(&self, season: &Season) -> f64 {
        (self.from..=self.until)
            .map(|week| self.used_per_unit(week, season) * self.most_eaten(week, season))
            .sum()
    }

    /// Most of its crop that can be eaten in `week`, units of the food.
    pub fn most_eaten(&self, week: usize, season: &Season) -> f64 {
        let food = &season.foods[season.products[self.product].food];
        food.wish[week] * food.single_crop_share.min(1.0)
    }

    /// Units used per unit eaten in `week`.
    pub fn used_per_unit(&self, week: usize, season: &Season) -> f64 {
        let lot = Lot {
            product: self.product,
            from: self.from,
            fresh_until: self.fresh_until,
            until: self.until,
            amount: 1.0,
        };
        lot.used_per_unit(week, season.products[self.product].weekly_loss)
    }
}

/// The classes of a season, and which class each lot of each candidate belongs to.
#[derive(Clone, Debug)]
pub struct LotClasses {
    /// Sorted.
    pub list: Vec<LotClass>,
    /// For each candidate: (class, units per strip), in the order of its lots. Units beyond what can
    /// be eaten of the class at all are left out: the same plans, a tighter relaxation.
    pub of_candidate: Vec<Vec<(u32, f64)>>,
    /// What is in store at the start: (class, units).
    pub in_store: Vec<(u32, f64)>,
}

impl LotClasses {
    /// Gathers the classes of all candidates.
    pub fn of(season: &Season) -> LotClasses {
        let mut index: BTreeMap<LotClass, u32> = BTreeMap::new();
        let grown = season.candidates.iter().flat_map(|c| &c.lots);
        for lot in grown.chain(&season.in_store) {
            index.insert(LotClass::of(lot), 0);
        }
        for (number, slot) in index.values_mut().enumerate() {
            *slot = u32::try_from(number).expect("fewer classes than 2^32");
        }
        let useful: BTreeMap<LotClass, f64> = index
            .keys()
            .map(|class| (*class, class.useful(season)))
            .collect();
        let classed = |lots: &[Lot]| -> Vec<(u32, f64)> {
            lots.iter()
                .map(|lot| {
                    let class = LotClass::of(lot);
                    (index[&class], lot.amount.min(useful[&class]))
                })
                .collect()
        };
        let of_candidate = season.candidates.iter().map(|c| classed(&c.lots)).collect();
        let in_store = classed(&season.in_store);
        LotClasses {
            list: index.into_keys().collect(),
            of_candidate,
            in_store,
        }
    }
}
