//! What a set of strip-years puts on the table: an exact account of worth under a quick division of
//! lots over weeks, food by food, earliest to spoil first. Any division is feasible, so the worth is
//! never overstated; `finish` divides the final plan's supply by linear programming.

use super::context::Context;
use crate::domain::FoodId;

/// Lots that keep no longer are first eaten in their fresh weeks, weeks.
const SHORT_LIFE: usize = 3;
/// Amounts below this are nothing, units.
const NOTHING: f64 = 1e-9;

/// Division of all supply.
#[derive(Clone)]
pub struct Supply {
    /// Units grown, by class.
    pub grown: Vec<f64>,
    /// Units eaten, by food and week.
    pub eaten: Vec<Vec<f64>>,
    /// Worth at price of what is eaten, by week.
    pub total: Vec<f64>,
    /// Minutes of harvest, by food and week.
    pub minutes: Vec<Vec<f64>>,
    /// Units eaten by variety row and week.
    pub by_crop: Vec<Vec<f64>>,
    /// By food.
    pub draws: Vec<Draws>,
    /// Shortfalls and harvest work by food, money.
    food_worth: Vec<f64>,
    scratch: Vec<(u32, f64)>,
}

/// Draws of one food: (class, week, units eaten).
pub type Draws = Vec<(u32, usize, f64)>;

/// What a trial changed, to be taken back.
pub struct Before {
    foods: Vec<OneFood>,
    by_crop: Vec<(usize, Vec<f64>)>,
    total: Vec<f64>,
    grown: Vec<(u32, f64)>,
}

struct OneFood {
    food: FoodId,
    eaten: Vec<f64>,
    minutes: Vec<f64>,
    draws: Draws,
    worth: f64,
}

/// Which classes serve which food, in order of spoiling.
pub struct Larder {
    classes: Vec<Vec<u32>>,
    food_of: Vec<FoodId>,
    /// Variety rows of each food.
    rows: Vec<Vec<usize>>,
}

impl Larder {
    /// Sorts the classes of a season by food and spoiling.
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
                (class.until, class.from, c)
            });
        }
        let mut rows = vec![Vec::new(); season.foods.len()];
        for (row, &(food, _)) in context.variety.rows.iter().enumerate() {
            rows[food].push(row);
        }
        Larder {
            classes,
            food_of,
            rows,
        }
    }
}

