//! Chains, along which a division of a food passes units on until none gains.
//!
//! A chain gives a week a unit more: out of what a lot has left, or out of another week of the lot, which another
//! lot may refill in the same way. Since lots lose by keeping, a chain may go round and end with more than it took.
//! What a unit costs by chains is found in layers, one for each shift; at their end they are prices of the division.

use super::division::{Division, Eaten, SAME};
use super::larder::Larder;
use super::levels::NOTHING;
use crate::candidates::FoodNeed;

/// A chain must gain this, money for a unit.
const WORTH_IT: f64 = 1e-4;
/// Shifts in a chain.
const DEEP: usize = 12;
/// Times that chains are looked for in one division; what is left is found in the next one.
const LOOKS: usize = 12;

/// Where a lot's next unit comes from.
#[derive(Clone, Copy, Default)]
struct Source {
    /// `None`: from what is left.
    week: Option<usize>,
    refill: Refill,
}

/// Who fills what a lot leaves of a week.
#[derive(Clone, Copy, Default)]
enum Refill {
    #[default]
    Nobody,
    /// A lot whose crop has room in the week.
    Any,
    /// A lot of the same crop, which has no other room there.
    SameCrop,
}

/// A lot gives a week units, for one unit that the chain brings, out of another of its weeks or of what is left.
pub(super) struct Step {
    lot: usize,
    week: usize,
    units: f64,
    from: Option<usize>,
}

/// A layer of labels: what a unit more costs by chains of so many shifts.
#[derive(Default)]
pub(super) struct Layer {
    /// By week, money for a unit; and the lot that gives it.
    pub cost: Vec<f64>,
    by: Vec<usize>,
    /// The same for lots of a crop that has its share of the week, by variety row of the food and week.
    pub crop_cost: Vec<f64>,
    crop_by: Vec<usize>,
    /// By lot.
    source: Vec<Source>,
}

impl Division {
    /// Passes units on along chains that gain.
    pub(super) fn pass_on(&mut self, larder: &Larder, need: &FoodNeed, eaten: &mut Eaten) {
        self.layers.resize_with(DEEP + 1, Layer::default);
        self.touched
            .resize(self.touched.len().max(self.weeks.end), false);
        self.layers[0].clear(self.weeks.end, self.rows);
        for _ in 0..LOOKS {
            let mut gained = false;
            for depth in 1..=DEEP {
                self.depth = depth;
                if !self.label(larder, need, eaten, depth) {
                    break;
                }
                if self.follow(larder, need, eaten, depth) {
                    gained = true;
                    break;
                }
            }
            if !gained {
                break;
            }
        }
    }

    /// What a unit more costs in each week by chains of so many shifts; whether any costs less than by shorter ones.
    fn label(&mut self, larder: &Larder, need: &FoodNeed, eaten: &Eaten, depth: usize) -> bool {
        let (shorter, this) = self.layers.split_at_mut(depth);
        let (before, now) = (&shorter[depth - 1], &mut this[0]);
        let end = self.weeks.end;
        now.clear(end, self.rows);
        now.source.resize(self.lots.len(), Source::default());
        for &n in &self.near {
            let lot = &self.lots[n];
            let kept = larder.kept(lot.class);
            let weeks = lot.from..lot.from + kept.len();
            let mut source = Source::default();
            let mut least = f64::INFINITY;
            if lot.left > NOTHING {
                least = 0.0;
            } else {
                for (o, &units) in self.units[lot.at..lot.at + kept.len()].iter().enumerate() {
                    if units <= NOTHING {
                        continue;
                    }
                    let week = lot.from + o;
                    let (mut lost, mut refill) = (self.levels.last[week], Refill::Nobody);
                    if before.cost[week] < lost - WORTH_IT {
                        (lost, refill) = (before.cost[week], Refill::Any);
                    }
                    if lot.row.is_some() {
                        let cost = before.crop_cost[lot.place * end + week];
                        if cost < lost - WORTH_IT {
                            (lost, refill) = (cost, Refill::SameCrop);
                        }
                    }
                    let cost = (lost - lot.work) * kept[o];
                    if cost < least - SAME {
                        least = cost;
                        source = Source {
                            week: Some(week),
                            refill,
                        };
                    }
                }
            }
            now.source[n] = source;
            if least.is_infinite() {
                continue;
            }
            for (week, kept) in weeks.zip(kept) {
                let cost = least / kept + lot.work;
                let (known, by) = if eaten.room(need, lot, week) > NOTHING {
                    (&mut now.cost[week], &mut now.by[week])
                } else {
                    let at = lot.place * end + week;
                    (&mut now.crop_cost[at], &mut now.crop_by[at])
                };
                if cost < *known - SAME {
                    *known = cost;
                    *by = n;
                }
            }
        }
        let less =
            |now: &[f64], before: &[f64]| now.iter().zip(before).any(|(a, b)| *a < b - WORTH_IT);
        less(&now.cost, &before.cost) || less(&now.crop_cost, &before.crop_cost)
    }

