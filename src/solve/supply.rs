//! What a set of strip-years puts on the table: an exact account of worth under a quick division of
//! lots over weeks, food by food, earliest to spoil first. Any division is feasible, so the worth is
//! never overstated; `finish` divides the final plan's supply by linear programming.

use super::context::Context;
use crate::candidates::FoodNeed;
use crate::domain::FoodId;
use std::ops::Range;

/// Gains closer than this are the same, money per unit: the earlier week is taken.
const SAME: f64 = 1e-9;
/// Amounts below this are nothing, units.
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
    scratch: Draws,
    stack: Stack,
    gains: Vec<f64>,
}

/// Draws of one food: (class, week, units eaten).
pub type Draws = Vec<(u32, usize, f64)>;

/// What a trial changed, to be taken back.
pub struct Before {
    foods: Vec<OneFood>,
    by_crop: Vec<(usize, Vec<f64>)>,
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
}

/// Which classes serve which food, those that keep least first.
pub struct Larder {
    classes: Vec<Vec<u32>>,
    food_of: Vec<FoodId>,
    /// Place of each class in its food's list.
    place: Vec<u32>,
    /// Variety rows of each food.
    rows: Vec<Vec<usize>>,
    /// Share of a class's harvest that is left in each of its weeks, one class after another, and where
    /// each begins.
    kept: Vec<f64>,
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
        let mut kept_from = Vec::with_capacity(context.classes.list.len());
        for class in &context.classes.list {
            kept_from.push(kept.len());
            let keep = 1.0 - season.products[class.product].weekly_loss;
            let mut share = 1.0;
            for week in class.from..=class.until {
                if week > class.fresh_until {
                    share *= keep;
                }
                kept.push(share);
            }
        }
        Larder {
            classes,
            food_of,
            place,
            rows,
            kept,
            kept_from,
        }
    }
}

/// Cost of a food's floors when nothing of it is eaten, money.
pub(super) fn never_eaten(food: &FoodNeed) -> f64 {
    let weeks = food.floor.iter().zip(&food.short_cost);
    weeks.map(|(floor, cost)| floor * cost).sum()
}

/// One food's need by week, given the totals of the others: up to four levels of falling worth.
#[derive(Clone, Default)]
struct Stack {
    /// By week: the levels, and the units up to which each reaches.
    slopes: Vec<[f64; LEVELS]>,
    tops: Vec<[f64; LEVELS]>,
    /// Worth of the next unit, and how many units there are at it.
    next: Vec<f64>,
    room: Vec<f64>,
}

/// Below floor and band, below the floor or the band, below the wish.
const LEVELS: usize = 4;

impl Stack {
    /// For these weeks; others are left as they are.
    fn fill(&mut self, context: &Context, food: FoodId, others: &[f64], weeks: Range<usize>) {
        let season = context.season;
        let need = &season.foods[food];
        let price = need.price.max(NOTHING);
        let below = season.level.as_ref().map_or(0.0, |l| l.below_cost);
        let band_extra = below * need.price;
        if self.next.len() < season.weeks {
            self.slopes.resize(season.weeks, [0.0; LEVELS]);
            self.tops.resize(season.weeks, [0.0; LEVELS]);
            self.next.resize(season.weeks, 0.0);
            self.room.resize(season.weeks, 0.0);
        }
        for week in weeks {
            let floor_extra = need.short_cost[week];
            let floor_first = floor_extra >= band_extra;
            let (low, high, _) = band(context, week);
            let rest = others[week];
            let cap = need.wish[week].min((high - rest).max(0.0) / price);
            let floor = need.floor[week].min(cap);
            let level = ((low - rest).max(0.0) / price).min(cap);
            let both = floor.min(level);
            let longer = floor.max(level);
            // The one of the two that reaches further says at which slope the middle lies.
            let dear = (floor > level) == floor_first;
            self.slopes[week] = [
                need.price + band_extra + floor_extra,
                need.price + band_extra.max(floor_extra),
                need.price + band_extra.min(floor_extra),
                need.price,
            ];
            self.tops[week] = [both, if dear { longer } else { both }, longer, cap];
            self.eaten(week, 0.0);
        }
    }

    /// Notes how much is eaten in a week.
    fn eaten(&mut self, week: usize, eaten: f64) {
        (self.next[week], self.room[week]) = (0.0, 0.0);
        for (slope, top) in self.slopes[week].iter().zip(&self.tops[week]) {
            if *top > eaten + NOTHING {
                (self.next[week], self.room[week]) = (*slope, top - eaten);
                break;
            }
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
            active: vec![Vec::new(); season.foods.len()],
            eaten: table.clone(),
            total: vec![0.0; season.weeks],
            minutes: table,
            harvest: vec![0.0; season.weeks],
            by_crop: vec![vec![0.0; season.weeks]; context.variety.rows.len()],
            draws: vec![Vec::new(); season.foods.len()],
            food_worth: season.foods.iter().map(|f| -never_eaten(f)).collect(),
            scratch: Vec::new(),
            stack: Stack::default(),
            gains: Vec::new(),
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
            self.divide(context, larder, food);
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
        }
        for (row, used) in before.by_crop {
            self.by_crop[row] = used;
        }
        self.total = before.total;
        self.harvest = before.harvest;
    }

