//! One food's lots divided over the weeks, beginning from how they were divided before: what is new goes where it
//! brings most, then units are passed on along chains (`chains.rs`) until none gains.

use super::chains::{Labels, Step};
use super::context::Context;
use super::larder::Larder;
use super::levels::{Levels, NOTHING};
use super::supply::Draws;
use super::week_set::WeekSet;
use crate::candidates::FoodNeed;
use crate::domain::FoodId;
use std::ops::Range;

/// Gains closer than this are the same, money per unit: the earlier week is taken.
pub(super) const SAME: f64 = 1e-9;
/// Weeks around a change in which chains are looked for.
const REACH: usize = 6;

/// What is eaten of a food.
pub struct Eaten<'e> {
    /// Units, by week.
    pub weeks: &'e mut [f64],
    /// Units by variety row (of all foods) and week.
    pub by_crop: &'e mut [Vec<f64>],
    /// What a unit more would be worth, money, by week; and at most by variety row and week, where the crop has its
    /// share: infinite elsewhere.
    pub price: &'e mut [f64],
    pub crop_price: &'e mut [Vec<f64>],
    /// How the lots were divided before, and afterwards how they are.
    pub draws: &'e mut Draws,
}

/// A lot, and where its weeks lie in the list of all.
pub(super) struct Lot {
    pub class: u32,
    /// First week, and where that lies.
    pub from: usize,
    pub at: usize,
    /// Money for the harvest of a unit.
    pub work: f64,
    /// Its crop's variety row, and which of the food's that is.
    pub row: Option<usize>,
    pub place: usize,
    /// Weeks to which it gives something.
    pub given: WeekSet,
    /// Units of harvest that nobody eats.
    pub left: f64,
}

/// Working space of divisions; nothing of it outlasts one, so a copy is empty.
#[derive(Default)]
pub struct Division {
    pub(super) lots: Vec<Lot>,
    /// Places of those near what changed.
    pub(super) near: Vec<usize>,
    /// Units eaten by lot and week.
    pub(super) units: Vec<f64>,
    /// Weeks in which the crops of the food's variety rows have their share.
    pub(super) full: Vec<WeekSet>,
    pub(super) weeks: Range<usize>,
    pub(super) levels: Levels,
    pub(super) labels: Labels,
    /// (gain, week).
    pub(super) goals: Vec<(f64, usize)>,
    /// Weeks that a chain changed since they were labelled.
    pub(super) touched: WeekSet,
    pub(super) steps: Vec<Step>,
    /// (lot, week, units) that one unit of the chain changes.
    pub(super) net: Vec<(usize, usize, f64)>,
}

impl Clone for Division {
    fn clone(&self) -> Self {
        Division::default()
    }
}

impl Division {
    /// Divides lots (class, units grown; in the larder's order) given what the other foods are worth in each week.
    /// Chains are looked for around the weeks in which something changed.
    pub fn divide(
        &mut self,
        (context, larder): (&Context, &Larder),
        food: FoodId,
        lots: impl Iterator<Item = (u32, f64)>,
        others: &[f64],
        changed: Range<usize>,
        eaten: &mut Eaten,
    ) {
        let need = &context.season.foods[food];
        eaten.weeks.fill(0.0);
        for &row in &larder.rows[food] {
            eaten.by_crop[row].fill(0.0);
        }
        self.load((context, larder), food, lots, eaten.draws);
        for lot in &self.lots {
            for week in lot.given.iter() {
                eaten.add(lot, week, self.units[lot.at + week - lot.from]);
            }
        }
        let end = context.season.weeks;
        let near = changed.start.saturating_sub(REACH)..(changed.end + REACH).min(end);
        self.weeks = self.weeks.start.min(near.start)..self.weeks.end.max(near.end);
        self.levels
            .fill(context, food, others, eaten.weeks, self.weeks.clone());
        self.give_back(larder, eaten);
        self.choose(larder, need, eaten);
        self.near.clear();
        self.near.extend((0..self.lots.len()).filter(|&n| {
            let lot = &self.lots[n];
            lot.from < near.end && lot.from + larder.kept(lot.class).len() > near.start
        }));
        self.pass_on(larder, &larder.rows[food], need, eaten);
        self.tell_prices((larder, need), food, near, eaten);
        eaten.draws.clear();
        for lot in &self.lots {
            let units = |week| self.units[lot.at + week - lot.from];
            let draws = (lot.given.iter()).map(|week| (lot.class, week, units(week)));
            eaten.draws.extend(draws);
        }
    }

