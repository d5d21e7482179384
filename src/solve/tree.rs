//! The tree of the exact search: tightening the root, choosing what to branch on. Leaves are
//! `leaf`'s business.

use super::Watch;
use super::exact::{Better, ExactLimits};
use super::linear::{NoPoint, Relaxation};
use super::reduce::{narrow, prices};
use crate::candidates::Season;
use crate::programme::{ColumnId, Cutter, Layout, Programme, Sense};
use std::collections::BTreeSet;
use std::rc::Rc;

/// Distance from a whole number that is taken as whole: microlp's feasibility tolerance, times ten.
const WHOLE: f64 = 1e-6;
/// Rounds of rounding rows, and rows added in each (estimates: more gave no better bound).
const CUT_ROUNDS: usize = 8;
const CUTS_A_ROUND: usize = 250;
/// Rounds of rounding and narrowing, and the share of whole columns that a round must fix for
/// another one to follow (estimates).
const ROOT_ROUNDS: usize = 6;
const LEAST_FIXED: f64 = 0.03;
/// Rounding goes on while it gains this share of the bound a round (estimate).
const LEAST_CUT_GAIN: f64 = 1e-4;
/// Columns tried at a node before one is branched on (estimate).
const TRIED: usize = 8;
/// Trials of a column and direction after which its mean is believed (estimate).
const RELIABLE: u32 = 3;

/// A column to branch on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Branchable {
    pub column: ColumnId,
    /// Only when none of the others is left.
    pub late: bool,
    pub alike: Alike,
}

/// Columns that are expected to behave alike when branched on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Alike {
    /// All strips of a crop; those begun in one week; a candidate's; those in one bed.
    Crop(usize),
    Begun(usize),
    Candidate(usize),
    Strips(usize),
    /// A cover on a bed.
    Cover(usize, usize),
}

/// Losses of objective per unit a column was moved.
#[derive(Clone, Copy, Default)]
struct Losses {
    sum: f64,
    count: u32,
}

/// A subproblem: the parent with one column fixed.
pub(super) struct Open {
    pub parent: Rc<Relaxation>,
    pub column: ColumnId,
    pub value: f64,
    /// From this value to the next one away from the parent's; 0: there is none. The bound
    /// falls with each step, for the relaxation is concave in the column.
    pub step: f64,
    pub bound: f64,
    /// Solved already when the column was tried.
    pub solved: Option<Rc<Relaxation>>,
    pub above: Chain,
}

/// Columns fixed so far; branches share their beginnings.
pub(super) type Chain = Option<Rc<Fixed>>;

pub(super) struct Fixed {
    column: ColumnId,
    above: Chain,
}

pub(super) fn is_fixed(chain: &Chain, column: ColumnId) -> bool {
    let mut at = chain;
    while let Some(fixed) = at {
        if fixed.column == column {
            return true;
        }
        at = &fixed.above;
    }
    false
}

/// The search and what it has found.
pub(super) struct Search<'a> {
    pub season: &'a Season,
    pub layout: &'a Layout,
    branchable: Vec<Branchable>,
    /// For each kind of [`Alike`] in use.
    losses: Vec<[Losses; 2]>,
    /// For each column, the place of its kind in `losses`.
    alike: Vec<usize>,
    pub open: Vec<Open>,
    limits: ExactLimits,
    watch: &'a dyn Watch,
    /// Subproblems worth no more than this are dropped.
    pub cutoff: f64,
    pub best: Option<Better>,
    /// The lowest worth of a relaxation of the whole programme so far.
    pub root_bound: f64,
    /// Best bound of solutions by beds dropped for want of strip-years.
    pub dropped: f64,
    pub relaxations: u64,
}

