//! Lowering the bound: rounds of the compact relaxation, each with the plantings that its prices call for
//! and the rows that its plan breaks, then steps of the volume method.

use super::ascent::ascend;
use super::bound::bound;
use super::breaks::broken;
use super::compact::{Compact, Relaxed, relax};
use super::context::Context;
use super::interior::Midway;
use super::leave_out::losses;
use super::separate::Separator;
use crate::candidates::CandidateId;
use crate::domain::BedId;
use crate::strips::{CoverRow, Lid, Path, Prices, Rounding};
use std::collections::BTreeSet;
use std::sync::Arc;

/// The bound so far, and what lowers it further.
pub struct Lowering {
    pub bound: f64,
    /// The prices that gave it.
    pub prices: Option<Prices>,
    /// What the last relaxed plan is worth, money.
    pub relaxed: f64,
    /// Strips that the relaxed plan behind the prices gives to each candidate; empty before there is one.
    pub strips: Vec<f64>,
    /// Strip-years sought since somebody took this.
    pub work: u64,
    /// Multiplications of all relaxations and prices so far.
    effort: u64,
    /// Multiplications of the last round.
    last_effort: u64,
    /// The bound after each round with rounding rows.
    history: Vec<f64>,
    compact: Compact,
    /// Where the last relaxation was midway.
    midway: Midway,
    separator: Separator,
    /// Whether bound and relaxation have been near each other, or came nearer slowly.
    near: bool,
    /// Bound at the prices of the last round.
    last: f64,
    /// For how many rounds each rounding row, each cover row and each place with lids had no price.
    idle: Vec<usize>,
    idle_covers: Vec<usize>,
    idle_lids: Vec<usize>,
}

/// What a round brought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Round {
    /// Plantings or rows were added that the next round will feel.
    More,
    /// Bound and relaxation are close: rounding rows are what is left.
    Close,
    /// Nothing is left to add, or the relaxation failed or was cut short.
    Done,
}

/// Which rows a round may add beside the usual ones.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rows {
    /// Cover rows and lids only.
    Covers,
    All,
}

/// How far to go.
#[derive(Clone, Copy, Debug)]
pub struct Budget {
    /// Multiplications in all.
    pub effort: u64,
    /// Steps of the volume method at the end.
    pub ascent: usize,
}

/// Multiplications that pricing a strip-year counts as: an estimate of the time it takes, as one relaxation
/// takes for them.
const PATH_EFFORT: u64 = 2_000_000;
/// The bound falls slowly where so many rounds together took off less than this share of it.
const SLOW_ROUNDS: usize = 4;
const SLOWLY: f64 = 5e-4;

/// Shares of the bound within which the relaxation counts as near it, and as close to it.
const NEAR: f64 = 3e-2;
/// What a round takes off between the two at least, as a share, while plantings may be forgotten.
const SLOW: f64 = 0.1;
const CLOSE: f64 = 1e-3;

