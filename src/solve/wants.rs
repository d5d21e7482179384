//! What the table still wants, level by level, and what a candidate's harvest would bring it: a lot is
//! worth what the wants in its weeks take of it, not a price times its size.

use super::context::Context;
use super::larder::band;
use super::supply::Supply;
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
    /// Weeks in which what a portion, and what a candidate gives may be eaten: the first and the last.
    weeks: Vec<[usize; 2]>,
    weeks_of_candidate: Vec<[usize; 2]>,
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
            weeks: Vec::new(),
            weeks_of_candidate: Vec::new(),
        };
        let food =
            |&(class, _): &(u32, f64)| season.products[classes.list[class as usize].product].food;
        let weeks = |class: u32| {
            let lots = &classes.list[class as usize];
            [lots.from, lots.until]
        };
        for lots in &classes.of_candidate {
            let all = lots.iter().map(|&(class, _)| weeks(class));
            let span = all.reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])]);
            portions.weeks_of_candidate.push(span.unwrap_or_default());
            for &(class, units) in lots {
                let next = u32::try_from(portions.list.len()).expect("fewer portions than 2^32");
                let place = *places.entry((class, units.to_bits())).or_insert(next);
                if place == next {
                    portions.list.push((class, units));
                    portions.of_food.push(food(&(class, units)));
                    portions.weeks.push(weeks(class));
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

/// What is wanted of one food.
struct OfFood {
    /// What a unit may be worth, falling, money: fixed by the season.
    slopes: Vec<f64>,
    /// By week: places among the slopes of a unit below neither floor nor foot of the band, below the floor, below the
    /// foot, below both.
    places: Vec<[u32; 4]>,
    /// By week, units: what is eaten, and up to where floor, foot of the band and wish reach beyond it.
    marks: Vec<[f64; 4]>,
    /// Units wanted, by slope and week.
    units: Vec<Vec<f64>>,
    /// The look that last found it changed, in any week and in each.
    changed: u32,
    changed_in: Vec<u32>,
}

/// All wants left by a division of supply. What a look finds unchanged since the last one is not reckoned again.
pub struct Wants {
    foods: Vec<OfFood>,
    /// Worth of what was eaten at the last look, by week, money.
    total: Vec<f64>,
    /// By variety row and week: what the crop may still supply.
    crop_left: Vec<Vec<f64>>,
    /// Looks so far.
    looks: u32,
    /// What each portion and each candidate would bring, and the look at which that was asked for.
    portions: Vec<Known>,
    candidates: Vec<Known>,
}

/// A gain, money, and the look at which it was reckoned: before the first one nothing is wanted.
type Known = Cell<(u32, f64)>;

/// Slopes closer than this are one, money per unit.
const LEVEL: f64 = 1e-6;
/// Wants smaller than this are none, units.
const NOTHING: f64 = 1e-9;

impl Wants {
    /// Before the first look: nothing is wanted.
    pub fn new(context: &Context) -> Wants {
        let season = context.season;
        Wants {
            foods: (0..season.foods.len())
                .map(|food| OfFood::new(context, food))
                .collect(),
            total: Vec::new(),
            crop_left: vec![vec![0.0; season.weeks]; context.variety.rows.len()],
            looks: 0,
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
            let of = &mut self.foods[f];
            let used = supply.by_crop[row].iter();
            for (week, (used, known)) in used.zip(&mut self.crop_left[row]).enumerate() {
                let left = (food.most_of_one_crop(week) - used).max(0.0);
                if left != *known {
                    *known = left;
                    of.changed = self.looks;
                    of.changed_in[week] = self.looks;
                }
            }
        }
        let seen = self.total.len() == season.weeks;
        self.total.resize(season.weeks, 0.0);
        for (f, food) in season.foods.iter().enumerate() {
            let price = food.price.max(NOTHING);
            let of = &mut self.foods[f];
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
                if marks != of.marks[week] {
                    of.mark(week, marks);
                    of.changed = self.looks;
                    of.changed_in[week] = self.looks;
                }
            }
        }
        self.total.clone_from(&supply.total);
    }

    /// Whether nothing has changed since that look for what may be eaten of a food in these weeks.
    fn holds(&self, look: u32, food: FoodId, [from, until]: [usize; 2]) -> bool {
        let of = &self.foods[food];
        look >= of.changed || of.changed_in[from..=until].iter().all(|&n| n <= look)
    }

    /// What one strip of a candidate would bring to the table, money after harvest work.
    ///
    /// Each lot is reckoned alone; lots of one candidate seldom meet in a week.
    pub fn gain(&self, context: &Context, candidate: CandidateId) -> f64 {
        let portions = &context.portions;
        let (look, gain) = self.candidates[candidate].get();
        let weeks = portions.weeks_of_candidate[candidate];
        let single = !portions.mixed[candidate];
        if single && self.holds(look, portions.food[candidate], weeks) {
            return gain;
        }
        let of_portion = |&place: &u32| {
            let place = place as usize;
            let known = &self.portions[place];
            let (look, gain) = known.get();
            if self.holds(look, portions.of_food[place], portions.weeks[place]) {
                return gain;
            }
            let (class, units) = portions.list[place];
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
        let of = &self.foods[product.food];
        for (slope, units) in of.slopes.iter().zip(&of.units) {
            if *slope <= work {
                break;
            }
            let mut kept = 1.0;
            for week in lots.from..=lots.until {
                if week > lots.fresh_until {
                    kept *= keep;
                }
                let wanted = units[week];
                if wanted <= 0.0 {
                    continue;
                }
                let allowed = row.map_or(wanted, |r| wanted.min(self.crop_left[r][week]));
                let take = allowed.min(left * kept);
                gain += take * (slope - work);
                left -= take / kept;
                if left <= NOTHING {
                    return gain;
                }
            }
        }
        gain
    }
}

impl OfFood {
    /// Nothing wanted yet.
    fn new(context: &Context, food: FoodId) -> OfFood {
        let season = context.season;
        let need = &season.foods[food];
        let worth = |week: usize| {
            let (_, _, below) = band(context, week);
            let (short, missing) = (need.short_cost[week], below * need.price);
            [0.0, short, missing, short + missing].map(|more| need.price + more)
        };
        let mut slopes: Vec<f64> = (0..season.weeks).flat_map(worth).collect();
        slopes.sort_by(|a, b| b.total_cmp(a));
        slopes.dedup_by(|next, kept| *kept - *next < LEVEL);
        let place = |slope: f64| {
            let place = slopes.partition_point(|&s| s >= slope + LEVEL);
            u32::try_from(place).expect("few slopes")
        };
        OfFood {
            places: (0..season.weeks).map(|w| worth(w).map(place)).collect(),
            marks: vec![[0.0; 4]; season.weeks],
            units: vec![vec![0.0; season.weeks]; slopes.len()],
            slopes,
            changed: 0,
            changed_in: vec![0; season.weeks],
        }
    }

    /// Notes a week's marks, and the units wanted between them.
    fn mark(&mut self, week: usize, marks: [f64; 4]) {
        self.marks[week] = marks;
        for place in self.places[week] {
            self.units[place as usize][week] = 0.0;
        }
        let [at, floor, level, cap] = marks;
        let mut from = at;
        let mut tops = [floor, level, cap];
        tops.sort_by(f64::total_cmp);
        for top in tops {
            if top > from + NOTHING {
                let below = usize::from(from < floor) + 2 * usize::from(from < level);
                self.units[self.places[week][below] as usize][week] += top - from;
                from = top;
            }
        }
    }
}
