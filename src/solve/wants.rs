//! What the table still wants, level by level, and what a candidate's harvest would bring it: a lot is
//! worth what the wants in its weeks take of it, not a price times its size.

use super::context::Context;
use super::supply::{Supply, band};
use crate::candidates::{CandidateId, Season};
use crate::domain::FoodId;
use crate::strips::LotClasses;
use std::cell::Cell;
use std::collections::BTreeMap;

/// What one strip of each candidate brings, told once where many bring as much of the same lots.
pub struct Portions {
    /// (class, units), each once, and of what food.
    list: Vec<(u32, f64)>,
    of_food: Vec<FoodId>,
    /// Places in the list, one candidate after another, and where each begins.
    all: Vec<u32>,
    from: Vec<usize>,
    /// Food of each candidate's first lot, or the first food; and whether it gives others as well.
    food: Vec<FoodId>,
    mixed: Vec<bool>,
}

impl Portions {
    /// Gathers them.
    pub fn of(season: &Season, classes: &LotClasses) -> Portions {
        let mut places: BTreeMap<(u32, u64), u32> = BTreeMap::new();
        let mut portions = Portions {
            list: Vec::new(),
            of_food: Vec::new(),
            all: Vec::new(),
            from: vec![0],
            food: Vec::new(),
            mixed: Vec::new(),
        };
        let food =
            |&(class, _): &(u32, f64)| season.products[classes.list[class as usize].product].food;
        for lots in &classes.of_candidate {
            for &(class, units) in lots {
                let next = u32::try_from(portions.list.len()).expect("fewer portions than 2^32");
                let place = *places.entry((class, units.to_bits())).or_insert(next);
                if place == next {
                    portions.list.push((class, units));
                    portions.of_food.push(food(&(class, units)));
                }
                portions.all.push(place);
            }
            portions.from.push(portions.all.len());
            let first = lots.first().map_or(0, food);
            portions.food.push(first);
            portions
                .mixed
                .push(lots.iter().any(|lot| food(lot) != first));
        }
        portions
    }

    fn of_candidate(&self, candidate: CandidateId) -> &[u32] {
        &self.all[self.from[candidate]..self.from[candidate + 1]]
    }

    /// Food of a candidate's first lot, or the first food where it gives none.
    pub fn food(&self, candidate: CandidateId) -> FoodId {
        self.food[candidate]
    }
}

/// Wants of one food at one worth per unit.
struct Level {
    slope: f64,
    units: Vec<f64>,
}

/// What is wanted of one food.
#[derive(Default)]
struct OfFood {
    /// By week, units: what is eaten, and up to where floor, foot of the band and wish reach beyond it.
    marks: Vec<[f64; 4]>,
    /// Levels of falling worth.
    levels: Vec<Level>,
}

/// All wants left by a division of supply. What a look finds unchanged since the last one is not reckoned again.
pub struct Wants {
    foods: Vec<OfFood>,
    /// Worth of what was eaten at the last look, by week, money.
    total: Vec<f64>,
    /// By variety row and week: what the crop may still supply.
    crop_left: Vec<Vec<f64>>,
    /// Looks so far, and the one that last found each food changed.
    looks: u64,
    changed: Vec<u64>,
    /// What each portion and each candidate would bring, and the look at which that was asked for.
    portions: Vec<Known>,
    candidates: Vec<Known>,
}

/// A gain, money, and the look at which it was reckoned.
type Known = Cell<(u64, f64)>;

/// Slopes closer than this are one level, money per unit.
const LEVEL: f64 = 1e-6;
/// Wants smaller than this are none, units.
const NOTHING: f64 = 1e-9;

impl Wants {
    /// Before the first look: nothing is wanted.
    pub fn new(context: &Context) -> Wants {
        let season = context.season;
        Wants {
            foods: season.foods.iter().map(|_| OfFood::default()).collect(),
            total: Vec::new(),
            crop_left: vec![Vec::new(); context.variety.rows.len()],
            looks: 0,
            changed: vec![0; season.foods.len()],
            portions: vec![Cell::default(); context.portions.list.len()],
            candidates: vec![Cell::default(); season.candidates.len()],
        }
    }

