//! The table's side of a linear programme: eating from classes of lots, floors, wishes, variety, the
//! band and the work of harvest. Shared by the last division of a plan's supply and by the compact
//! relaxation.

use super::context::Context;
use super::interior::{Col, Lp, Point, Row};
use super::larder::never_eaten;
use crate::domain::FoodId;
use crate::strips::Prices;
use std::collections::BTreeMap;

/// Columns and rows of the table in an [`Lp`]. Rows that cannot bind are absent.
pub struct Table {
    /// Row in which a class's harvest counts.
    grows: BTreeMap<u32, Row>,
    /// (class, week, column): units eaten.
    pub draws: Vec<(u32, usize, Col)>,
    eat: BTreeMap<(usize, usize), Row>,
    /// Columns of what is eaten and, where there is a floor, short, by food and week.
    pub eaten: BTreeMap<(usize, usize), (Col, Option<Col>)>,
    /// Cost of the floors of foods and weeks that no draw serves, money.
    pub never_eaten: f64,
    variety: BTreeMap<(usize, usize), Row>,
    band_high: Vec<Option<Row>>,
    band_low: Vec<Option<Row>>,
    /// Row of the work limit by week, where there is one.
    pub work: Vec<Option<Row>>,
}

impl Table {
    /// Adds the table to `lp` for the classes given, each with units already grown.
    pub fn add(
        lp: &mut Lp,
        context: &Context,
        classes: &BTreeMap<u32, f64>,
        work_left: &[f64],
    ) -> Table {
        let mut table = Table::needs(lp, context, work_left);
        for (&class, &units) in classes {
            table.add_class(lp, context, class, units);
        }
        table
    }

    /// Lets a column grow units of a class.
    pub fn grow(&self, lp: &mut Lp, class: u32, col: Col, units: f64) {
        lp.term(self.grows[&class], col, -units);
    }

    fn needs(lp: &mut Lp, context: &Context, work_left: &[f64]) -> Table {
        let season = context.season;
        let mut table = Table {
            grows: BTreeMap::new(),
            draws: Vec::new(),
            eat: BTreeMap::new(),
            eaten: BTreeMap::new(),
            never_eaten: season.foods.iter().map(never_eaten).sum(),
            variety: BTreeMap::new(),
            band_high: vec![None; season.weeks],
            band_low: vec![None; season.weeks],
            work: vec![None; season.weeks],
        };
        if season.minutes_per_week.is_some() {
            for week in 0..season.weeks {
                table.work[week] = Some(lp.at_most(("work", [week, 0, 0]), work_left[week]));
            }
        }
        table.add_bands(lp, context);
        table
    }

    fn add_bands(&mut self, lp: &mut Lp, context: &Context) {
        let Some(level) = &context.season.level else {
            return;
        };
        for week in 0..context.season.weeks {
            self.band_high[week] = Some(lp.at_most(("above", [week, 0, 0]), level.high[week]));
            let low = lp.at_most(("below", [week, 0, 0]), -level.low[week]);
            let below = lp.col(("below", [week, 0, 0]), level.below_cost);
            lp.term(low, below, -1.0);
            self.band_low[week] = Some(low);
        }
    }

    /// The row that ties what is eaten of a food in a week to its draws; made, with the food's
    /// other rows, when the first draw asks for it, so that no column is forced to zero.
    fn eat(&mut self, lp: &mut Lp, context: &Context, f: FoodId, week: usize) -> Option<Row> {
        let food = &context.season.foods[f];
        if food.wish[week] <= 0.0 {
            return None;
        }
        if let Some(&row) = self.eat.get(&(f, week)) {
            return Some(row);
        }
        let eaten = lp.col(("eaten", [f, week, 0]), -food.price);
        let eat = lp.at_most(("eaten", [f, week, 0]), 0.0);
        lp.term(eat, eaten, 1.0);
        self.eat.insert((f, week), eat);
        let wish = lp.at_most(("wish", [f, week, 0]), food.wish[week]);
        lp.term(wish, eaten, 1.0);
        let mut shortage = None;
        if food.floor[week] > 0.0 && food.short_cost[week] > 0.0 {
            let floor = lp.at_most(("floor", [f, week, 0]), -food.floor[week]);
            let short = lp.col(("short", [f, week, 0]), food.short_cost[week]);
            shortage = Some(short);
            lp.term(floor, short, -1.0);
            lp.term(floor, eaten, -1.0);
            self.never_eaten -= food.short_cost[week] * food.floor[week];
        }
        self.eaten.insert((f, week), (eaten, shortage));
        if let Some(row) = self.band_high[week] {
            lp.term(row, eaten, food.price);
        }
        if let Some(row) = self.band_low[week] {
            lp.term(row, eaten, -food.price);
        }
        Some(eat)
    }

    fn add_class(&mut self, lp: &mut Lp, context: &Context, class: u32, units: f64) {
        let season = context.season;
        let lots = &context.classes.list[class as usize];
        let row = lp.at_most(("grown", [class as usize, 0, 0]), units);
        self.grows.insert(class, row);
        for week in lots.from..=lots.until {
            if let Some(draw) = self.draw(lp, context, class, week) {
                lp.term(row, draw, lots.used_per_unit(week, season));
                self.draws.push((class, week, draw));
            }
        }
    }

    /// A column for what is eaten of a class in a week; `None` where nobody wants it then.
    fn draw(&mut self, lp: &mut Lp, context: &Context, class: u32, week: usize) -> Option<Col> {
        let season = context.season;
        let product = context.classes.list[class as usize].product;
        let item = &season.products[product];
        let eat = self.eat(lp, context, item.food, week)?;
        let draw = lp.col(
            ("draw", [class as usize, week, 0]),
            item.minutes_per_unit * season.minute_money,
        );
        lp.term(eat, draw, -1.0);
        if let Some(v) = context.variety.of_product[product] {
            let food = &season.foods[item.food];
            let cap = food.most_of_one_crop(week);
            let limit = *self
                .variety
                .entry((v, week))
                .or_insert_with(|| lp.at_most(("one crop", [v, week, 0]), cap));
            lp.term(limit, draw, 1.0);
        }
        if let Some(limit) = self.work[week] {
            lp.term(limit, draw, item.minutes_per_unit);
        }
        Some(draw)
    }

    /// Writes the prices of the table's rows.
    pub fn read_prices(&self, context: &Context, point: &Point, prices: &mut Prices) {
        let season = context.season;
        let below = season.level.as_ref().map_or(0.0, |l| l.below_cost);
        for (f, food) in season.foods.iter().enumerate() {
            for week in 0..season.weeks {
                // What nothing supplies is worth all that a first unit would bring; no unit is worth more.
                let first = if food.wish[week] <= 0.0 {
                    0.0
                } else if food.floor[week] > 0.0 {
                    food.price * (1.0 + below) + food.short_cost[week]
                } else {
                    food.price * (1.0 + below)
                };
                prices.food[f][week] = self
                    .eat
                    .get(&(f, week))
                    .map_or(first, |&row| point.prices[row].min(first));
            }
        }
        for (&(v, week), &row) in &self.variety {
            prices.variety[v][week] = point.prices[row];
        }
        for (slot, row) in prices.work.iter_mut().zip(&self.work) {
            *slot = row.map_or(0.0, |r| point.prices[r]);
        }
    }
}
