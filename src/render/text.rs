//! The report for a terminal: 100 columns, no colour. The most pressing comes first.
//!
//! Each section has its own file; the order is here. It is for people and may change; programs
//! read `plan.yaml`.

mod chart;
mod compare;
mod food;
mod jobs;
pub(super) mod lines;
mod more;
mod start;
mod why;
mod worth;

pub use compare::comparison;
pub use more::worth_of_more;
pub use why::{why_not, why_short};
pub use worth::ending;

use crate::domain::Scenario;
use crate::plan::YearPlan;

/// The whole report.
pub fn report(scenario: &Scenario, plan: &YearPlan) -> String {
    let mut out = String::new();
    out += &worth::heading(plan);
    out += &food::shortfalls(plan);
    out += &start::changes(plan);
    out += &chart::year(scenario, plan);
    out += &jobs::next_weeks(scenario, plan);
    out += &food::by_month(scenario, plan);
    out += &start::in_store(plan);
    out += &worth::ledger(plan);
    out += &jobs::cautions(scenario, plan);
    out
}
