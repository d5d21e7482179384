//! Answers made without any search, for tests of what comes after it: the plan that grows nothing
//! new, and one that takes candidates in order of worth as long as they fit.
#![allow(dead_code)]

use bedweek::candidates::{BARE, Candidate, CandidateId, CoverState, Lot, Rotation, Season};
use bedweek::solve::{Answer, Draw, Status};
use std::collections::BTreeMap;

/// Everything that stands is cleared at once (or kept as it must), nothing is planted or eaten.
pub fn empty(season: &Season) -> Answer {
    let mut ground = Ground::new(season);
    ground.take_standing(|c| -(c.end as f64));
    ground.answer(Vec::new())
}

/// What stands is used as long as possible; then the best candidates that fit.
pub fn greedy(season: &Season) -> Answer {
    let mut ground = Ground::new(season);
    ground.take_standing(|c| gross(season, c));
    let mut order: Vec<CandidateId> = (0..season.candidates.len())
        .filter(|&c| season.candidates[c].standing.is_none())
        .collect();
    let value = |c: &Candidate| gross(season, c) / (c.end - c.start) as f64;
    order.sort_by(|&a, &b| value(&season.candidates[b]).total_cmp(&value(&season.candidates[a])));
    // Every crop a few times, so that the plan is varied.
    const TIMES: usize = 3;
    let mut times: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for id in order {
        let key = (
            season.candidates[id].members[0].crop,
            season.candidates[id].members.len(),
        );
        for bed in 0..season.beds.len() {
            let count = times.entry(key).or_default();
            if *count < TIMES && ground.take(id, bed, 2) {
                *count += 1;
            }
        }
    }
    let draws = eat(season, &ground.strips);
    ground.answer(draws)
}

fn gross(season: &Season, candidate: &Candidate) -> f64 {
    let food = |lot: &Lot| season.foods[season.products[lot.product].food].price;
    candidate
        .lots
        .iter()
        .map(|l| l.amount * food(l))
        .sum::<f64>()
        - candidate.cost
}

struct Ground<'a> {
    season: &'a Season,
    strips: Vec<Vec<Vec<CandidateId>>>,
    /// What must lie on a bed in a week, where something asks for it.
    covers: Vec<Vec<Option<CoverState>>>,
    shelf: Vec<[f64; 2]>,
}

