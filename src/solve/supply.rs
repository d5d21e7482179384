//! What a set of strip-years puts on the table: an exact account of worth under a division of lots over weeks, food by
//! food, carried on from change to change. Any division is feasible, so the worth is never overstated; `finish`
//! divides the final plan's supply by linear programming.

use super::context::Context;
use super::division::{Division, Eaten};
use super::larder::{Larder, band, never_eaten};
use crate::domain::FoodId;
use std::ops::Range;

/// Amounts grown below this are nothing, units.
const NOTHING: f64 = 1e-9;

/// Division of all supply.
#[derive(Clone)]
pub struct Supply {
    /// Units grown, by class.
    pub grown: Vec<f64>,
    /// Classes of each food of which something is grown, as places in the larder's list, ascending.
    active: Vec<Vec<u32>>,
    /// Units eaten, by food and week.
    pub eaten: Vec<Vec<f64>>,
    /// Worth at price of what is eaten, by week.
    pub total: Vec<f64>,
    /// Minutes of harvest, by food and week, and of all foods by week.
    minutes: Vec<Vec<f64>>,
    pub harvest: Vec<f64>,
    /// Units eaten by variety row and week.
    pub by_crop: Vec<Vec<f64>>,
    /// By food.
    pub draws: Vec<Draws>,
    /// Shortfalls and harvest work by food, money.
    food_worth: Vec<f64>,
    /// What a unit more would be worth, money: by food and week; and at most by variety row and week.
    price: Vec<Vec<f64>>,
    crop_price: Vec<Vec<f64>>,
    division: Division,
}

/// Draws of one food: (class, week, units eaten).
pub type Draws = Vec<(u32, usize, f64)>;

/// What a trial changed, to be taken back.
pub struct Before {
    foods: Vec<OneFood>,
    by_crop: Vec<(usize, Vec<f64>, Vec<f64>)>,
    total: Vec<f64>,
    harvest: Vec<f64>,
    grown: Vec<(u32, f64)>,
}

struct OneFood {
    food: FoodId,
    eaten: Vec<f64>,
    minutes: Vec<f64>,
    draws: Draws,
    worth: f64,
    price: Vec<f64>,
}

impl Supply {
    /// Nothing grown, nothing eaten.
    pub fn none(context: &Context) -> Supply {
        let season = context.season;
        let table = vec![vec![0.0; season.weeks]; season.foods.len()];
        Supply {
            grown: vec![0.0; context.classes.list.len()],
            active: vec![Vec::new(); season.foods.len()],
            eaten: table.clone(),
            total: vec![0.0; season.weeks],
            minutes: table.clone(),
            price: table,
            crop_price: vec![vec![f64::INFINITY; season.weeks]; context.variety.rows.len()],
            harvest: vec![0.0; season.weeks],
            by_crop: vec![vec![0.0; season.weeks]; context.variety.rows.len()],
            draws: vec![Vec::new(); season.foods.len()],
            food_worth: season.foods.iter().map(|f| -never_eaten(f)).collect(),
            division: Division::default(),
        }
    }

    /// Changes what is grown and divides the foods concerned anew; what is needed to take it back.
    pub fn change(&mut self, context: &Context, larder: &Larder, changes: &[(u32, f64)]) -> Before {
        let mut foods: Vec<FoodId> = changes
            .iter()
            .map(|&(class, _)| larder.food_of[class as usize])
            .collect();
        foods.sort_unstable();
        foods.dedup();
        let before = Before {
            foods: foods
                .iter()
                .map(|&food| OneFood {
                    food,
                    eaten: self.eaten[food].clone(),
                    minutes: self.minutes[food].clone(),
                    draws: self.draws[food].clone(),
                    worth: self.food_worth[food],
                    price: self.price[food].clone(),
                })
                .collect(),
            by_crop: foods
                .iter()
                .flat_map(|&f| &larder.rows[f])
                .map(|&row| (row, self.by_crop[row].clone(), self.crop_price[row].clone()))
                .collect(),
            total: self.total.clone(),
            harvest: self.harvest.clone(),
            grown: changes
                .iter()
                .map(|&(c, _)| (c, self.grown[c as usize]))
                .collect(),
        };
        for &(class, units) in changes {
            self.set_grown(larder, class, self.grown[class as usize] + units);
        }
        for &food in &foods {
            let mut weeks = context.season.weeks..0;
            for &(class, _) in changes {
                if larder.food_of[class as usize] == food {
                    let lots = &context.classes.list[class as usize];
                    weeks = weeks.start.min(lots.from)..weeks.end.max(lots.until + 1);
                }
            }
            self.divide_near(context, larder, food, weeks);
        }
        before
    }

