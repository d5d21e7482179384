//! Prices of the rows that strips share, and what each candidate is worth to a strip at them.
//!
//! Any non-negative prices give a valid bound (docs/method/bound.md); good ones give a tight one.

use super::{Break, CoverCosts, CoverRow, Lid, LotClasses, Rounding, Side, Terrain};
use crate::candidates::{BARE, ProductId, Season};
use crate::domain::{BedId, CropId, FoodId};
use std::sync::Arc;

/// Prices of the shared rows, money per unit of the row. Names follow docs/method/programme.md.
#[derive(Clone, Debug, PartialEq)]
pub struct Prices {
    /// Worth of one more unit of a food eaten, by food and week.
    pub food: Vec<Vec<f64>>,
    /// Of the variety rows, by [`VarietyRows`] row and week.
    pub variety: Vec<Vec<f64>>,
    /// Of a minute of work, by week.
    pub work: Vec<f64>,
    /// Of one cover, by cover and week.
    pub cover: Vec<Vec<f64>>,
    /// Of a m² of shelf, unlit and lit, by week.
    pub shelf: [Vec<f64>; 2],
    /// Of a plant on the shelf at the start, by entry.
    pub plants: Vec<f64>,
    /// Of a unit missing of what is counted on, by entry of [`Season::always`].
    pub always: Vec<f64>,
    /// The rounding rows that are priced, and the price of each.
    pub roundings: Arc<Vec<Rounding>>,
    pub rounding: Vec<f64>,
    /// The cover rows and lids that are priced, and the price of each: not in a standing year.
    pub cover_rows: Arc<Vec<CoverRow>>,
    pub cover_row_price: Vec<f64>,
    pub lids: Arc<Vec<Lid>>,
    pub lid_price: Vec<f64>,
    /// The rows of breaks that are priced, and the price of each: only in a standing year, since elsewhere the
    /// path keeps all breaks.
    pub breaks: Arc<Vec<Break>>,
    pub break_price: Vec<f64>,
}

/// Which (food, crop) pairs have a variety row: those that could break it.
#[derive(Clone, Debug)]
pub struct VarietyRows {
    pub rows: Vec<(FoodId, CropId)>,
    /// Row of each product.
    pub of_product: Vec<Option<usize>>,
}

impl VarietyRows {
    /// Rows for every food whose share is below one.
    pub fn of(season: &Season) -> VarietyRows {
        let mut rows: Vec<(FoodId, CropId)> = season
            .products
            .iter()
            .filter(|p| season.foods[p.food].single_crop_share < 1.0)
            .map(|p| (p.food, p.crop))
            .collect();
        rows.sort_unstable();
        rows.dedup();
        let of_product = season
            .products
            .iter()
            .map(|p| rows.binary_search(&(p.food, p.crop)).ok())
            .collect();
        VarietyRows { rows, of_product }
    }
}

impl Prices {
    /// All zero.
    pub fn zero(season: &Season, variety: &VarietyRows) -> Prices {
        let weeks = season.weeks;
        let table = |rows: usize| vec![vec![0.0; weeks]; rows];
        Prices {
            food: table(season.foods.len()),
            variety: table(variety.rows.len()),
            work: vec![0.0; weeks],
            cover: table(season.covers.len()),
            shelf: [vec![0.0; weeks], vec![0.0; weeks]],
            plants: vec![0.0; season.on_shelf.len()],
            always: vec![0.0; season.always.len()],
            roundings: Arc::default(),
            rounding: Vec::new(),
            cover_rows: Arc::default(),
            cover_row_price: Vec::new(),
            lids: Arc::default(),
            lid_price: Vec::new(),
            breaks: Arc::default(),
            break_price: Vec::new(),
        }
    }

    /// Leaves out the rows that speak of plantings by number or of so many strips: rounding rows, cover rows, lids and
    /// breaks.
    pub fn without_rows(mut self) -> Prices {
        self.roundings = Arc::default();
        self.rounding = Vec::new();
        self.cover_rows = Arc::default();
        self.cover_row_price = Vec::new();
        self.lids = Arc::default();
        self.lid_price = Vec::new();
        self.without_breaks()
    }

