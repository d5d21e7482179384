//! The best plan of the small plot, as the exact search finds it, through plan, ledger and check.
//!
//! Where the answers come from: the search reckons a plan's worth by its programme, the ledger by
//! the plan's own entries, `verify` from the scenario; all three must agree.

#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/plans.rs"]
mod plans;
#[path = "support/still.rs"]
mod still;

use bedweek::solve::exact::{ExactLimits, exact};
use bedweek::solve::{Answer, Status};
use bedweek::verify::verify;
use plans::made;
use still::Still;

#[test]
fn the_best_plan_of_the_small_plot_holds_and_adds_up() {
    let first = made("small-plot", greedy::greedy);
    let all = vec![false; first.season.candidates.len()];
    let greedy_worth = first.plan.result.worth;
    let found = exact(
        &first.season,
        &all,
        greedy_worth,
        None,
        ExactLimits::default(),
        &Still,
    )
    .expect("small enough");
    assert!(found.finished);
    let better = found.better.expect("greed is not best");
    let best = made("small-plot", |_| Answer {
        status: Status::WorkLimit,
        strips: better.strips.clone(),
        covers: better.covers.clone(),
        draws: better.draws.clone(),
        worth: better.worth,
        bound: found.bound,
        work: found.relaxations,
        seconds: 0.0,
    });
    let ledger = best.plan.result.worth;
    assert!(
        (ledger - better.worth).abs() < 1e-6 * better.worth.abs(),
        "{ledger} {}",
        better.worth
    );
    assert!(ledger > greedy_worth && ledger <= found.bound);
    assert_eq!(verify(&best.scenario, &best.plan), []);
}
