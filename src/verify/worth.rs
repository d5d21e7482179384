//! Bound, gap and status: what the plan says of its own quality.

use super::sums::{differ, exceeds, say};
use super::{Check, Facts, Findings};
use crate::plan::Ending;

/// Relative gap up to which a plan may call itself optimal.
const PROVEN: f64 = 1e-6;
/// Rounding of the plan's amounts may widen a gap by so much.
const ROUNDING: f64 = 1e-6;
/// A bound smaller than this does not divide.
const SMALLEST_BOUND: f64 = 1e-9;

pub fn check(facts: &Facts, found: &mut Findings) {
    let plan = facts.plan;
    let result = &plan.result;
    let mut wrong = |sentence: String| found.add(Check::Result, sentence);
    let sum: f64 = plan.ledger.iter().map(|l| l.money).sum();
    if differ(sum, result.worth) {
        wrong(format!(
            "the ledger adds up to {}, the worth is {}",
            say(sum),
            say(result.worth)
        ));
    }
    if exceeds(result.worth, result.bound) {
        wrong(format!(
            "the plan is worth {}, more than the bound of {}",
            say(result.worth),
            say(result.bound)
        ));
    }
    let difference = (result.bound - result.worth).max(0.0);
    if differ(result.gap_money, difference) {
        wrong(format!(
            "bound and worth are {} apart, the plan says {}",
            say(difference),
            say(result.gap_money)
        ));
    }
    let gap = if difference.is_infinite() {
        difference
    } else if difference > 0.0 {
        difference / result.bound.abs().max(SMALLEST_BOUND)
    } else {
        0.0
    };
    if differ(result.gap, gap) {
        wrong(format!("the gap is {gap}, the plan says {}", result.gap));
    }
    let allowed = match result.status {
        Ending::Optimal => Some(PROVEN),
        Ending::WithinGap => Some(plan.options.gap),
        Ending::WorkLimit | Ending::TimeLimit | Ending::Interrupted => None,
    };
    if allowed.is_some_and(|allowed| gap > allowed + ROUNDING) {
        wrong(format!(
            "with a gap of {gap} the plan does not end as it says"
        ));
    }
}
