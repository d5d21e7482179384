//! Scenarios solved side by side. The results are those of solving one after the other, unless a
//! clock limit ends a search.

use crate::candidates::{self, Season};
use crate::domain::Scenario;
use crate::plan::{self, About, YearPlan};
use crate::solve::{Answer, Options, Watch, solve_priced};
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
    let season = candidates::season(&case.scenario);
    let watch = watches.of(&case.label);
    let (answer, prices) = solve_priced(&season, options, &*watch);
    planned(case, options, season, answer, prices)
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