    /// Follows chains of so many shifts to the weeks that gain by one, the greatest gain first and no week twice; whether any was followed.
    fn follow(
        &mut self,
        larder: &Larder,
        need: &FoodNeed,
        eaten: &mut Eaten,
        depth: usize,
    ) -> bool {
        self.goals.clear();
        for week in self.weeks.clone() {
            let gain = self.levels.next[week] - self.layers[depth].cost[week];
            if self.levels.room[week] > NOTHING && gain > WORTH_IT {
                self.goals.push((gain, week));
            }
        }
        if self.goals.is_empty() {
            return false;
        }
        self.goals
            .sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        self.touched.fill(false);
        let mut any = false;
        for at in 0..self.goals.len() {
            let goal = self.goals[at].1;
            let Some(last) = self.trace(larder, goal, depth) else {
                continue;
            };
            let units = self.units_of(larder, need, eaten, goal, last);
            if units > NOTHING {
                self.apply(larder, eaten, units);
                any = true;
            }
        }
        any
    }

    /// Follows a chain back from its goal; the week whose last units it takes in the end and how many for one of
    /// the goal's, if any. `None` where it is none or does not gain.
    fn trace(
        &mut self,
        larder: &Larder,
        goal: usize,
        depth: usize,
    ) -> Option<Option<(usize, f64)>> {
        self.steps.clear();
        let (mut week, mut depth, mut units) = (goal, depth, 1.0);
        let mut n = self.layers[depth].by[week];
        loop {
            let lot = &self.lots[n];
            let kept = larder.kept(lot.class);
            let source = self.layers[depth].source[n];
            self.steps.push(Step {
                lot: n,
                week,
                units,
                from: source.week,
            });
            if self.touched[week] || source.week.is_some_and(|from| self.touched[from]) {
                return None;
            }
            let Some(from) = source.week else {
                return Some(None);
            };
            let taken = units / kept[week - lot.from] * kept[from - lot.from];
            if let Some(place) = self.steps.iter().position(|step| step.week == from) {
                return self.round(larder, goal, place, taken).then_some(None);
            }
            let shorter = &self.layers[depth - 1];
            let next = match source.refill {
                Refill::Nobody => return Some(Some((from, taken))),
                Refill::Any => shorter.by[from],
                Refill::SameCrop => shorter.crop_by[lot.place * self.weeks.end + from],
            };
            (n, week, depth, units) = (next, from, depth - 1, taken);
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

    fn apply(&mut self, larder: &Larder, eaten: &mut Eaten, units: f64) {
        for step in &self.steps {
            if step.from.is_none() {
                let lot = &mut self.lots[step.lot];
                lot.left -= units * step.units / larder.kept(lot.class)[step.week - lot.from];
            }
        }
        for &(n, week, change) in &self.net {
            let lot = &self.lots[n];
            let slot = &mut self.units[lot.at + week - lot.from];
            *slot = (*slot + units * change).max(0.0);
            eaten.add(lot, week, units * change);
        }
        for &(_, week, _) in &self.net {
            self.levels.eaten(week, eaten.weeks[week]);
            self.touched[week] = true;
        }
    }
}

impl Layer {
    /// Nothing can be had.
    fn clear(&mut self, end: usize, rows: usize) {
        self.cost.clear();
        self.cost.resize(end, f64::INFINITY);
        self.by.resize(end, usize::MAX);
        self.crop_cost.clear();
        self.crop_cost.resize(rows * end, f64::INFINITY);
        self.crop_by.resize(rows * end, usize::MAX);
    }
}