    fn set_grown(&mut self, larder: &Larder, class: u32, units: f64) {
        let units = if units < NOTHING { 0.0 } else { units };
        let slot = &mut self.grown[class as usize];
        if (*slot > 0.0) != (units > 0.0) {
            let active = &mut self.active[larder.food_of[class as usize]];
            let place = larder.place[class as usize];
            match active.binary_search(&place) {
                Ok(at) => {
                    active.remove(at);
                }
                Err(at) => active.insert(at, place),
            }
        }
        *slot = units;
    }

    /// Takes a change back.
    pub fn restore(&mut self, larder: &Larder, before: Before) {
        for (class, units) in before.grown.into_iter().rev() {
            self.set_grown(larder, class, units);
        }
        for one in before.foods {
            self.eaten[one.food] = one.eaten;
            self.minutes[one.food] = one.minutes;
            self.draws[one.food] = one.draws;
            self.food_worth[one.food] = one.worth;
            self.price[one.food] = one.price;
        }
        for (row, used, price) in before.by_crop {
            self.by_crop[row] = used;
            self.crop_price[row] = price;
        }
        self.total = before.total;
        self.harvest = before.harvest;
    }

    /// Divides one food's lots over the weeks, given what the other foods bring.
    pub fn divide(&mut self, context: &Context, larder: &Larder, food: FoodId) {
        self.divide_near(context, larder, food, 0..context.season.weeks);
    }

    fn divide_near(
        &mut self,
        context: &Context,
        larder: &Larder,
        food: FoodId,
        changed: Range<usize>,
    ) {
        let season = context.season;
        let need = &season.foods[food];
        let price = need.price;
        for (total, eaten) in self.total.iter_mut().zip(&self.eaten[food]) {
            *total = (*total - price * eaten).max(0.0);
        }
        let lots = self.active[food].iter().map(|&place| {
            let class = larder.classes[food][place as usize];
            (class, self.grown[class as usize])
        });
        let mut eaten = Eaten {
            weeks: &mut self.eaten[food],
            by_crop: &mut self.by_crop,
            price: &mut self.price[food],
            crop_price: &mut self.crop_price,
            draws: &mut self.draws[food],
        };
        let both = (context, larder);
        self.division
            .divide(both, food, lots, &self.total, changed, &mut eaten);
        let mut food_worth = 0.0;
        let minutes = &mut self.minutes[food];
        for (all, own) in self.harvest.iter_mut().zip(minutes.iter_mut()) {
            *all = (*all - *own).max(0.0);
            *own = 0.0;
        }
        for &(class, week, take) in &self.draws[food] {
            let product = context.classes.list[class as usize].product;
            minutes[week] += take * season.products[product].minutes_per_unit;
        }
        for week in 0..season.weeks {
            let eaten = self.eaten[food][week];
            self.total[week] += price * eaten;
            food_worth -= need.short_cost[week] * (need.floor[week] - eaten).max(0.0);
            food_worth -= minutes[week] * season.minute_money;
            self.harvest[week] += minutes[week];
        }
        self.food_worth[food] = food_worth;
    }

    /// What changes in what is grown can bring to the table at most, money: reckoned at the prices of the last
    /// divisions, so as right as those were.
    pub fn at_most(&self, context: &Context, larder: &Larder, changes: &[(u32, f64)]) -> f64 {
        let season = context.season;
        let price = |class: u32| {
            let food = larder.food_of[class as usize];
            let lots = &context.classes.list[class as usize];
            let work = season.products[lots.product].minutes_per_unit * season.minute_money;
            let prices = &self.price[food][lots.from..=lots.until];
            let worth = |(price, kept): (f64, &f64)| (price - work) * kept;
            let kept = larder.kept(class);
            match context.variety.of_product[lots.product] {
                None => prices
                    .iter()
                    .copied()
                    .zip(kept)
                    .map(worth)
                    .fold(0.0, f64::max),
                Some(row) => {
                    let at_most = &self.crop_price[row][lots.from..=lots.until];
                    let both = prices.iter().zip(at_most).map(|(a, b)| a.min(*b));
                    both.zip(kept).map(worth).fold(0.0, f64::max)
                }
            }
        };
        (changes.iter())
            .map(|&(class, units)| units * price(class))
            .sum()
    }

    /// Worth of the table: food at price less shortfalls, below-band cost and harvest work, money.
    pub fn worth(&self, context: &Context) -> f64 {
        let mut worth: f64 = self.food_worth.iter().sum();
        for (week, total) in self.total.iter().enumerate() {
            let (low, _, below) = band(context, week);
            worth += total - below * (low - total).max(0.0);
        }
        worth
    }
}