    /// Leaves out the rows of breaks.
    pub fn without_breaks(mut self) -> Prices {
        self.breaks = Arc::default();
        self.break_price = Vec::new();
        self
    }

    /// Brings every price into its range, so that the bound is finite and valid.
    pub fn clamp(&mut self, season: &Season) {
        let limited = season.minutes_per_week.is_some();
        // Prices of another season may speak of groups that this one has not.
        if self.lids.iter().any(|lid| lid.group >= season.groups.len()) {
            (self.lids, self.lid_price) = (Arc::default(), Vec::new());
        }
        for (always, rule) in self.always.iter_mut().zip(&season.always) {
            *always = always.clamp(0.0, rule.missing_money);
        }
        self.work
            .iter_mut()
            .for_each(|p| *p = if limited { p.max(0.0) } else { 0.0 });
        let rest = self
            .food
            .iter_mut()
            .chain(&mut self.variety)
            .chain(&mut self.cover)
            .chain([
                &mut self.rounding,
                &mut self.cover_row_price,
                &mut self.lid_price,
                &mut self.break_price,
            ]);
        for row in rest.chain(&mut self.shelf).chain([&mut self.plants]) {
            row.iter_mut().for_each(|p| *p = p.max(0.0));
        }
    }

    /// `share * self + (1 - share) * other`; both price the same rounding rows, cover rows, lids and
    /// breaks.
    pub fn blend(&self, other: &Prices, share: f64) -> Prices {
        let mix = |a: &[f64], b: &[f64]| -> Vec<f64> {
            a.iter()
                .zip(b)
                .map(|(x, y)| share * x + (1.0 - share) * y)
                .collect()
        };
        let table = |a: &[Vec<f64>], b: &[Vec<f64>]| -> Vec<Vec<f64>> {
            a.iter().zip(b).map(|(x, y)| mix(x, y)).collect()
        };
        Prices {
            food: table(&self.food, &other.food),
            variety: table(&self.variety, &other.variety),
            work: mix(&self.work, &other.work),
            cover: table(&self.cover, &other.cover),
            shelf: [
                mix(&self.shelf[0], &other.shelf[0]),
                mix(&self.shelf[1], &other.shelf[1]),
            ],
            plants: mix(&self.plants, &other.plants),
            always: mix(&self.always, &other.always),
            roundings: self.roundings.clone(),
            rounding: mix(&self.rounding, &other.rounding),
            cover_rows: self.cover_rows.clone(),
            cover_row_price: mix(&self.cover_row_price, &other.cover_row_price),
            lids: self.lids.clone(),
            lid_price: mix(&self.lid_price, &other.lid_price),
            breaks: self.breaks.clone(),
            break_price: mix(&self.break_price, &other.break_price),
        }
    }

    /// All prices one after another: food, variety, work, cover, shelf, plants, always, rounding,
    /// cover_row_price, lid_price, break_price.
    pub fn flat(&self) -> Vec<f64> {
        let mut flat = Vec::new();
        for row in self.rows() {
            flat.extend_from_slice(row);
        }
        flat
    }

    /// Takes prices in the order of [`Prices::flat`].
    pub fn set_flat(&mut self, flat: &[f64]) {
        let mut rest = flat;
        for row in self.rows_mut() {
            let (head, tail) = rest.split_at(row.len());
            row.copy_from_slice(head);
            rest = tail;
        }
    }

    fn rows(&self) -> Vec<&Vec<f64>> {
        let tables = self.food.iter().chain(&self.variety).chain([&self.work]);
        tables
            .chain(&self.cover)
            .chain(&self.shelf)
            .chain([
                &self.plants,
                &self.always,
                &self.rounding,
                &self.cover_row_price,
                &self.lid_price,
                &self.break_price,
            ])
            .collect()
    }

    fn rows_mut(&mut self) -> Vec<&mut Vec<f64>> {
        let tables = self
            .food
            .iter_mut()
            .chain(&mut self.variety)
            .chain([&mut self.work]);
        tables
            .chain(&mut self.cover)
            .chain(&mut self.shelf)
            .chain([&mut self.plants, &mut self.always])
            .chain([
                &mut self.rounding,
                &mut self.cover_row_price,
                &mut self.lid_price,
                &mut self.break_price,
            ])
            .collect()
    }

