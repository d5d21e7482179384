//! Which lots serve which food, and what is left of them week by week.

use super::context::Context;
use crate::candidates::FoodNeed;
use crate::domain::FoodId;
use std::ops::Range;

/// Which classes serve which food, those that keep least first.
pub struct Larder {
    pub classes: Vec<Vec<u32>>,
    pub food_of: Vec<FoodId>,
    /// Place of each class in its food's list.
    pub place: Vec<u32>,
    /// Variety rows of each food.
    pub rows: Vec<Vec<usize>>,
    /// Share of a class's harvest that is left in each of its weeks, one class after another, and where
    /// each begins.
    kept: Vec<f64>,
    /// Units harvested for one that is left.
    per_kept: Vec<f64>,
    kept_from: Vec<usize>,
}

impl Larder {
    /// Sorts the classes of a season by food and by how long they keep.
    pub fn of(context: &Context) -> Larder {
        let season = context.season;
        let mut classes = vec![Vec::new(); season.foods.len()];
        let mut food_of = Vec::with_capacity(context.classes.list.len());
        for (c, class) in (0u32..).zip(&context.classes.list) {
            let food = season.products[class.product].food;
            food_of.push(food);
            classes[food].push(c);
        }
        for list in &mut classes {
            list.sort_by_key(|&c| {
                let class = &context.classes.list[c as usize];
                (class.until - class.from, class.until, c)
            });
        }
        let mut place = vec![0; food_of.len()];
        for list in &classes {
            for (at, &class) in (0u32..).zip(list) {
                place[class as usize] = at;
            }
        }
        let mut rows = vec![Vec::new(); season.foods.len()];
        for (row, &(food, _)) in context.variety.rows.iter().enumerate() {
            rows[food].push(row);
        }
        let mut kept = Vec::new();
        let mut kept_from = vec![0];
        for class in &context.classes.list {
            let keep = 1.0 - season.products[class.product].weekly_loss;
            let mut share = 1.0;
            for week in class.from..=class.until {
                if week > class.fresh_until {
                    share *= keep;
                }
                kept.push(share);
            }
            kept_from.push(kept.len());
        }
        let per_kept = kept.iter().map(|kept| 1.0 / kept).collect();
        Larder {
            classes,
            food_of,
            place,
            rows,
            kept,
            per_kept,
            kept_from,
        }
    }

    /// Share of a class's harvest that is left in each of its weeks.
    pub fn kept(&self, class: u32) -> &[f64] {
        &self.kept[self.weeks_of(class)]
    }

    /// Units harvested for one that is left in each of its weeks.
    pub fn per_kept(&self, class: u32) -> &[f64] {
        &self.per_kept[self.weeks_of(class)]
    }

    fn weeks_of(&self, class: u32) -> Range<usize> {
        let class = class as usize;
        self.kept_from[class]..self.kept_from[class + 1]
    }
}

/// Cost of a food's floors when nothing of it is eaten, money.
pub fn never_eaten(food: &FoodNeed) -> f64 {
    let weeks = food.floor.iter().zip(&food.short_cost);
    weeks.map(|(floor, cost)| floor * cost).sum()
}

/// (low, high, cost below) of the band in a week; no band: no limits.
pub fn band(context: &Context, week: usize) -> (f64, f64, f64) {
    match &context.season.level {
        Some(level) => (level.low[week], level.high[week], level.below_cost),
        None => (0.0, f64::INFINITY, 0.0),
    }
}