impl Supply {
    /// Nothing grown, nothing eaten.
    pub fn none(context: &Context) -> Supply {
        let season = context.season;
        let table = vec![vec![0.0; season.weeks]; season.foods.len()];
        Supply {
            grown: vec![0.0; context.classes.list.len()],
            eaten: table.clone(),
            total: vec![0.0; season.weeks],
            minutes: table,
            by_crop: vec![vec![0.0; season.weeks]; context.variety.rows.len()],
            draws: vec![Vec::new(); season.foods.len()],
            food_worth: season
                .foods
                .iter()
                .map(|f| -f.short_cost * f.floor.iter().sum::<f64>())
                .collect(),
            scratch: Vec::new(),
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
                })
                .collect(),
            by_crop: foods
                .iter()
                .flat_map(|&f| &larder.rows[f])
                .map(|&row| (row, self.by_crop[row].clone()))
                .collect(),
            total: self.total.clone(),
            grown: changes
                .iter()
                .map(|&(c, _)| (c, self.grown[c as usize]))
                .collect(),
        };
        for &(class, units) in changes {
            let slot = &mut self.grown[class as usize];
            *slot = (*slot + units).max(0.0);
            if *slot < NOTHING {
                *slot = 0.0;
            }
        }
        for &food in &foods {
            self.divide(context, larder, food);
        }
        before
    }

    /// Takes a change back.
    pub fn restore(&mut self, before: Before) {
        for (class, units) in before.grown.into_iter().rev() {
            self.grown[class as usize] = units;
        }
        for one in before.foods {
            self.eaten[one.food] = one.eaten;
            self.minutes[one.food] = one.minutes;
            self.draws[one.food] = one.draws;
            self.food_worth[one.food] = one.worth;
        }
        for (row, used) in before.by_crop {
            self.by_crop[row] = used;
        }
        self.total = before.total;
    }

    /// Divides one food's lots over the weeks, given what the other foods bring: need of most worth
    /// first, and for it the lots that spoil first, each as early as it can.
    pub fn divide(&mut self, context: &Context, larder: &Larder, food: FoodId) {
        let season = context.season;
        let need = &season.foods[food];
        let price = need.price;
        for week in 0..season.weeks {
            self.total[week] = (self.total[week] - price * self.eaten[food][week]).max(0.0);
        }
        let mut levels = self.levels(context, food);
        let mut left = std::mem::take(&mut self.scratch);
        left.clear();
        let stocked = larder.classes[food]
            .iter()
            .map(|&c| (c, self.grown[c as usize]));
        left.extend(stocked.filter(|&(_, units)| units > 0.0));
        let mut eaten = std::mem::take(&mut self.eaten[food]);
        eaten.fill(0.0);
        let mut minutes = std::mem::take(&mut self.minutes[food]);
        minutes.fill(0.0);
        let mut draws = std::mem::take(&mut self.draws[food]);
        draws.clear();
        for &row in &larder.rows[food] {
            self.by_crop[row].fill(0.0);
        }
        for (slope, room) in &mut levels {
            // Fresh first: what is kept loses by it, and may be eaten fresh at a lower level.
            for fresh in [true, false] {
                for (class, units) in &mut left {
                    let lots = &context.classes.list[*class as usize];
                    let product = &season.products[lots.product];
                    let work = product.minutes_per_unit * season.minute_money;
                    let short_lived = lots.until - lots.from <= SHORT_LIFE;
                    if *units <= NOTHING || *slope <= work || (fresh && !short_lived) {
                        continue;
                    }
                    let row = context.variety.of_product[lots.product];
                    let keep = 1.0 - product.weekly_loss;
                    let (first, last) = if fresh {
                        (lots.from, lots.fresh_until)
                    } else {
                        (lots.from, lots.until)
                    };
                    let mut kept = 1.0;
                    for week in first..=last {
                        if week > lots.fresh_until {
                            kept *= keep;
                        }
                        if room[week] <= 0.0 {
                            continue;
                        }
                        let mut take = (*units * kept).min(room[week]);
                        if let Some(row) = row {
                            let cap = need.single_crop_share * need.wish[week];
                            take = take.min(cap - self.by_crop[row][week]);
                        }
                        if take > 0.0 {
                            *units -= take / kept;
                            room[week] -= take;
                            eaten[week] += take;
                            minutes[week] += take * product.minutes_per_unit;
                            if let Some(row) = row {
                                self.by_crop[row][week] += take;
                            }
                            draws.push((*class, week, take));
                            if *units <= NOTHING {
                                break;
                            }
                        }
                    }
                }
            }
        }
        let mut food_worth = 0.0;
        for week in 0..season.weeks {
            self.total[week] += price * eaten[week];
            food_worth -= need.short_cost * (need.floor[week] - eaten[week]).max(0.0);
            food_worth -= minutes[week] * season.minute_money;
        }
        self.food_worth[food] = food_worth;
        self.eaten[food] = eaten;
        self.minutes[food] = minutes;
        self.draws[food] = draws;
        self.scratch = left;
    }

    /// The need of one food, given the totals of the others: worth per unit and units by week, in
    /// levels of falling worth.
    fn levels(&self, context: &Context, food: FoodId) -> [(f64, Vec<f64>); 4] {
        let season = context.season;
        let need = &season.foods[food];
        let price = need.price.max(NOTHING);
        let below = season.level.as_ref().map_or(0.0, |l| l.below_cost);
        let room = || vec![0.0; season.weeks];
        // Index: two for below the floor, one for below the band.
        let mut levels = [
            (need.price, room()),
            (need.price * (1.0 + below), room()),
            (need.price + need.short_cost, room()),
            (need.price * (1.0 + below) + need.short_cost, room()),
        ];
        for week in 0..season.weeks {
            let (low, high, _) = band(context, week);
            let rest = self.total[week];
            let cap = need.wish[week].min((high - rest).max(0.0) / price);
            if cap <= NOTHING {
                continue;
            }
            let floor = need.floor[week].min(cap);
            let level = ((low - rest).max(0.0) / price).min(cap);
            let (first, second) = if floor < level {
                (floor, level)
            } else {
                (level, floor)
            };
            levels[3].1[week] = first;
            levels[if floor > level { 2 } else { 1 }].1[week] = second - first;
            levels[0].1[week] = cap - second;
        }
        levels.sort_by(|a, b| b.0.total_cmp(&a.0));
        levels
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

/// (low, high, cost below) of the band in a week; no band: no limits.
pub fn band(context: &Context, week: usize) -> (f64, f64, f64) {
    match &context.season.level {
        Some(level) => (level.low[week], level.high[week], level.below_cost),
        None => (0.0, f64::INFINITY, 0.0),
    }
}