    /// Divides one food's lots over the weeks, given what the other foods bring. Lots that keep
    /// least choose first; then each in turn gives back what it took and chooses again.
    pub fn divide(&mut self, context: &Context, larder: &Larder, food: FoodId) {
        const PASSES: usize = 2;
        let season = context.season;
        let need = &season.foods[food];
        let price = need.price;
        for week in 0..season.weeks {
            self.total[week] = (self.total[week] - price * self.eaten[food][week]).max(0.0);
        }
        self.eaten[food].fill(0.0);
        for &row in &larder.rows[food] {
            self.by_crop[row].fill(0.0);
        }
        let mut draws = std::mem::take(&mut self.draws[food]);
        let active = std::mem::take(&mut self.active[food]);
        draws.clear();
        let classes = || {
            active
                .iter()
                .map(|&place| larder.classes[food][place as usize])
        };
        let lots = || classes().map(|class| &context.classes.list[class as usize]);
        let weeks = lots().map(|l| l.from).min().unwrap_or(0)
            ..lots().map(|l| l.until + 1).max().unwrap_or(0);
        let mut stack = std::mem::take(&mut self.stack);
        stack.fill(context, food, &self.total, weeks);
        let mut chosen = std::mem::take(&mut self.scratch);
        for pass in 0..PASSES {
            chosen.clear();
            let mut given_back = 0;
            for &place in &active {
                let class = larder.classes[food][place as usize];
                let units = self.grown[class as usize];
                if pass > 0 {
                    while given_back < draws.len() && draws[given_back].0 == class {
                        let (_, week, take) = draws[given_back];
                        self.add(context, food, class, week, -take);
                        stack.eaten(week, self.eaten[food][week]);
                        given_back += 1;
                    }
                }
                self.choose(context, larder, food, class, units, &mut stack, &mut chosen);
            }
            std::mem::swap(&mut draws, &mut chosen);
        }
        let mut food_worth = 0.0;
        let minutes = &mut self.minutes[food];
        for (all, own) in self.harvest.iter_mut().zip(minutes.iter_mut()) {
            *all = (*all - *own).max(0.0);
            *own = 0.0;
        }
        for &(class, week, take) in &draws {
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
        self.draws[food] = draws;
        self.active[food] = active;
        self.scratch = chosen;
        self.stack = stack;
    }

    fn add(&mut self, context: &Context, food: FoodId, class: u32, week: usize, take: f64) {
        self.eaten[food][week] += take;
        let product = context.classes.list[class as usize].product;
        if let Some(row) = context.variety.of_product[product] {
            self.by_crop[row][week] += take;
        }
    }

    /// Gives a lot to the weeks in which it brings most.
    #[allow(clippy::too_many_arguments)]
    fn choose(
        &mut self,
        context: &Context,
        larder: &Larder,
        food: FoodId,
        class: u32,
        units: f64,
        stack: &mut Stack,
        chosen: &mut Draws,
    ) {
        let season = context.season;
        let need = &season.foods[food];
        let lots = &context.classes.list[class as usize];
        let product = &season.products[lots.product];
        let work = product.minutes_per_unit * season.minute_money;
        let row = context.variety.of_product[lots.product];
        let from = larder.kept_from[class as usize];
        let kept = &larder.kept[from..=from + lots.until - lots.from];
        let mut gains = std::mem::take(&mut self.gains);
        gains.clear();
        let slopes = &stack.next[lots.from..=lots.until];
        gains.extend(
            slopes
                .iter()
                .zip(kept)
                .map(|(slope, kept)| (slope - work) * kept),
        );
        let mut left = units;
        while left > NOTHING {
            let (mut most, mut at) = (0.0, None);
            for (i, &gain) in gains.iter().enumerate() {
                if gain > most + SAME {
                    (most, at) = (gain, Some(i));
                }
            }
            let Some(at) = at else { break };
            let week = lots.from + at;
            let mut room = stack.room[week];
            if let Some(row) = row {
                let cap = need.single_crop_share * need.wish[week];
                room = room.min(cap - self.by_crop[row][week]);
            }
            if room <= NOTHING {
                gains[at] = 0.0; // its crop has its share of the week
                continue;
            }
            let take = room.min(left * kept[at]);
            left -= take / kept[at];
            self.add(context, food, class, week, take);
            stack.eaten(week, self.eaten[food][week]);
            gains[at] = (stack.next[week] - work) * kept[at];
            chosen.push((class, week, take));
        }
        self.gains = gains;
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