impl Lowering {
    /// Begins with the plantings of some strip-years, and the bound of a table where all food is free.
    pub fn new<'y>(
        context: &Context,
        years: impl IntoIterator<Item = &'y Vec<CandidateId>>,
    ) -> Lowering {
        let free = Prices::zero(context.season, &context.variety);
        let paths = context.price(&free, None, true);
        Lowering {
            bound: bound(context, &free, &paths),
            prices: Some(free),
            relaxed: f64::INFINITY,
            strips: Vec::new(),
            work: paths.len() as u64,
            effort: 0,
            last_effort: 0,
            history: Vec::new(),
            compact: Compact::of(context, years),
            midway: Midway::default(),
            separator: Separator::of(context),
            near: false,
            last: f64::INFINITY,
            idle: Vec::new(),
            idle_covers: Vec::new(),
            idle_lids: Vec::new(),
        }
    }

    /// Multiplications of all relaxations and prices so far.
    pub fn effort(&self) -> u64 {
        self.effort
    }

    /// Rounds with rounding rows, then the volume method, towards `worth`: as much as the budget allows, a part
    /// of it where the bound falls slowly. The multiplications that it took.
    pub fn lower(
        &mut self,
        context: &Context,
        budget: Budget,
        worth: f64,
        go_on: impl Fn() -> bool,
    ) -> u64 {
        // The ascent aims between plan and bound: this share of the bound below it at the most.
        const AIM: f64 = 0.02;
        // Part of the budget that is spent though the bound falls slowly, an estimate.
        const PART: u64 = 4;
        let before = self.effort;
        // The first round may take twice what there is: a round that begins late is not cut short.
        let mut last = self.last_effort / 2;
        loop {
            let most = budget.effort / if self.slowly() { PART } else { 1 };
            if self.effort - before + last > most || !go_on() {
                break;
            }
            let start = self.effort;
            let brought = self.round(context, Rows::All, &go_on);
            self.history.push(self.bound);
            last = self.effort - start;
            self.last_effort = last;
            if brought == Round::Done {
                break;
            }
        }
        let step = context.season.groups.len() as u64 * PATH_EFFORT;
        let left = budget.effort.saturating_sub(self.effort - before);
        let steps = budget.ascent.min((left / step) as usize);
        if let Some(start) = self.prices.as_ref().filter(|_| steps > 0) {
            let target = |first: f64| worth.max(first - AIM * first.abs());
            let found = ascend(context, start, target, steps, |_| go_on());
            self.work += (found.steps * context.season.groups.len()) as u64;
            self.effort += found.steps as u64 * step;
            self.take(found.bound, &found.prices);
        }
        self.effort - before
    }

    /// Whether the last rounds took little off the bound.
    fn slowly(&self) -> bool {
        let ago = self.history.len().checked_sub(1 + SLOW_ROUNDS);
        ago.is_some_and(|n| self.history[n] - self.bound < SLOWLY * self.bound.abs())
    }

    /// One round of the relaxation; none where it is told not to go on.
    pub fn round(&mut self, context: &Context, rows: Rows, go_on: &dyn Fn() -> bool) -> Round {
        // Asked of a relaxation: little while many plantings are still to be named.
        const ROUGH: f64 = 1e-3;
        const FINE: f64 = 1e-4;
        let accuracy = if self.near { FINE } else { ROUGH };
        let Some(relaxed) = relax(context, &self.compact, &mut self.midway, accuracy, go_on) else {
            return Round::Done;
        };
        self.effort += relaxed.effort;
        let (value, paths) = self.priced(context, &relaxed.prices);
        let apart = value - relaxed.worth;
        self.near |= apart < NEAR * value.abs() || value > self.last - SLOW * apart;
        self.last = value;
        self.relaxed = relaxed.worth;
        if self.take(value, &relaxed.prices) {
            self.strips.clone_from(&relaxed.strips);
        }
        if !self.near {
            self.forget(&relaxed);
        } else if relaxed.prices.break_price.iter().any(|&price| price > 0.0) {
            // In a standing year of few strips the path, which watches the families that matter most, says more
            // than breaks counted over all strips.
            let prices = relaxed.prices.clone().without_breaks();
            let (value, _) = self.priced(context, &prices);
            self.take(value, &prices);
        }
        let mut more = self.name(context, &relaxed, &paths, value);
        more |= self.add_breaks(context, &relaxed);
        if value - relaxed.worth > CLOSE * value.abs() && more {
            return Round::More;
        }
        if self.compact.has_no_rows() {
            self.forget(&relaxed);
        }
        match self.add_rows(context, &relaxed, rows) || more {
            true => Round::Close,
            false => Round::Done,
        }
    }

    /// The bound at some prices, and the best strip-years at them.
    fn priced(&mut self, context: &Context, prices: &Prices) -> (f64, Vec<Path>) {
        let paths = context.price(prices, None, true);
        self.work += paths.len() as u64;
        self.effort += paths.len() as u64 * PATH_EFFORT;
        (bound(context, prices, &paths), paths)
    }

    /// Takes a bound and its prices where it is lower than the one known; whether it is.
    fn take(&mut self, bound: f64, prices: &Prices) -> bool {
        let lower = bound < self.bound;
        if lower {
            self.bound = bound;
            self.prices = Some(prices.clone());
        }
        lower
    }

    /// Names the plantings of the best strip-years and those that lose little against them; whether
    /// there were new ones.
    fn name(&mut self, context: &Context, relaxed: &Relaxed, paths: &[Path], value: f64) -> bool {
        // Money a strip: what is looked at in the first round, and, of the mean that strips are over,
        // in the last ones. Estimates, as is the number taken at once.
        const LITTLE: f64 = 0.015; // of what a strip is worth in the mean
        const OF_MEAN: f64 = 3.0;
        const MOST: usize = 1000;
        let mut fresh = false;
        for path in paths {
            fresh |= self.compact.name(context, &path.candidates);
        }
        let strips: usize = (0..paths.len()).map(|g| context.count(g)).sum();
        let mean = (value - relaxed.worth).max(0.0) / strips.max(1) as f64;
        let losses = losses(context, &relaxed.prices, paths);
        let mut near: Vec<CandidateId> = (0..losses.len())
            .filter(|&c| {
                losses[c] < (OF_MEAN * mean).min(LITTLE * value.abs() / strips.max(1) as f64)
            })
            .collect();
        near.sort_by(|&a, &b| losses[a].total_cmp(&losses[b]).then(a.cmp(&b)));
        near.truncate(MOST);
        fresh | self.compact.name(context, &near)
    }

    /// Leaves out the plantings that the relaxed plan has no use for, so that rounds with rounding rows are
    /// quick; what is missed will be named again.
    fn forget(&mut self, relaxed: &Relaxed) {
        const IN_USE: f64 = 0.02; // strips
        for (named, strips) in self.compact.named.iter_mut().zip(&relaxed.strips) {
            *named = *strips > IN_USE;
        }
    }

    fn add_breaks(&mut self, context: &Context, relaxed: &Relaxed) -> bool {
        let mut new = false;
        for row in broken(context, &relaxed.strips) {
            if !self.compact.breaks.contains(&row) {
                Arc::make_mut(&mut self.compact.breaks).push(row);
                new = true;
            }
        }
        new
    }

    /// Adds the rounding rows and cover rows that the relaxed plan breaks, drops those that had no price for some
    /// rounds; whether there were new ones.
    fn add_rows(&mut self, context: &Context, relaxed: &Relaxed, rows: Rows) -> bool {
        const NOTHING: f64 = 1e-3; // share of the food's price
        let nothing = |food: usize| NOTHING * context.season.foods[food].price;
        let prices = &relaxed.prices;
        let roundings = renewed(
            (&self.compact.roundings, &self.idle),
            |n, row| prices.rounding[n] > nothing(row.food),
            match rows {
                Rows::Covers => Vec::new(),
                Rows::All => self.separator.find(context, relaxed),
            },
            Rounding::same,
        );
        let cover_rows = renewed(
            (&self.compact.cover_rows, &self.idle_covers),
            |n, row| prices.cover_row_price[n] > nothing(row.food),
            self.separator.find_cover_rows(context, relaxed),
            CoverRow::same,
        );
        // Money a strip that a lid brings at least, estimate.
        const LITTLE: f64 = 1e-5;
        let group = |lid: &Lid| context.season.groups[lid.group].bed;
        let lids = prices.lids.iter().zip(&prices.lid_price);
        let priced: BTreeSet<(BedId, usize)> = lids
            .filter(|(_, price)| **price > LITTLE)
            .map(|(lid, _)| (group(lid), lid.week))
            .collect();
        let lidded = renewed(
            (&self.compact.lidded, &self.idle_lids),
            |_, place| priced.contains(place),
            self.separator.find_lids(context, relaxed),
            |a, b| a == b,
        );
        let new = roundings.new || cover_rows.new || lidded.new;
        (self.compact.lidded, self.idle_lids) = (lidded.rows, lidded.idle);
        (self.compact.roundings, self.idle) = (Arc::new(roundings.rows), roundings.idle);
        (self.compact.cover_rows, self.idle_covers) = (Arc::new(cover_rows.rows), cover_rows.idle);
        new
    }
}

/// Rows after a round.
struct Renewed<R> {
    rows: Vec<R>,
    /// For how many rounds each had no price.
    idle: Vec<usize>,
    /// Whether there is a new one.
    new: bool,
}

/// Rows, and for how many rounds each had no price, after another round: without those that had none for too long, with
/// what was found.
fn renewed<R: Clone>(
    (rows, idle): (&[R], &[usize]),
    priced: impl Fn(usize, &R) -> bool,
    found: Vec<R>,
    same: impl Fn(&R, &R) -> bool,
) -> Renewed<R> {
    const PATIENCE: usize = 3; // rounds
    let mut now = Renewed {
        rows: Vec::new(),
        idle: Vec::new(),
        new: false,
    };
    for (n, (row, rounds)) in rows.iter().zip(idle).enumerate() {
        let rounds = if priced(n, row) { 0 } else { rounds + 1 };
        if rounds < PATIENCE {
            now.rows.push(row.clone());
            now.idle.push(rounds);
        }
    }
    for row in found {
        if !now.rows.iter().any(|known| same(known, &row)) {
            now.rows.push(row);
            now.idle.push(0);
            now.new = true;
        }
    }
    now
}