impl<'a> Search<'a> {
    pub fn new(
        season: &'a Season,
        layout: &'a Layout,
        branchable: Vec<Branchable>,
        cutoff: f64,
        limits: ExactLimits,
        watch: &'a dyn Watch,
    ) -> Search<'a> {
        Search {
            season,
            layout,
            branchable,
            losses: Vec::new(),
            alike: Vec::new(),
            open: Vec::new(),
            limits,
            watch,
            cutoff,
            best: None,
            root_bound: f64::INFINITY,
            dropped: f64::NEG_INFINITY,
            relaxations: 0,
        }
    }

    /// Best bound of what is still open.
    pub fn open_bound(&self) -> f64 {
        let bounds = self.open.iter().map(|open| open.bound);
        bounds.fold(f64::NEG_INFINITY, f64::max)
    }

    /// Seconds left until the clock stops the search.
    fn left(&self) -> Option<f64> {
        let until = self.limits.until?;
        Some((until - self.watch.seconds()).max(0.0))
    }

    /// Whether the best plan is within the gap asked for, if none is worth more than `bound`.
    pub fn enough(&self, bound: f64) -> bool {
        let bound = bound.max(self.dropped);
        bound - self.cutoff <= self.limits.gap * bound.abs()
    }

    fn must_stop(&self) -> bool {
        self.watch.interrupted()
            || self.limits.until.is_some_and(|t| self.watch.seconds() >= t)
            || self
                .limits
                .relaxations
                .is_some_and(|n| self.relaxations >= n)
    }

    /// The relaxation of the whole programme, its worth noted as a bound.
    fn relaxed(&mut self, programme: &Programme) -> Result<Relaxation, NoPoint> {
        let solved = Relaxation::new(programme, self.left())?;
        self.root_bound = self.root_bound.min(solved.objective());
        Ok(solved)
    }

    /// Solves the relaxation and tightens it: rounding rows, and columns narrowed to what a
    /// better plan may use; both stay in the programme.
    pub fn root(&mut self, programme: &mut Programme) -> Result<Relaxation, NoPoint> {
        let rows = programme.rows.len();
        let mut solved = self.relaxed(programme)?;
        for _ in 0..ROOT_ROUNDS {
            solved = self.round_off(programme, solved)?;
            // Rounding rows that do not bind any more only make the search slower.
            let point = solved.point();
            let mut number = 0;
            programme.rows.retain(|row| {
                number += 1;
                let left: f64 = row.terms.iter().map(|&(c, a)| a * point[c]).sum();
                number <= rows || left - row.rhs < WHOLE * row.rhs.abs().max(1.0)
            });
            if self.must_stop() || self.enough(solved.objective()) {
                break;
            }
            let Some(prices) = prices(programme) else {
                break;
            };
            let open = |p: &Programme| {
                p.columns
                    .iter()
                    .filter(|c| c.integer && c.lower < c.upper)
                    .count()
            };
            let before = open(programme);
            let fixed = narrow(programme, &prices, self.cutoff);
            self.relaxations += 1;
            solved = self.relaxed(programme)?;
            if (fixed as f64) < LEAST_FIXED * before as f64 {
                break;
            }
        }
        Ok(solved)
    }

    /// Adds rounding rows while they gain.
    fn round_off(
        &mut self,
        programme: &mut Programme,
        mut solved: Relaxation,
    ) -> Result<Relaxation, NoPoint> {
        let cutter = Cutter::new(self.season, self.layout);
        for _ in 0..CUT_ROUNDS {
            self.relaxations += 1;
            if self.enough(solved.objective()) || self.must_stop() {
                break;
            }
            let cuts = cutter.find(programme, &solved.point());
            if cuts.is_empty() {
                break;
            }
            for cut in cuts.into_iter().take(CUTS_A_ROUND) {
                programme.row(None, &["rounding"], cut.terms, Sense::AtLeast, cut.rhs);
            }
            let before = solved.objective();
            solved = self.relaxed(programme)?;
            if before - solved.objective() < LEAST_CUT_GAIN * before.abs() {
                break;
            }
        }
        Ok(solved)
    }

    /// Searches the tree below the root until it is done or a limit is met.
    pub fn run(&mut self, programme: &Programme, root: Relaxation) -> Result<(), NoPoint> {
        let kinds: BTreeSet<Alike> = self.branchable.iter().map(|it| it.alike).collect();
        self.losses = vec![[Losses::default(); 2]; kinds.len()];
        self.alike = vec![usize::MAX; programme.columns.len()];
        for it in &self.branchable {
            self.alike[it.column] = kinds.range(..it.alike).count();
        }
        self.expand(programme, &Rc::new(root), &None)?;
        while let Some(mut next) = self.open.pop() {
            if next.bound <= self.cutoff {
                continue;
            }
            if self.must_stop() || self.enough(next.bound.max(self.open_bound())) {
                self.open.push(next);
                break;
            }
            let solved = match next.solved.take() {
                Some(solved) => solved,
                None => match self.fix(&next.parent, next.column, next.value)? {
                    Some(solved) => Rc::new(solved),
                    None => continue,
                },
            };
            let bound = solved.objective();
            if bound <= self.cutoff {
                continue;
            }
            let above = Some(Rc::new(Fixed {
                column: next.column,
                above: next.above.clone(),
            }));
            let further = next.value + next.step;
            if next.step != 0.0 && within(programme, next.column, further) {
                next.value = further;
                next.bound = bound;
                self.open.push(next);
            }
            self.expand(programme, &solved, &above)?;
        }
        Ok(())
    }

    /// The parent with a column fixed; `None` when nothing is left.
    fn fix(
        &mut self,
        parent: &Relaxation,
        column: ColumnId,
        value: f64,
    ) -> Result<Option<Relaxation>, NoPoint> {
        self.relaxations += 1;
        match parent.fixed(column, value) {
            Ok(solved) => {
                let moved = value - parent.value(column);
                if moved.abs() > WHOLE {
                    let losses = &mut self.losses[self.alike[column]][usize::from(moved > 0.0)];
                    losses.sum += (parent.objective() - solved.objective()).max(0.0) / moved.abs();
                    losses.count += 1;
                }
                Ok(Some(solved))
            }
            Err(NoPoint::Infeasible) => Ok(None),
            Err(other) => Err(other),
        }
    }

    /// Opens the branches below a solved node, or takes it as a leaf.
    fn expand(
        &mut self,
        programme: &Programme,
        node: &Rc<Relaxation>,
        above: &Chain,
    ) -> Result<(), NoPoint> {
        let mut fractional: Vec<(bool, ColumnId, f64)> = self
            .branchable
            .iter()
            .map(|it| (it.late, it.column, node.value(it.column)))
            .filter(|(_, _, value)| (value - value.round()).abs() > WHOLE)
            .collect();
        if fractional.iter().all(|f| f.0) && self.placed(programme, node) {
            return Ok(());
        }
        let Some(late) = fractional.iter().map(|f| f.0).min() else {
            self.leaf(programme, node, above);
            return Ok(());
        };
        fractional.retain(|f| f.0 == late);
        let mut ranked: Vec<(f64, ColumnId, f64)> = fractional
            .into_iter()
            .map(|(_, column, value)| (self.promise(column, value), column, value))
            .collect();
        ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut best: Option<(f64, Vec<Open>)> = None;
        for (promise, column, value) in ranked.into_iter().take(TRIED) {
            if best.is_some() && self.must_stop() {
                break;
            }
            if best.as_ref().is_some_and(|(score, _)| promise <= *score) && self.known(column) {
                continue;
            }
            let mut branches = Vec::new();
            let mut score = 1.0;
            for (target, step) in [(value.floor(), -1.0), (value.ceil(), 1.0)] {
                let solved = self.fix(node, column, target)?.map(Rc::new);
                let bound = solved.as_ref().map_or(f64::NEG_INFINITY, |s| s.objective());
                score *= (node.objective() - bound.max(self.cutoff)).max(WHOLE);
                if bound > self.cutoff {
                    branches.push(Open {
                        parent: node.clone(),
                        column,
                        value: target,
                        step,
                        bound,
                        solved,
                        above: above.clone(),
                    });
                }
            }
            let fewer =
                |best: &(f64, Vec<Open>)| (branches.len(), -score) < (best.1.len(), -best.0);
            if best.as_ref().is_none_or(fewer) {
                let settled = branches.len() < 2;
                best = Some((score, branches));
                if settled {
                    break;
                }
            }
        }
        let (_, mut branches) = best.expect("at least one column was tried");
        branches.sort_by(|a, b| a.bound.total_cmp(&b.bound));
        self.open.append(&mut branches);
        Ok(())
    }

    /// Whether a column has been tried often enough in both directions.
    fn known(&self, column: ColumnId) -> bool {
        self.losses[self.alike[column]]
            .iter()
            .all(|l| l.count >= RELIABLE)
    }

    /// How much branching on a column is expected to lower the bound: product of both sides.
    fn promise(&self, column: ColumnId, value: f64) -> f64 {
        let [down, up] = self.losses[self.alike[column]].map(|l| match l.count {
            0 => 1.0,
            count => l.sum / f64::from(count),
        });
        let part = value - value.floor();
        (down * part).max(WHOLE) * (up * (1.0 - part)).max(WHOLE)
    }
}

pub(super) fn within(programme: &Programme, column: ColumnId, value: f64) -> bool {
    let column = &programme.columns[column];
    (column.lower..=column.upper).contains(&value)
}
