//! Scenarios solved side by side. The results are those of solving one after the other, unless a
//! clock limit ends a search.

use super::{known, musts};
use crate::candidates::{self, Decided, Season};
use crate::domain::Scenario;
use crate::plan::{self, About, YearPlan};
use crate::solve::{self, Answer, Given, Options, Watch};
use crate::strips::Prices;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Searches that run at once.
const AT_ONCE: usize = 2;

/// Gives every search a window on the world of its own, called by a label.
pub trait Watches: Sync {
    fn of(&self, label: &str) -> Box<dyn Watch + '_>;
}

/// A scenario to be solved, and what it is called.
#[derive(Clone, Debug)]
pub struct Case {
    pub label: String,
    /// The scenario's file as the user named it.
    pub file: String,
    /// As written in plans.
    pub fingerprint: String,
    pub scenario: Scenario,
}

/// A case with its plan.
#[derive(Clone, Debug)]
pub struct Solved {
    pub season: Season,
    pub answer: Answer,
    /// The best prices found.
    pub prices: Option<Prices>,
    pub plan: YearPlan,
}

/// Solves one case.
pub fn solved(case: &Case, options: &Options, watches: &dyn Watches) -> Solved {
    solved_from(case, options, watches, |_| None)
}

/// Solves one case, beginning from what `known` makes of its season.
pub fn solved_from(
    case: &Case,
    options: &Options,
    watches: &dyn Watches,
    known: impl FnOnce(&Season) -> Option<Decided>,
) -> Solved {
    let season = candidates::season(&case.scenario);
    let watch = watches.of(&case.label);
    let known = known(&season);
    let (answer, prices) = musts::solve(&case.scenario, &season, options, &*watch, known);
    planned(case, options, season, answer, prices)
}

/// Solves one case, beginning from a plan of it.
pub fn solved_with(
    case: &Case,
    plan: &YearPlan,
    options: &Options,
    watches: &dyn Watches,
) -> Solved {
    solved_from(case, options, watches, |season| {
        known::of_plan(&case.scenario, plan, season)
    })
}

/// Solves a case further from its own plan; keeps the better plan and the lower bound.
pub fn solved_on(case: &Case, side: &mut Solved, options: &Options, watches: &dyn Watches) {
    let before = &*side;
    let new = solved_from(case, options, watches, |season| {
        known::of_answer(&before.season, &before.answer, season)
    });
    take(side, new);
}

/// Takes strip-years and covers that are given, if they are worth more than the plan found.
pub fn take_given(
    case: &Case,
    side: &mut Solved,
    given: &Decided,
    options: &Options,
    watches: &dyn Watches,
) {
    let strips = Given {
        strips: &given.strips,
        covers: &given.covers,
    };
    let Some(answer) = solve::evaluate(&side.season, strips, &*watches.of(&case.label)) else {
        return;
    };
    if answer.worth > side.answer.worth {
        let answer = Answer {
            status: side.answer.status,
            work: side.answer.work,
            seconds: side.answer.seconds,
            bound: side.answer.bound.max(answer.worth),
            ..answer
        };
        let prices = side.prices.take();
        *side = planned(case, options, side.season.clone(), answer, prices);
    }
}

/// Keeps the better plan and the lower bound of two searches of the same season.
fn take(side: &mut Solved, new: Solved) {
    /// A bound smaller than this does not divide.
    const SMALLEST: f64 = 1e-9;
    let bound = side.plan.result.bound.min(new.plan.result.bound);
    let status = new.answer.status;
    // Prices belong to the bound that they prove.
    let prices = match new.plan.result.bound <= side.plan.result.bound {
        true => new.prices.clone().or_else(|| side.prices.clone()),
        false => side.prices.clone().or_else(|| new.prices.clone()),
    };
    if new.plan.result.worth >= side.plan.result.worth {
        *side = new;
    }
    side.prices = prices;
    side.answer.status = status;
    let result = &mut side.plan.result;
    result.bound = bound.max(result.worth);
    result.gap_money = result.bound - result.worth;
    result.gap = result.gap_money / result.bound.abs().max(SMALLEST);
    side.answer.bound = result.bound;
}

/// An answer with its year plan.
pub fn planned(
    case: &Case,
    options: &Options,
    season: Season,
    answer: Answer,
    prices: Option<Prices>,
) -> Solved {
    let about = About {
        file: case.file.clone(),
        fingerprint: case.fingerprint.clone(),
        options: *options,
        timeless: true,
    };
    let plan = plan::build(&case.scenario, &season, &answer, &about);
    Solved {
        season,
        answer,
        prices,
        plan,
    }
}

/// Does the job for every item, two at once, in order; the results in the order of the items.
pub fn side_by_side<C: Sync, T: Send>(items: &[C], job: impl Fn(&C) -> T + Sync) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let done: Mutex<Vec<(usize, T)>> = Mutex::new(Vec::new());
    let work = || {
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = items.get(index) else { return };
            let result = job(item);
            done.lock().expect("no job panics").push((index, result));
        }
    };
    std::thread::scope(|scope| {
        let threads = AT_ONCE.min(items.len());
        for _ in 1..threads {
            scope.spawn(work);
        }
        work();
    });
    let mut done = done.into_inner().expect("no job panics");
    done.sort_by_key(|(index, _)| *index);
    done.into_iter().map(|(_, result)| result).collect()
}
