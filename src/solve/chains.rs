//! Chains, along which a division of a food passes units on until none gains.
//!
//! A chain gives a week a unit more: out of what a lot has left, or out of another week of the lot, which another
//! lot may refill in the same way. Since lots lose by keeping, a chain may go round and end with more than it took.
//! What a unit costs by chains is found in passes over the lots, as shortest paths are; after the last one it is the
//! price of a unit.

use super::division::{Division, Eaten, SAME};
use super::larder::Larder;
use super::levels::NOTHING;
use super::week_set::WeekSet;
use crate::candidates::FoodNeed;
use std::ops::Range;

/// A chain must gain this, money for a unit.
const WORTH_IT: f64 = 1e-4;
/// Passes over all lots that one look for chains takes at most.
const PASSES: usize = 12;
/// Times that chains are looked for in one division; what is left is found in the next one.
const LOOKS: usize = 12;

/// Where a lot's next unit comes from.
#[derive(Clone, Copy)]
struct Source {
    lot: usize,
    /// `None`: from what is left.
    week: Option<usize>,
    /// Place of the source that fills what the lot leaves of the week; `None`: nobody does.
    refill: Option<usize>,
}

/// A lot gives a week units, for one unit that the chain brings, out of another of its weeks or of what is left.
pub(super) struct Step {
    lot: usize,
    week: usize,
    units: f64,
    from: Option<usize>,
}

/// What a unit more costs by chains, money; as much as it is worth there where none costs less.
#[derive(Default)]
pub(super) struct Labels {
    /// By week; and the place of its source.
    pub cost: Vec<f64>,
    by: Vec<usize>,
    /// The same for lots of a crop that has its share of the week, by variety row of the food and week.
    pub crop_cost: Vec<f64>,
    crop_by: Vec<usize>,
    /// In the order in which they were found: each is refilled by earlier ones.
    sources: Vec<Source>,
    /// Weeks in which anything cost less than before in the last pass, and so far in this one.
    fell_last: WeekSet,
    fell: WeekSet,
}

impl Division {
    /// Passes units on along chains that gain.
    pub(super) fn pass_on(
        &mut self,
        larder: &Larder,
        rows: &[usize],
        need: &FoodNeed,
        eaten: &mut Eaten,
    ) {
        self.find_full(rows, need, eaten);
        for _ in 0..LOOKS {
            self.labels
                .begin(&self.levels.most, self.weeks.clone(), rows.len());
            let mut gained = false;
            for _ in 0..PASSES {
                self.label(larder);
                if self.labels.fell.is_empty() {
                    break;
                }
                if self.follow(larder, need, eaten) {
                    gained = true;
                    break;
                }
            }
            if !gained {
                break;
            }
        }
    }

    /// Notes in which weeks crops have their share.
    fn find_full(&mut self, rows: &[usize], need: &FoodNeed, eaten: &Eaten) {
        self.full.clear();
        self.full.extend(rows.iter().map(|&row| {
            let mut full = WeekSet::default();
            for week in self.weeks.clone() {
                full.set(week, eaten.room_of_crop(need, row, week) <= NOTHING);
            }
            full
        }));
    }

    /// One pass over the lots: what a unit more costs in each of their weeks. A lot's next unit costs less than
    /// before only where a week that it gives up is refilled at less.
    fn label(&mut self, larder: &Larder) {
        let first = self.labels.sources.is_empty();
        let labels = &mut self.labels;
        labels.fell_last = std::mem::take(&mut labels.fell);
        for &n in &self.near {
            let lot = &self.lots[n];
            let felled = lot.given.meets(labels.fell_last) || lot.given.meets(labels.fell);
            if !first && !felled {
                continue;
            }
            let kept = larder.kept(lot.class);
            let crop = lot.place * self.weeks.end;
            let mut source = Source {
                lot: n,
                week: None,
                refill: None,
            };
            let mut least = f64::INFINITY;
            if lot.left > NOTHING {
                least = 0.0;
            } else {
                for week in lot.given.iter() {
                    let (mut lost, mut refill) = (self.levels.last[week], None);
                    if labels.cost[week] < lost - WORTH_IT {
                        (lost, refill) = (labels.cost[week], Some(labels.by[week]));
                    }
                    if lot.row.is_some() && labels.crop_cost[crop + week] < lost - WORTH_IT {
                        lost = labels.crop_cost[crop + week];
                        refill = Some(labels.crop_by[crop + week]);
                    }
                    let cost = (lost - lot.work) * kept[week - lot.from];
                    if cost < least - SAME {
                        least = cost;
                        (source.week, source.refill) = (Some(week), refill);
                    }
                }
            }
            if least.is_infinite() {
                continue;
            }
            let full = match lot.row {
                Some(_) => self.full[lot.place],
                None => WeekSet::default(),
            };
            let place = labels.sources.len();
            let mut any = false;
            let weeks = (lot.from..).zip(full.flags(lot.from));
            for ((week, full), per_kept) in weeks.zip(larder.per_kept(lot.class)) {
                let cost = least * per_kept + lot.work;
                let (known, by) = if full {
                    let at = crop + week;
                    (&mut labels.crop_cost[at], &mut labels.crop_by[at])
                } else {
                    (&mut labels.cost[week], &mut labels.by[week])
                };
                if cost < *known - WORTH_IT {
                    *known = cost;
                    *by = place;
                    labels.fell.set(week, true);
                    any = true;
                }
            }
            if any {
                labels.sources.push(source);
            }
        }
    }