    /// Takes up the lots with what was eaten of them.
    fn load(
        &mut self,
        (context, larder): (&Context, &Larder),
        food: FoodId,
        lots: impl Iterator<Item = (u32, f64)>,
        draws: &Draws,
    ) {
        let season = context.season;
        let rows = &larder.rows[food];
        self.lots.clear();
        self.units.clear();
        let mut before = draws.iter().peekable();
        let (mut first, mut end) = (usize::MAX, 0);
        for (class, grown) in lots {
            let list = &context.classes.list[class as usize];
            let product = &season.products[list.product];
            let row = context.variety.of_product[list.product];
            let mut lot = Lot {
                class,
                place: row.map_or(0, |row| rows.partition_point(|&r| r < row)),
                from: list.from,
                at: self.units.len(),
                work: product.minutes_per_unit * season.minute_money,
                row,
                given: WeekSet::default(),
                left: grown,
            };
            let kept = larder.kept(class);
            self.units.resize(lot.at + kept.len(), 0.0);
            let place = larder.place[class as usize];
            while let Some(&&(other, week, units)) = before.peek() {
                if larder.place[other as usize] > place {
                    break;
                }
                before.next();
                // What is no longer grown is no longer eaten.
                if other == class {
                    lot.set(&mut self.units, week, units);
                    lot.left -= units / kept[week - lot.from];
                }
            }
            first = first.min(list.from);
            end = end.max(list.until + 1);
            self.lots.push(lot);
        }
        self.weeks = first.min(end)..end;
    }

    /// Takes back what is eaten of lots beyond what is grown, where it is worth least, and what is eaten beyond what may be.
    fn give_back(&mut self, larder: &Larder, eaten: &mut Eaten) {
        for lot in &mut self.lots {
            let kept = larder.kept(lot.class);
            while lot.left < -NOTHING {
                let worth = |o: usize| (self.levels.last[lot.from + o] - lot.work) * kept[o];
                let weeks = lot.given.iter();
                let least =
                    weeks.min_by(|&a, &b| worth(a - lot.from).total_cmp(&worth(b - lot.from)));
                let Some(week) = least else { break };
                let o = week - lot.from;
                let mut units = self.units[lot.at + o].min(-lot.left * kept[o]);
                if self.levels.depth[week] > NOTHING {
                    units = units.min(self.levels.depth[week]);
                }
                let there = self.units[lot.at + o];
                lot.set(&mut self.units, week, there - units);
                lot.left += units / kept[o];
                eaten.add(lot, week, -units);
                self.levels.eaten(week, eaten.weeks[week]);
            }
        }
        for week in self.weeks.clone() {
            let mut beyond = self.levels.beyond(week, eaten.weeks[week]);
            if beyond <= NOTHING {
                continue;
            }
            for lot in &mut self.lots {
                let kept = larder.kept(lot.class);
                if !lot.given.has(week) {
                    continue;
                }
                let there = self.units[lot.at + week - lot.from];
                let units = there.min(beyond.max(0.0));
                lot.set(&mut self.units, week, there - units);
                beyond -= units;
                lot.left += units / kept[week - lot.from];
                eaten.add(lot, week, -units);
            }
            self.levels.eaten(week, eaten.weeks[week]);
        }
    }

    /// Gives what is left of each lot to the weeks in which it brings most.
    fn choose(&mut self, larder: &Larder, need: &FoodNeed, eaten: &mut Eaten) {
        for lot in &mut self.lots {
            let kept = larder.kept(lot.class);
            while lot.left > NOTHING {
                let (mut most, mut at) = (0.0, None);
                for (week, kept) in (lot.from..).zip(kept) {
                    let gain = (self.levels.next[week] - lot.work) * kept;
                    if gain > most + SAME && eaten.room(need, lot, week) > NOTHING {
                        (most, at) = (gain, Some(week));
                    }
                }
                let Some(week) = at else { break };
                let o = week - lot.from;
                let room = self.levels.room[week].min(eaten.room(need, lot, week));
                let units = room.min(lot.left * kept[o]);
                lot.left -= units / kept[o];
                let there = self.units[lot.at + o];
                lot.set(&mut self.units, week, there + units);
                eaten.add(lot, week, units);
                self.levels.eaten(week, eaten.weeks[week]);
            }
        }
    }

    /// Prices of these weeks: where no chain gains they are those of the best division.
    fn tell_prices(
        &self,
        (larder, need): (&Larder, &FoodNeed),
        food: FoodId,
        weeks: Range<usize>,
        eaten: &mut Eaten,
    ) {
        let labels = &self.labels;
        for week in weeks {
            eaten.price[week] = labels.cost[week].max(self.levels.next[week]);
            for (place, &row) in larder.rows[food].iter().enumerate() {
                let room = eaten.room_of_crop(need, row, week);
                eaten.crop_price[row][week] = match room > NOTHING {
                    true => f64::INFINITY,
                    false => labels.crop_cost[place * self.weeks.end + week],
                };
            }
        }
    }
}

impl Lot {
    /// Gives so many units to a week.
    pub(super) fn set(&mut self, list: &mut [f64], week: usize, units: f64) {
        list[self.at + week - self.from] = units;
        self.given.set(week, units > NOTHING);
    }
}

impl Eaten<'_> {
    pub(super) fn add(&mut self, lot: &Lot, week: usize, units: f64) {
        self.weeks[week] += units;
        if let Some(row) = lot.row {
            self.by_crop[row][week] += units;
        }
    }

    /// Units that a lot's crop may still supply in a week.
    pub(super) fn room(&self, need: &FoodNeed, lot: &Lot, week: usize) -> f64 {
        lot.row
            .map_or(f64::INFINITY, |row| self.room_of_crop(need, row, week))
    }

    /// The same by variety row.
    pub(super) fn room_of_crop(&self, need: &FoodNeed, row: usize, week: usize) -> f64 {
        need.most_of_one_crop(week) - self.by_crop[row][week]
    }
}
