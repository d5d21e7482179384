//! Floors that are musts: whether all of them can be kept at once, and the search for a plan that keeps
//! them. Method: docs/method/programme.md, "Musts".

use crate::candidates::{self, Decided, Rotation, Season};
use crate::domain::Scenario;
use crate::solve::{Answer, Given, Options, Progress, Watch, bound_at, solve_priced};
use crate::strips::Prices;
use std::sync::atomic::{AtomicBool, Ordering};

/// Musts missed by no more than this are kept, in units of the food, and in musts of single weeks.
const CRUMB: f64 = 1e-6;
const KEPT: f64 = 1e-7;
/// What is proven to be missed counts from this share of all musts on: ten times the accuracy of bounds.
const PROVEN: f64 = 1e-5;
/// By how much a must missed is made dearer, where a plan that keeps all does not win at its first
/// price, and how often.
const DEARER: f64 = 10.0;
const TRIES: usize = 3;

/// Which weeks of which foods are asked for: by food, by week.
pub type Asked = Vec<Vec<bool>>;

/// How a clash of musts is proven.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// By the bound at prices, in our own arithmetic.
    Prices,
    /// By the exact search, at prices of its nodes.
    Exact,
}

/// Whether all musts can be kept.
#[derive(Clone, Debug)]
pub enum Musts {
    /// By this plan, of which nothing else is asked.
    Kept(Box<Decided>),
    /// By none: so many musts of single weeks are missed in every plan.
    Clash {
        missed: f64,
        proof: Proof,
        prices: Option<Box<Prices>>,
    },
    /// The limits of the search left it open.
    Open,
}

/// The musts of a scenario, all of them.
pub fn all(scenario: &Scenario) -> Asked {
    scenario.foods.iter().map(|f| f.must.clone()).collect()
}

/// Whether the musts asked for can all be kept. A plan is sought that keeps as much of them as can
/// be, each week of a food counting as one, and nothing else counts.
pub fn keep(season: &Season, asked: &Asked, options: &Options, watch: &dyn Watch) -> Musts {
    let (only, total) = only_musts(season, asked);
    let until = Until {
        watch,
        total,
        decided: AtomicBool::new(false),
    };
    let options = Options {
        gap: 0.0,
        ..*options
    };
    let (answer, prices) = solve_priced(&only, &options, &until, None);
    if answer.worth >= total - KEPT {
        return Musts::Kept(Box::new(Decided {
            strips: answer.strips,
            covers: answer.covers,
            left_out: Vec::new(),
        }));
    }
    if answer.bound >= proven(total) {
        return Musts::Open;
    }
    let by_prices = prices
        .as_ref()
        .is_some_and(|prices| bound_at(&only, prices) < proven(total));
    Musts::Clash {
        missed: total - answer.bound,
        proof: if by_prices {
            Proof::Prices
        } else {
            Proof::Exact
        },
        prices: prices.map(Box::new),
    }
}

/// Whether these prices prove that the musts asked for cannot all be kept; the prices must come from
/// a season with the same candidates and foods.
pub fn clash_at(season: &Season, asked: &Asked, prices: &Prices) -> bool {
    let (only, total) = only_musts(season, asked);
    bound_at(&only, prices) < proven(total)
}

fn proven(total: f64) -> f64 {
    total - PROVEN * total.max(1.0)
}

/// The season in which nothing counts but the musts asked for, and their number. Floors and wishes
/// stay as they are whatever is asked for, so that prices of one serve for another.
fn only_musts(season: &Season, asked: &Asked) -> (Season, f64) {
    let mut only = season.clone();
    let mut total = 0.0;
    for (food, asked) in only.foods.iter_mut().zip(asked) {
        food.price = 0.0;
        for (week, asked) in asked.iter().enumerate() {
            let counts = *asked && food.floor[week] > 0.0;
            food.short_cost[week] = if counts { 1.0 / food.floor[week] } else { 0.0 };
            total += f64::from(u8::from(counts));
        }
    }
    only.level = None;
    only.minute_money = 0.0;
    only.always.clear();
    only.planned.clear();
    for candidate in &mut only.candidates {
        candidate.cost = 0.0;
    }
    for rotation in only.beds.iter_mut().flat_map(|bed| &mut bed.rotation) {
        if matches!(rotation, Rotation::Discourage { .. }) {
            *rotation = Rotation::Off;
        }
    }
    only.given_back = total;
    (only, total)
}

/// Ends a search as soon as it is decided.
struct Until<'w> {
    watch: &'w dyn Watch,
    total: f64,
    decided: AtomicBool,
}

impl Watch for Until<'_> {
    fn seconds(&self) -> f64 {
        self.watch.seconds()
    }

    fn interrupted(&self) -> bool {
        self.decided.load(Ordering::Relaxed) || self.watch.interrupted()
    }

    fn progress(&self, progress: Progress) {
        let kept = progress.worth.is_some_and(|w| w >= self.total - KEPT);
        let clash = progress.bound.is_some_and(|b| b < proven(self.total));
        if kept || clash {
            self.decided.store(true, Ordering::Relaxed);
        }
    }
}

/// Whether an answer keeps every must.
pub fn keeps(scenario: &Scenario, season: &Season, answer: &Answer) -> bool {
    let mut eaten = vec![vec![0.0; season.weeks]; season.foods.len()];
    for draw in &answer.draws {
        eaten[season.products[draw.product].food][draw.week] += draw.units;
    }
    (scenario.foods.iter().zip(&eaten)).all(|(food, eaten)| {
        (0..season.weeks).all(|w| !food.must[w] || eaten[w] >= food.floor[w] - CRUMB)
    })
}

/// Solves a season. Where musts bind, from a plan that keeps them all, if there is one.
pub fn solve(
    scenario: &Scenario,
    season: &Season,
    options: &Options,
    watch: &dyn Watch,
    known: Option<Decided>,
) -> (Answer, Option<Prices>) {
    let found = solve_priced(season, options, watch, known.as_ref().map(given));
    if !scenario.musts_bind() || keeps(scenario, season, &found.0) {
        return found;
    }
    let keeping = match known {
        Some(known) => Some(known),
        None => match keep(season, &all(scenario), options, watch) {
            Musts::Kept(plan) => Some(*plan),
            Musts::Clash { .. } | Musts::Open => None,
        },
    };
    if keeping.is_none() {
        return found;
    }
    let mut dear = season.clone();
    for _ in 0..TRIES {
        for (food, need) in dear.foods.iter_mut().zip(&scenario.foods) {
            for (cost, _) in food
                .short_cost
                .iter_mut()
                .zip(&need.must)
                .filter(|(_, m)| **m)
            {
                *cost *= DEARER;
            }
        }
        let again = solve_priced(&dear, options, watch, keeping.as_ref().map(given));
        if keeps(scenario, season, &again.0) {
            // Nothing that was made dearer is paid: worth and bound are those of the season.
            return again;
        }
    }
    found
}

fn given(known: &Decided) -> Given<'_> {
    Given {
        strips: &known.strips,
        covers: &known.covers,
    }
}

/// The season of a scenario in which a plan that misses a must is none: for other solvers.
pub fn binding(scenario: &Scenario) -> Season {
    let mut season = candidates::season(scenario);
    if scenario.musts_bind() {
        for (food, need) in season.foods.iter_mut().zip(&scenario.foods) {
            for (cost, _) in food
                .short_cost
                .iter_mut()
                .zip(&need.must)
                .filter(|(_, m)| **m)
            {
                *cost = f64::INFINITY;
            }
        }
    }
    season
}