    /// Follows chains to the weeks that gain by one, the greatest gain first and no week twice; whether any was followed.
    fn follow(&mut self, larder: &Larder, need: &FoodNeed, eaten: &mut Eaten) -> bool {
        self.goals.clear();
        for week in self.weeks.clone() {
            let gain = self.levels.next[week] - self.labels.cost[week];
            if self.levels.room[week] > NOTHING && gain > WORTH_IT {
                self.goals.push((gain, week));
            }
        }
        if self.goals.is_empty() {
            return false;
        }
        self.goals
            .sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        self.touched = WeekSet::default();
        let mut any = false;
        for at in 0..self.goals.len() {
            let goal = self.goals[at].1;
            let Some(last) = self.trace(larder, goal) else {
                continue;
            };
            let units = self.units_of(larder, need, eaten, goal, last);
            if units > NOTHING {
                self.apply(larder, need, eaten, units);
                any = true;
            }
        }
        any
    }

    /// Follows a chain back from its goal; the week whose last units it takes in the end and how many for one of
    /// the goal's, if any. `None` where it does not gain.
    fn trace(&mut self, larder: &Larder, goal: usize) -> Option<Option<(usize, f64)>> {
        self.steps.clear();
        let (mut week, mut units) = (goal, 1.0);
        let mut place = self.labels.by[week];
        loop {
            let source = self.labels.sources[place];
            let lot = &self.lots[source.lot];
            let kept = larder.kept(lot.class);
            self.steps.push(Step {
                lot: source.lot,
                week,
                units,
                from: source.week,
            });
            let touched = self.touched;
            if touched.has(week) || source.week.is_some_and(|from| touched.has(from)) {
                return None;
            }
            let Some(from) = source.week else {
                return Some(None);
            };
            let taken = units / kept[week - lot.from] * kept[from - lot.from];
            if let Some(again) = self.steps.iter().position(|step| step.week == from) {
                return self.round(larder, goal, again, taken).then_some(None);
            }
            let Some(refill) = source.refill else {
                return Some(Some((from, taken)));
            };
            (place, week, units) = (refill, from, taken);
        }
    }

    /// A chain that comes back to the goal of one of its steps: it goes round so often that it needs nothing else.
    /// Whether it gains.
    fn round(&mut self, larder: &Larder, goal: usize, place: usize, taken: f64) -> bool {
        const LEAST: f64 = 1e-6; // share that going round must leave
        let share = taken / self.steps[place].units;
        if share > 1.0 - LEAST {
            return false;
        }
        let mut work = 0.0;
        for (at, step) in self.steps.iter_mut().enumerate() {
            if at >= place {
                step.units /= 1.0 - share;
            }
            let lot = &self.lots[step.lot];
            let kept = larder.kept(lot.class);
            let from = step.from.map_or(0.0, |from| kept[from - lot.from]);
            work += step.units * lot.work * (1.0 - from / kept[step.week - lot.from]);
        }
        self.levels.next[goal] - work > WORTH_IT
    }

    /// How many units the chain can bring; what changes by one of them.
    fn units_of(
        &mut self,
        larder: &Larder,
        need: &FoodNeed,
        eaten: &Eaten,
        goal: usize,
        last: Option<(usize, f64)>,
    ) -> f64 {
        let mut most = self.levels.room[goal];
        if let Some((week, taken)) = last {
            most = most.min(self.levels.depth[week] / taken);
        }
        self.net.clear();
        let net = &mut self.net;
        let mut change = |lot: usize, week: usize, units: f64| match net
            .iter_mut()
            .find(|c| (c.0, c.1) == (lot, week))
        {
            Some(known) => known.2 += units,
            None => net.push((lot, week, units)),
        };
        for step in &self.steps {
            let lot = &self.lots[step.lot];
            let kept = larder.kept(lot.class);
            let harvest = step.units / kept[step.week - lot.from];
            change(step.lot, step.week, step.units);
            match step.from {
                Some(from) => change(step.lot, from, -harvest * kept[from - lot.from]),
                None => most = most.min(lot.left / harvest),
            }
        }
        for &(n, week, units) in &self.net {
            let lot = &self.lots[n];
            if units < 0.0 {
                most = most.min(self.units[lot.at + week - lot.from] / -units);
            }
            if lot.row.is_some() {
                let same = |c: &&(usize, usize, f64)| c.1 == week && self.lots[c.0].row == lot.row;
                let more: f64 = self.net.iter().filter(same).map(|c| c.2).sum();
                if more > 0.0 {
                    most = most.min(eaten.room(need, lot, week) / more);
                }
            }
        }
        most
    }

    fn apply(&mut self, larder: &Larder, need: &FoodNeed, eaten: &mut Eaten, units: f64) {
        for step in &self.steps {
            if step.from.is_none() {
                let lot = &mut self.lots[step.lot];
                lot.left -= units * step.units / larder.kept(lot.class)[step.week - lot.from];
            }
        }
        for &(n, week, change) in &self.net {
            let lot = &mut self.lots[n];
            let there = self.units[lot.at + week - lot.from];
            lot.set(&mut self.units, week, (there + units * change).max(0.0));
            eaten.add(lot, week, units * change);
            if lot.row.is_some() {
                self.full[lot.place].set(week, eaten.room(need, lot, week) <= NOTHING);
            }
        }
        for &(_, week, _) in &self.net {
            self.levels.eaten(week, eaten.weeks[week]);
            self.touched.set(week, true);
        }
    }
}

impl Labels {
    /// No chains: a unit costs what it is worth.
    fn begin(&mut self, most: &[f64], weeks: Range<usize>, rows: usize) {
        self.cost.clear();
        self.cost.resize(weeks.start, 0.0);
        self.cost.extend(&most[weeks.clone()]);
        self.by.resize(weeks.end, 0);
        self.crop_cost.clear();
        for _ in 0..rows {
            self.crop_cost.extend(&self.cost);
        }
        self.crop_by.resize(rows * weeks.end, 0);
        self.sources.clear();
        self.fell = WeekSet::default();
    }
}
