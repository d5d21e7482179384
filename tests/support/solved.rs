//! Small seasons solved to the end, every plan checked.
#![allow(dead_code)]

use super::holding::{self, of_year};
use super::still::Still;
use bedweek::domain::*;
use bedweek::explain::*;
use bedweek::solve::{Options, Watch};
use bedweek::verify;

/// Weeks of the tests' horizon.
pub const WEEKS: usize = 40;

pub struct Quiet;

impl Watches for Quiet {
    fn of(&self, _: &str) -> Box<dyn Watch + '_> {
        Box::new(Still)
    }
}

pub fn options(gap: f64) -> Options {
    Options {
        gap,
        seconds: None,
        work: Some(4_000),
    }
}

/// One bed of three strips in the open, nothing needed; crops are sown in four weeks of March.
pub fn small(mut crops: Vec<Crop>) -> Scenario {
    for crop in &mut crops {
        crop.settings = vec![Setting::Open];
        for raising in &mut crop.raisings {
            (raising.sow_from, raising.sow_to) = (of_year(9), of_year(12));
        }
    }
    let mut scenario = holding::holding(crops);
    (scenario.weeks, scenario.tail) = (WEEKS, 0);
    scenario.beds.truncate(1);
    scenario.beds[0].strips = 3;
    scenario.beds[0].length_m = 1.5;
    for food in &mut scenario.foods {
        food.floor = vec![0.0; WEEKS];
        food.wish = vec![0.5; WEEKS];
    }
    scenario
}

pub fn case(label: &str, scenario: &Scenario) -> Case {
    Case {
        label: label.into(),
        file: String::new(),
        fingerprint: String::new(),
        scenario: scenario.clone(),
    }
}

pub fn solve(scenario: &Scenario) -> Solved {
    let solved = solved(&case("", scenario), &options(0.0), &Quiet);
    holds(scenario, &solved);
    solved
}

pub fn holds(scenario: &Scenario, solved: &Solved) {
    let violations = verify::verify(scenario, &solved.plan);
    assert!(violations.is_empty(), "{violations:?}");
}

pub fn all_hold(found: &[(Case, Solved)]) {
    for (case, solved) in found {
        holds(&case.scenario, solved);
    }
}
