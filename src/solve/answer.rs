//! What the search is asked and what it returns.

use crate::candidates::{CandidateId, CoverState, ProductId};
use crate::programme::{Drawn, LotClass};

/// When to stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// Relative gap to reach: (bound - worth) / |bound|.
    pub gap: f64,
    /// Clock limit, seconds; hitting it makes the answer depend on the machine.
    pub seconds: Option<f64>,
    /// Limit in units of work (deterministic).
    pub work: Option<u64>,
}

/// The search's window on the world: it has no clock and no terminal of its own.
pub trait Watch: Sync {
    /// Seconds since the program started.
    fn seconds(&self) -> f64;
    /// Whether the user asked to stop.
    fn interrupted(&self) -> bool;
    /// Told when something changed.
    fn progress(&self, progress: Progress);
    /// Told of a better plan that a round still under way has met; the search keeps it when the round ends.
    fn meanwhile(&self, _progress: Progress) {}
}

/// Where the search stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// What is being done, for example "prices", "bound", "draft", "improve", "prove".
    pub phase: &'static str,
    /// Worth of the best plan so far.
    pub worth: Option<f64>,
    /// Best proven upper bound on the worth of any plan.
    pub bound: Option<f64>,
}

/// How the search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// The gap is at most 1e-6: no plan is better.
    Optimal,
    /// The gap asked for was reached.
    WithinGap,
    /// The search ran its course (or its work limit) with a larger gap.
    WorkLimit,
    /// The clock limit was reached.
    TimeLimit,
    /// The user stopped it.
    Interrupted,
}

/// Units of a product taken from a class of lots and eaten in a week.
///
/// A class holds all lots of the plan with the same product, `from`, `fresh_until`, `until`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Draw {
    pub product: ProductId,
    pub from: usize,
    pub fresh_until: usize,
    pub until: usize,
    /// Week in which it is eaten.
    pub week: usize,
    /// Units eaten (what is used of the lot may be more, see `Lot::used_per_unit`).
    pub units: f64,
}

impl Draw {
    /// The same as the programme counts it.
    pub fn drawn(&self) -> Drawn {
        Drawn {
            class: LotClass {
                product: self.product,
                from: self.from,
                fresh_until: self.fresh_until,
                until: self.until,
            },
            week: self.week,
            units: self.units,
        }
    }
}

/// A placed plan and the proof of how good it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    pub status: Status,
    /// For each bed and strip: candidates in order of time.
    pub strips: Vec<Vec<Vec<CandidateId>>>,
    /// For each bed and week: what lies on it.
    pub covers: Vec<Vec<CoverState>>,
    pub draws: Vec<Draw>,
    /// Worth of this plan, money.
    pub worth: f64,
    /// No plan is worth more, money.
    pub bound: f64,
    /// Units of work done.
    pub work: u64,
    /// Seconds taken.
    pub seconds: f64,
}

impl Answer {
    /// (bound - worth) / |bound|; 0 when both agree.
    pub fn gap(&self) -> f64 {
        let difference = (self.bound - self.worth).max(0.0);
        if difference == 0.0 {
            0.0
        } else {
            difference / self.bound.abs().max(1e-9)
        }
    }
}