    /// Looks at what is wanted beyond what is eaten.
    pub fn look(&mut self, context: &Context, supply: &Supply) {
        let season = context.season;
        self.looks += 1;
        for (row, &(f, _)) in context.variety.rows.iter().enumerate() {
            let food = &season.foods[f];
            let used = &supply.by_crop[row];
            let left = |w: usize| (food.single_crop_share * food.wish[w] - used[w]).max(0.0);
            let left = (0..season.weeks).map(left);
            if !self.crop_left[row].iter().copied().eq(left.clone()) {
                self.crop_left[row] = left.collect();
                self.changed[f] = self.looks;
            }
        }
        let seen = self.total.len() == season.weeks;
        self.total.resize(season.weeks, 0.0);
        for (f, food) in season.foods.iter().enumerate() {
            let price = food.price.max(NOTHING);
            let of = &mut self.foods[f];
            of.marks.resize(season.weeks, [0.0; 4]);
            let mut other = !seen;
            for week in 0..season.weeks {
                let at = supply.eaten[f][week];
                // A week's marks follow from what is eaten of this food and from the total alone.
                if seen && at == of.marks[week][0] && supply.total[week] == self.total[week] {
                    continue;
                }
                let (low, high, _) = band(context, week);
                let rest = supply.total[week] - food.price * at;
                let cap = food.wish[week].min(((high - rest) / price).max(0.0));
                let level = ((low - rest) / price).clamp(0.0, cap);
                let marks = [
                    at,
                    food.floor[week].min(cap).max(at),
                    level.max(at),
                    cap.max(at),
                ];
                other |= marks != of.marks[week];
                of.marks[week] = marks;
            }
            if other {
                of.levels = levels(context, f, &of.marks);
                self.changed[f] = self.looks;
            }
        }
        self.total.clone_from(&supply.total);
    }

    /// What one strip of a candidate would bring to the table, money after harvest work.
    ///
    /// Each lot is reckoned alone; lots of one candidate seldom meet in a week.
    pub fn gain(&self, context: &Context, candidate: CandidateId) -> f64 {
        let portions = &context.portions;
        let (reckoned, gain) = self.candidates[candidate].get();
        let single = !portions.mixed[candidate];
        if single && reckoned >= self.changed[portions.food[candidate]] {
            return gain;
        }
        let of_portion = |&place: &u32| {
            let known = &self.portions[place as usize];
            let (reckoned, gain) = known.get();
            if reckoned >= self.changed[portions.of_food[place as usize]] {
                return gain;
            }
            let (class, units) = portions.list[place as usize];
            let gain = self.lot_gain(context, class, units);
            known.set((self.looks, gain));
            gain
        };
        let gain = portions
            .of_candidate(candidate)
            .iter()
            .map(of_portion)
            .sum();
        self.candidates[candidate].set((self.looks, gain));
        gain
    }

    fn lot_gain(&self, context: &Context, class: u32, units: f64) -> f64 {
        let season = context.season;
        let lots = &context.classes.list[class as usize];
        let product = &season.products[lots.product];
        let work = product.minutes_per_unit * season.minute_money;
        let row = context.variety.of_product[lots.product];
        let keep = 1.0 - product.weekly_loss;
        let mut left = units;
        let mut gain = 0.0;
        for level in &self.foods[product.food].levels {
            if level.slope <= work {
                break;
            }
            let mut kept = 1.0;
            for week in lots.from..=lots.until {
                if week > lots.fresh_until {
                    kept *= keep;
                }
                let wanted = level.units[week];
                if wanted <= 0.0 {
                    continue;
                }
                let allowed = row.map_or(wanted, |r| wanted.min(self.crop_left[r][week]));
                let take = allowed.min(left * kept);
                gain += take * (level.slope - work);
                left -= take / kept;
                if left <= NOTHING {
                    return gain;
                }
            }
        }
        gain
    }
}

/// A food's wants between the marks of each week, by worth.
fn levels(context: &Context, food: FoodId, marks: &[[f64; 4]]) -> Vec<Level> {
    let need = &context.season.foods[food];
    let mut levels: Vec<Level> = Vec::new();
    for (week, &[at, floor, level, cap]) in marks.iter().enumerate() {
        let (_, _, below) = band(context, week);
        let mut from = at;
        let mut marks = [floor, level, cap];
        marks.sort_by(f64::total_cmp);
        for mark in marks {
            if mark > from + NOTHING {
                let short = if from < floor {
                    need.short_cost[week]
                } else {
                    0.0
                };
                let missing = if from < level {
                    below * need.price
                } else {
                    0.0
                };
                add(
                    &mut levels,
                    need.price + short + missing,
                    week,
                    mark - from,
                    context.season.weeks,
                );
                from = mark;
            }
        }
    }
    levels.sort_by(|a, b| b.slope.total_cmp(&a.slope));
    levels
}

fn add(levels: &mut Vec<Level>, slope: f64, week: usize, units: f64, weeks: usize) {
    let index = match levels.iter().position(|l| (l.slope - slope).abs() < LEVEL) {
        Some(index) => index,
        None => {
            levels.push(Level {
                slope,
                units: vec![0.0; weeks],
            });
            levels.len() - 1
        }
    };
    levels[index].units[week] += units;
}
