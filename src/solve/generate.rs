//! Column generation over strip-years: prices that make the bound as low as the relaxation allows.

use super::bound::bound;
use super::context::{Context, Masks};
use super::master::{Column, Master, Mixed, Settled};
use crate::candidates::{CandidateId, CoverState, GroupId};
use crate::strips::Prices;
use std::collections::BTreeSet;

/// How far and how finely to generate.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    pub rounds: usize,
    /// Stop when the bound is within this share of the mix's worth.
    pub tolerance: f64,
    /// Relative accuracy asked of each master.
    pub accuracy: f64,
    /// Exact pricing (needed for a bound) or merely good strip-years.
    pub exact: bool,
}

/// Columns known, the last mix, and the best bound with its prices.
pub struct Generated {
    pub mixed: Mixed,
    pub bound: f64,
    pub prices: Prices,
    pub rounds: usize,
}

/// Columns without repeats, in the order they were found.
#[derive(Clone, Default)]
pub struct Pool {
    pub list: Vec<Column>,
    known: BTreeSet<Column>,
}

impl Pool {
    /// Adds a column; `false` where it is known already.
    pub fn add(&mut self, column: Column) -> bool {
        let new = self.known.insert(column.clone());
        if new {
            self.list.push(column);
        }
        new
    }

    /// Keeps those that `keep` says, in order.
    pub fn retain(&mut self, mut keep: impl FnMut(usize, &Column) -> bool) {
        let mut index = 0;
        self.list.retain(|column| {
            index += 1;
            keep(index - 1, column)
        });
        self.known = self.list.iter().cloned().collect();
    }
}

/// The problem of one generation: which strips are open, what is settled, which covers are decided.
pub struct Field<'f, 'a> {
    pub context: &'f Context<'a>,
    pub open: &'f [usize],
    pub settled: &'f Settled,
    pub masks: Option<&'f Masks>,
}

/// Generates until the bound meets the mix, the rounds are spent or `go_on` says stop. `told` hears
/// every better bound.
pub fn generate(
    field: &Field,
    pool: &mut Pool,
    start: Option<&Prices>,
    effort: &Effort,
    mut told: impl FnMut(f64) -> bool,
) -> Option<Generated> {
    // Shares of the best prices so far in the prices tried: much at first, none in the end.
    const CALM: f64 = 0.6;
    let mut center: Option<Prices> = start.cloned();
    let mut best = (f64::INFINITY, None::<Prices>);
    let mut mixed = None;
    let mut rounds = 0;
    let mut calm = CALM;
    if let Some(prices) = start {
        let fresh = try_prices(field, pool, prices, effort.exact, &mut best);
        if fresh > 0 && !told(best.0) {
            return None;
        }
    }
    while rounds < effort.rounds {
        rounds += 1;
        let master = Master {
            context: field.context,
            columns: &pool.list,
            open: field.open,
            settled: field.settled,
            masks: field.masks,
        };
        let Some(now) = master.solve(effort.accuracy) else {
            break;
        };
        let trial = match &center {
            Some(center) if calm > 0.0 => center.blend(&now.prices, calm),
            _ => now.prices.clone(),
        };
        let worth = now.worth;
        let before = best.0;
        let mut fresh = try_prices(field, pool, &trial, effort.exact, &mut best);
        if calm > 0.0 && (fresh == 0 || best.0 >= before) {
            // The calm prices taught nothing: ask at the master's own.
            fresh += try_prices(field, pool, &now.prices, effort.exact, &mut best);
            calm *= 0.7;
        }
        if best.0 < before {
            center = best.1.clone();
        }
        mixed = Some(now);
        let go_on = told(best.0);
        let close = best.0 - worth <= effort.tolerance * best.0.abs();
        if fresh == 0 || close || !go_on {
            break;
        }
    }
    let mixed = mixed?;
    let (bound, prices) = (best.0, best.1?);
    Some(Generated {
        mixed,
        bound,
        prices,
        rounds,
    })
}

/// Prices all groups, keeps the bound if better, adds the columns; how many were new.
fn try_prices(
    field: &Field,
    pool: &mut Pool,
    prices: &Prices,
    exact: bool,
    best: &mut (f64, Option<Prices>),
) -> usize {
    let paths = field.context.price(prices, field.masks, exact);
    let whole = bound(field.context, prices, &paths, field.open, field.settled);
    if whole < best.0 {
        *best = (whole, Some(prices.clone()));
    }
    let mut fresh = 0;
    for (group, path) in paths.into_iter().enumerate() {
        if field.open[group] > 0 && path.value > f64::NEG_INFINITY {
            fresh += usize::from(pool.add(Column {
                group,
                candidates: path.candidates,
            }));
        }
    }
    fresh
}

/// The year of every group in which as little as possible is done: idle, or what stands cleared;
/// groups for which the masks leave none are left out.
pub fn idle_columns(context: &Context, masks: Option<&Masks>) -> Vec<Column> {
    let season = context.season;
    (0..season.groups.len())
        .filter_map(|group: GroupId| {
            let mask = masks.map(|m| &m[season.groups[group].bed][..]);
            let candidates = idle_year(context, group, mask)?;
            Some(Column { group, candidates })
        })
        .collect()
}

/// The least that can be done with a strip of a group: nothing, or what stands there cleared as soon
/// as the mask lets it.
pub fn idle_year(
    context: &Context,
    group: GroupId,
    mask: Option<&[CoverState]>,
) -> Option<Vec<CandidateId>> {
    if context.season.groups[group].standing.is_none() {
        return Some(Vec::new());
    }
    context.terrains.alternatives[group]
        .iter()
        .copied()
        .filter(|&c| mask.is_none_or(|m| context.fits_mask(c, m)))
        .min_by_key(|&c| (context.season.candidates[c].end, c))
        .map(|c| vec![c])
}
