//! Damage to a plan or its scenario, and what `verify` says to it.
#![allow(dead_code)]

use crate::greedy;
use crate::plans::{Made, made};
use bedweek::domain::Scenario;
use bedweek::plan::{Planting, YearPlan};
use bedweek::verify::{Check, verify};
use std::sync::OnceLock;

/// The greedy plan of the full holding: everything occurs in it.
pub fn full() -> &'static Made {
    static MADE: OnceLock<Made> = OnceLock::new();
    MADE.get_or_init(|| made("four-households", greedy::greedy))
}

/// After the damage, `verify` finds a violation of that check whose sentence holds the words.
pub fn caught(check: Check, words: &str, damage: impl FnOnce(&mut Scenario, &mut YearPlan)) {
    let (mut scenario, mut plan) = (full().scenario.clone(), full().plan.clone());
    damage(&mut scenario, &mut plan);
    assert!(
        scenario != full().scenario || plan != full().plan,
        "nothing was damaged"
    );
    let violations = verify(&scenario, &plan);
    let text: Vec<String> = violations.iter().map(ToString::to_string).collect();
    assert!(
        violations
            .iter()
            .any(|v| v.check == check && v.sentence.contains(words)),
        "no violation of {check:?} with {words:?} among {}:\n{}",
        text.len(),
        text.join("\n")
    );
}

pub fn first(plan: &mut YearPlan, which: impl Fn(&Planting) -> bool) -> &mut Planting {
    let found = plan.plantings.iter_mut().find(|p| which(p));
    found.expect("the full holding has such a planting")
}

/// Grown anew, alone, and harvested.
pub fn sole(p: &Planting) -> bool {
    p.standing.is_none() && p.partner.is_none() && !p.lots.is_empty()
}
