//! `verify`: good plans hold, and every kind of damage is caught.
//!
//! Where the answers come from: the damaged plans are made here, so what is wrong is known.

#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/plans.rs"]
mod plans;

use bedweek::verify::verify;
use plans::{Made, made};

/// Nothing is wrong, or the test fails with all that is.
fn holds(made: &Made) {
    let violations = verify(&made.scenario, &made.plan);
    let text: Vec<String> = violations.iter().map(ToString::to_string).collect();
    assert!(
        violations.is_empty(),
        "{} violations:\n{}",
        text.len(),
        text.join("\n")
    );
}

#[test]
fn the_plan_that_grows_nothing_holds() {
    for file in ["small-plot", "plot-250", "bare-ground-spring"] {
        holds(&made(file, greedy::empty));
    }
}

#[test]
fn greedy_plans_hold() {
    for file in ["small-plot", "plot-250", "bare-ground-spring"] {
        let made = made(file, greedy::greedy);
        assert!(made.plan.plantings.len() > 10, "{file} grows something");
        holds(&made);
    }
}