impl<'a> Ground<'a> {
    fn new(season: &'a Season) -> Ground<'a> {
        Ground {
            season,
            strips: (season.beds.iter())
                .map(|b| vec![Vec::new(); b.strips as usize])
                .collect(),
            covers: vec![vec![None; season.weeks]; season.beds.len()],
            shelf: vec![[0.0; 2]; season.weeks],
        }
    }

    /// Takes the alternative of everything that stands that has the highest value and fits.
    fn take_standing(&mut self, value: impl Fn(&Candidate) -> f64) {
        for group in &self.season.groups {
            let Some(standing) = group.standing else {
                continue;
            };
            let mut alternatives: Vec<CandidateId> = (0..self.season.candidates.len())
                .filter(|&c| self.season.candidates[c].standing == Some(standing))
                .collect();
            alternatives.sort_by(|&a, &b| {
                value(&self.season.candidates[b]).total_cmp(&value(&self.season.candidates[a]))
            });
            let chosen = (alternatives.into_iter())
                .find(|&c| self.covers_fit(c, group.bed))
                .expect("something can be done with what stands");
            self.cover(chosen, group.bed);
            for &strip in &group.strips {
                self.strips[group.bed][strip as usize].push(chosen);
            }
        }
    }

    /// Puts the candidate on up to `most` strips of the bed; whether there was room for one.
    fn take(&mut self, id: CandidateId, bed: usize, most: usize) -> bool {
        let season = self.season;
        let candidate = &season.candidates[id];
        if !season.allowed(id, bed) || !self.covers_fit(id, bed) {
            return false;
        }
        let mut taken = 0;
        for group in season.groups.iter().filter(|g| g.bed == bed) {
            for &strip in &group.strips {
                let free = self.strips[bed][strip as usize].iter().all(|&other| {
                    let other = &season.candidates[other];
                    other.end <= candidate.start || candidate.end <= other.start
                });
                let release = &group.release;
                if taken < most
                    && free
                    && self.shelf_fits(id)
                    && self.rotates(id, bed, strip, release)
                {
                    self.strips[bed][strip as usize].push(id);
                    for stay in &candidate.shelf {
                        self.shelf[stay.week][usize::from(stay.lit)] += stay.m2;
                    }
                    taken += 1;
                }
            }
        }
        if taken > 0 {
            self.cover(id, bed);
        }
        taken > 0
    }

    fn shelf_fits(&self, id: CandidateId) -> bool {
        let space = [self.season.shelf_unlit_m2, self.season.shelf_lit_m2];
        // The two plants of a recipe may be on the shelf in the same week.
        let mut taken = self.shelf.clone();
        self.season.candidates[id].shelf.iter().all(|stay| {
            let part = usize::from(stay.lit);
            taken[stay.week][part] += stay.m2;
            taken[stay.week][part] <= space[part]
        })
    }

    fn rotates(&self, id: CandidateId, bed: usize, strip: u32, release: &[usize]) -> bool {
        let season = self.season;
        season.candidates[id].families.iter().all(|new| {
            let weeks = match season.beds[bed].rotation[new.family] {
                Rotation::Forbid { weeks } => weeks,
                Rotation::Discourage { .. } | Rotation::Off => return true,
            };
            new.from >= release[new.family]
                && self.strips[bed][strip as usize]
                    .iter()
                    .flat_map(|&c| &season.candidates[c].families)
                    .filter(|old| old.family == new.family)
                    .all(|old| old.until + weeks <= new.from || new.until + weeks <= old.from)
        })
    }

    fn covers_fit(&self, id: CandidateId, bed: usize) -> bool {
        let c = &self.season.candidates[id];
        (c.start..).zip(&c.states).all(|(week, &state)| {
            let lies = self.covers[bed][week];
            let others = (self.covers.iter().enumerate())
                .filter(|(b, weeks)| *b != bed && weeks[week] == Some(state))
                .count();
            let to_hand = |s: CoverState| self.season.covers[usize::from(s) - 1].count as usize;
            lies.is_none_or(|s| s == state) && (state == BARE || others < to_hand(state))
        })
    }

    fn cover(&mut self, id: CandidateId, bed: usize) {
        let c = &self.season.candidates[id];
        for (week, &state) in (c.start..).zip(&c.states) {
            self.covers[bed][week] = Some(state);
        }
    }

    fn answer(mut self, draws: Vec<Draw>) -> Answer {
        for year in self.strips.iter_mut().flatten() {
            year.sort_by_key(|&c| (self.season.candidates[c].start, c));
        }
        Answer {
            status: Status::WorkLimit,
            strips: self.strips,
            covers: (self.covers.iter())
                .map(|weeks| weeks.iter().map(|s| s.unwrap_or(BARE)).collect())
                .collect(),
            draws,
            worth: f64::NEG_INFINITY,
            bound: 1e6,
            work: 0,
            seconds: 0.5,
        }
    }
}

/// Draws week by week, what perishes first is eaten first.
fn eat(season: &Season, strips: &[Vec<Vec<CandidateId>>]) -> Vec<Draw> {
    let mut classes: BTreeMap<(usize, usize, usize, usize), f64> = BTreeMap::new();
    for &id in strips.iter().flatten().flatten() {
        for lot in &season.candidates[id].lots {
            let key = (lot.until, lot.product, lot.from, lot.fresh_until);
            *classes.entry(key).or_default() += lot.amount;
        }
    }
    let mut draws = Vec::new();
    for week in 0..season.weeks {
        let mut money = season
            .level
            .as_ref()
            .map_or(f64::INFINITY, |l| l.high[week]);
        let mut food_left: Vec<f64> = season.foods.iter().map(|f| f.wish[week]).collect();
        let mut crop_left: BTreeMap<(usize, usize), f64> = BTreeMap::new();
        for (&(until, product, from, fresh_until), left) in &mut classes {
            let made = &season.products[product];
            let food = &season.foods[made.food];
            if from > week || until < week {
                continue;
            }
            let lot = Lot {
                product,
                from,
                fresh_until,
                until,
                amount: *left,
            };
            let used = lot.used_per_unit(week, made.weekly_loss);
            let share = (crop_left.entry((made.food, made.crop)))
                .or_insert(food.single_crop_share * food.wish[week]);
            let units = (*left / used)
                .min(food_left[made.food])
                .min(*share)
                .min(money / food.price);
            if units > 1e-9 {
                *left -= units * used;
                *share -= units;
                food_left[made.food] -= units;
                money -= units * food.price;
                draws.push(Draw {
                    product,
                    from,
                    fresh_until,
                    until,
                    week,
                    units,
                });
            }
        }
    }
    draws
}
