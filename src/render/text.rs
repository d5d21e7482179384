//! The report for a terminal: 100 columns, no colour. The most pressing comes first.
//!
//! Each section has its own file; the order is here. It is for people and may change; programs
//! read `plan.yaml`.

mod chart;
mod clash;
mod compare;
mod food;
mod glance;
mod jobs;
pub(super) mod lines;
mod more;
mod replan;
mod start;
mod turns;
mod why;
mod worth;

pub use clash::clash;
pub use compare::{comparison, what as compared};
pub use more::{figures as more_figures, worth_of_more};
pub use replan::{filled, filled_under, history, lesson, measured, replanned};
pub use why::{why_not, why_short};
pub use worth::ending;

use super::select::Selection;
use crate::domain::Scenario;
use crate::plan::YearPlan;

/// The whole report.
pub fn report(scenario: &Scenario, plan: &YearPlan) -> String {
    report_part(scenario, plan, &Selection::default())
}

/// The report of one bed, or with the jobs of other weeks.
pub fn report_part(scenario: &Scenario, plan: &YearPlan, selection: &Selection) -> String {
    let mut out = String::new();
    out += &worth::heading(plan);
    if selection.bed.is_some() {
        out += &chart::year(scenario, plan, selection);
        out += &jobs::next_weeks(scenario, plan, selection);
        return out;
    }
    out += &food::shortfalls(plan);
    out += &food::always_missed(plan);
    out += &turns::section(plan);
    out += &start::changes(plan);
    out += &glance::glance(scenario, plan);
    out += &chart::year(scenario, plan, selection);
    out += &jobs::next_weeks(scenario, plan, selection);
    out += &food::by_month(scenario, plan);
    out += &start::in_store(plan);
    out += &worth::ledger(plan);
    out += &jobs::cautions(scenario, plan);
    out
}
