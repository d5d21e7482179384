//! What is branched on: columns of which little is known are tried, what was lost by others tells the rest.

use super::simplex::End;
use super::tree::{Bounds, Node, Search, WHOLE};
use crate::programme::ColumnId;

/// Columns tried at a node before one is branched on (estimate).
const TRIED: usize = 8;
/// Trials of a column and direction after which its mean is believed (estimate).
const RELIABLE: u32 = 2;
/// Pivots of a trial (estimate).
const TRIAL_PIVOTS: u64 = 100;

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

/// What a trial says: the column, how far it was moved, whether up, the worth lost.
pub(super) type Learned = (ColumnId, f64, bool, f64);

/// Losses of worth per unit a column was moved.
#[derive(Clone, Copy, Default)]
pub(super) struct Losses {
    sum: f64,
    count: u32,
}

impl Losses {
    fn add(&mut self, lost: f64) {
        self.sum += lost;
        self.count += 1;
    }
}

/// How far a value is moved at least by branching on it.
pub(super) fn moved(value: f64, up: bool) -> f64 {
    match up {
        true => value.ceil() - value,
        false => value - value.floor(),
    }
}

/// What is to be done at a node.
pub(super) enum Choice {
    /// Branch on a column, whose sides have these bounds.
    Branch(ColumnId, [f64; 2]),
    /// One side of a column holds nothing better: these are the bounds of the other.
    Narrowed(Vec<Bounds>),
    /// Nothing better is below it.
    Nothing,
}

impl Search<'_> {
    /// Bounds below and above a value: below it those of all columns that stand for this one.
    pub fn sides(&self, column: ColumnId, value: f64) -> [Vec<Bounds>; 2] {
        let (lower, upper) = self.simplex.bounds(column);
        let down = self.orbits.orbit(&self.simplex, column);
        let down = down.into_iter().map(|c| (c, lower, value.floor()));
        [down.collect(), vec![(column, value.ceil(), upper)]]
    }

    /// The column to branch on: those of which little is known are tried.
    pub fn choose(&mut self, node: &Node, fractional: Vec<(bool, ColumnId, f64)>) -> Choice {
        let mut ranked: Vec<(f64, ColumnId, f64)> = fractional
            .into_iter()
            .map(|(_, column, value)| (self.promise(column, value), column, value))
            .collect();
        ranked.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let state = self.simplex.state();
        let mut best: Option<(f64, ColumnId, [f64; 2])> = None;
        for (promise, column, value) in ranked.into_iter().take(TRIED) {
            if best.is_some() && self.must_stop() {
                break;
            }
            if self.known(column) {
                if best.is_none_or(|(score, _, _)| promise > score) {
                    best = Some((promise, column, [node.bound; 2]));
                }
                continue;
            }
            let mut bounds = [node.bound; 2];
            let sides = self.sides(column, value);
            let (lower, upper) = self.simplex.bounds(column);
            for up in [false, true] {
                for &(column, lower, upper) in &sides[usize::from(up)] {
                    self.simplex.set_bounds(column, lower, upper);
                }
                self.simplex.settle();
                let end = self.solve(TRIAL_PIVOTS);
                let bound = match end {
                    End::Infeasible | End::Beaten => f64::NEG_INFINITY,
                    _ => self.simplex.bound().0.min(node.bound),
                };
                for &(column, _, _) in &sides[usize::from(up)] {
                    self.simplex.set_bounds(column, lower, upper);
                }
                self.simplex.back_to(&state);
                bounds[usize::from(up)] = bound;
                if bound > self.cutoff {
                    self.learn((column, moved(value, up), up, node.bound - bound));
                }
            }
            let [down, up] = sides;
            match bounds.map(|bound| bound <= self.cutoff) {
                [true, true] => return Choice::Nothing,
                [true, false] => return Choice::Narrowed(up),
                [false, true] => return Choice::Narrowed(down),
                [false, false] => {}
            }
            let [down, up] = bounds.map(|bound| (node.bound - bound).max(WHOLE));
            if best.is_none_or(|(score, _, _)| down * up > score) {
                best = Some((down * up, column, bounds));
            }
        }
        let (_, column, bounds) = best.expect("at least one column was tried");
        Choice::Branch(column, bounds)
    }

    /// Notes what moving a column cost, to be told on.
    pub fn learn(&mut self, learned: Learned) {
        self.note(learned);
        self.news.learned.push(learned);
    }

    /// Notes what moving a column cost.
    pub fn note(&mut self, (column, moved, up, lost): Learned) {
        let kind = self.alike[column];
        if kind != usize::MAX && moved > WHOLE {
            let lost = lost.max(0.0) / moved;
            self.losses[kind][usize::from(up)].add(lost);
            self.own_losses[column][usize::from(up)].add(lost);
        }
    }

    /// Whether a column has been tried often enough in both directions.
    fn known(&self, column: ColumnId) -> bool {
        self.own_losses[column].iter().all(|l| l.count >= RELIABLE)
    }

    /// How much branching on a column is expected to lower the bound: product of both sides.
    fn promise(&self, column: ColumnId, value: f64) -> f64 {
        let [down, up] = [0, 1].map(|side| {
            // What those alike lose counts as one trial.
            let alike = self.losses[self.alike[column]][side];
            let mean = if alike.count == 0 {
                1.0
            } else {
                alike.sum / f64::from(alike.count)
            };
            let own = self.own_losses[column][side];
            (own.sum + mean) / (f64::from(own.count) + 1.0)
        });
        let part = value - value.floor();
        (down * part).max(WHOLE) * (up * (1.0 - part)).max(WHOLE)
    }
}