    /// What a unit of the product, eaten in the week, brings after harvest work, money.
    pub fn unit(
        &self,
        season: &Season,
        variety: &VarietyRows,
        product: ProductId,
        week: usize,
    ) -> f64 {
        let item = &season.products[product];
        let share = variety.of_product[product].map_or(0.0, |row| self.variety[row][week]);
        self.food[item.food][week]
            - share
            - item.minutes_per_unit * (season.minute_money + self.work[week])
    }
}

/// What rounding rows and cover rows add to the price of food eaten and take off the cost of food short, by food and
/// week, money per unit.
#[derive(Clone, Debug)]
pub struct Tolls {
    pub eaten: Vec<Vec<f64>>,
    pub short: Vec<Vec<f64>>,
}

impl Tolls {
    /// At some prices.
    pub fn of(season: &Season, prices: &Prices) -> Tolls {
        let none = vec![vec![0.0; season.weeks]; season.foods.len()];
        let mut tolls = Tolls {
            eaten: none.clone(),
            short: none,
        };
        let roundings = prices.roundings.iter().zip(&prices.rounding);
        let cover_rows = prices.cover_rows.iter().zip(&prices.cover_row_price);
        let spans = roundings
            .map(|(row, price)| (row.food, row.side, row.first..=row.last, price))
            .chain(
                cover_rows.map(|(row, price)| (row.food, row.side, row.first..=row.last, price)),
            );
        for (food, side, weeks, price) in spans {
            let side = match side {
                Side::Wish => &mut tolls.eaten,
                Side::Floor => &mut tolls.short,
            };
            for toll in &mut side[food][weeks] {
                *toll += price;
            }
        }
        tolls
    }
}

/// What every candidate is worth at some prices, money per strip, covers left out.
#[derive(Clone, Debug)]
pub struct Values {
    /// Without its covers.
    pub bare: Vec<f64>,
    /// The covers it needs at their prices and the moves within it, money per whole bed.
    pub covers: Vec<f64>,
    /// What lying on each bed costs beside.
    pub costs: CoverCosts,
}

impl Values {
    /// Values of all candidates.
    pub fn of(
        season: &Season,
        classes: &LotClasses,
        variety: &VarietyRows,
        prices: &Prices,
    ) -> Values {
        Values::some(
            season,
            classes,
            variety,
            prices,
            &(0..season.candidates.len()).collect::<Vec<_>>(),
        )
    }

    /// Values of some candidates; of the others nothing is said.
    pub fn some<'c>(
        season: &Season,
        classes: &LotClasses,
        variety: &VarietyRows,
        prices: &Prices,
        candidates: impl IntoIterator<Item = &'c usize>,
    ) -> Values {
        let per_unit = class_values(season, classes, variety, prices);
        let costs = CoverCosts::of(season, prices);
        let cumulated: Vec<Vec<f64>> = (prices.cover.iter())
            .map(|row| running_sum(row, season.ground_weeks()))
            .collect();
        let mut bare = vec![0.0; season.candidates.len()];
        let mut covers = vec![0.0; season.candidates.len()];
        for &c in candidates {
            let candidate = &season.candidates[c];
            let lots: f64 = classes.of_candidate[c]
                .iter()
                .map(|&(class, units)| per_unit[class as usize] * units)
                .sum();
            let work: f64 = candidate
                .work
                .iter()
                .map(|&(week, minutes)| minutes * (season.minute_money + prices.work[week]))
                .sum();
            let shelf: f64 = candidate
                .shelf
                .iter()
                .map(|s| s.m2 * prices.shelf[usize::from(s.lit)][s.week])
                .sum();
            let plants: f64 = (candidate.plants.iter())
                .map(|p| p.plants * prices.plants[p.of])
                .sum();
            bare[c] = lots - work - shelf - plants - candidate.cost;
            covers[c] = cover_cost(season, candidate, &cumulated);
        }
        let roundings = prices.roundings.iter().zip(&prices.rounding);
        let cover_rows = prices.cover_rows.iter().zip(&prices.cover_row_price);
        let terms = roundings
            .map(|(row, price)| (&row.terms, price))
            .chain(cover_rows.map(|(row, price)| (&row.terms, price)));
        for (terms, price) in terms {
            if *price > 0.0 {
                for &(c, units) in terms {
                    bare[c] += price * units;
                }
            }
        }
        for (row, price) in prices.breaks.iter().zip(&prices.break_price) {
            if *price > 0.0 {
                for &c in &row.takers {
                    bare[c] -= price;
                }
            }
        }
        Values {
            bare,
            covers,
            costs,
        }
    }

    /// Worth of a candidate on one strip of a bed of a terrain, covers and "always" directives included.
    pub fn directed(
        &self,
        season: &Season,
        prices: &Prices,
        terrain: &Terrain,
        bed: BedId,
        candidate: usize,
    ) -> f64 {
        let covers = self.covers[candidate] + self.costs.on_bed(season, bed, candidate);
        self.plain(season, prices, terrain, candidate) - covers / f64::from(terrain.strips)
    }

    /// The same with covers taken as paid.
    pub fn plain(
        &self,
        season: &Season,
        prices: &Prices,
        terrain: &Terrain,
        candidate: usize,
    ) -> f64 {
        let mut value = self.bare[candidate];
        for a in terrain.served(candidate) {
            value += prices.always[a] * season.always[a].per_strip(&season.kinds[terrain.kind]);
        }
        value
    }
}

/// What one unit of each class brings in its best week, money.
pub fn class_values(
    season: &Season,
    classes: &LotClasses,
    variety: &VarietyRows,
    prices: &Prices,
) -> Vec<f64> {
    best_weeks(season, classes, variety, prices)
        .into_iter()
        .map(|(value, _, _)| value)
        .collect()
}

/// For each class: what one unit brings in its best week, that week, and the units eaten then;
/// zero, the first week and zero where no week pays.
pub fn best_weeks(
    season: &Season,
    classes: &LotClasses,
    variety: &VarietyRows,
    prices: &Prices,
) -> Vec<(f64, usize, f64)> {
    let units: Vec<Vec<f64>> = (0..season.products.len())
        .map(|p| {
            (0..season.weeks)
                .map(|w| prices.unit(season, variety, p, w))
                .collect()
        })
        .collect();
    classes
        .list
        .iter()
        .map(|class| {
            let keep = 1.0 - season.products[class.product].weekly_loss;
            let row = &units[class.product];
            let mut best = (0.0, class.from, 0.0);
            let mut left = 1.0;
            for (week, &unit) in row
                .iter()
                .enumerate()
                .take(class.until + 1)
                .skip(class.from)
            {
                if week > class.fresh_until {
                    left *= keep;
                }
                if unit * left > best.0 {
                    best = (unit * left, week, left);
                }
            }
            best
        })
        .collect()
}

/// Sums over so many weeks; those of the row come again and again.
fn running_sum(row: &[f64], weeks: usize) -> Vec<f64> {
    let mut sums = Vec::with_capacity(weeks + 1);
    let mut sum = 0.0;
    sums.push(0.0);
    for &value in row.iter().cycle().take(weeks) {
        sum += value;
        sums.push(sum);
    }
    sums
}

/// Price of the covers over its weeks plus the moves between its own weeks, per whole bed.
fn cover_cost(
    season: &Season,
    candidate: &crate::candidates::Candidate,
    cumulated: &[Vec<f64>],
) -> f64 {
    let mut cost = 0.0;
    let mut offset = 0;
    let states = &candidate.states;
    while offset < states.len() {
        let state = states[offset];
        let run = states[offset..].iter().take_while(|&&s| s == state).count();
        if state != BARE {
            let row = &cumulated[usize::from(state) - 1];
            let from = candidate.start + offset;
            cost += row[from + run] - row[from];
        }
        if offset > 0 {
            let before = states[offset - 1];
            if before != BARE {
                cost += season.covers[usize::from(before) - 1].remove_minutes * season.minute_money;
            }
            if state != BARE {
                cost += season.covers[usize::from(state) - 1].place_minutes * season.minute_money;
            }
        }
        offset += run;
    }
    cost
}
