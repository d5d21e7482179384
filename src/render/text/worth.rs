//! How good the plan is, and where its worth comes from.

use super::lines::{title, wrap};
use crate::plan::{Ending, LedgerLine, YearPlan};

/// Lines of the ledger shown under each rule; the rest is in the plan file.
const SHOWN: usize = 4;

/// What was planned, and how it ended.
pub fn heading(plan: &YearPlan) -> String {
    let about = &plan.scenario;
    let last = about
        .start
        .plus(i32::try_from(about.weeks).expect("short") - 1);
    let year = match plan.standing_year {
        Some(_) => "the standing year, ",
        None => "",
    };
    let mut what = format!(
        "{}: {year}{} weeks, {} to {}",
        about.name, about.weeks, about.start, last
    );
    if about.tail > 0 {
        what += &format!(
            "; the needs of the {} weeks after them count too",
            about.tail
        );
    }
    let mut out = wrap("", &format!("{what}."));
    out += &wrap("", &ending(plan));
    out
}

/// The closing sentence: how the search ended, worth, bound and gap.
pub fn ending(plan: &YearPlan) -> String {
    let result = &plan.result;
    let currency = &plan.scenario.currency;
    let how = match result.status {
        Ending::Optimal => "This plan is proven best".to_string(),
        Ending::WithinGap => format!(
            "This plan is within the gap asked for ({} %)",
            percent(plan.options.gap)
        ),
        Ending::WorkLimit if plan.options.work_limit.is_some() => {
            "The search ended at its work limit".to_string()
        }
        Ending::WorkLimit => format!(
            "The search ran its course short of the gap asked for ({} %)",
            percent(plan.options.gap)
        ),
        Ending::TimeLimit => "The search ended at its time limit".to_string(),
        Ending::Interrupted => "The search was stopped by the user".to_string(),
    };
    if !result.bound.is_finite() {
        return format!(
            "{how}: worth {:.2} {currency}; nothing is proven about better ones yet.",
            result.worth
        );
    }
    format!(
        "{how}: worth {:.2} {currency}, no plan is worth more than {:.2} {currency} \
         (gap {} %, {:.2} {currency}).",
        result.worth,
        result.bound,
        percent(result.gap),
        result.gap_money
    )
}

/// A fraction in per cent.
fn percent(fraction: f64) -> String {
    format!("{:.2}", fraction * 100.0)
}

/// The ledger, rule by rule, with the largest lines of each.
pub fn ledger(plan: &YearPlan) -> String {
    let mut out = title(&format!("What it is worth, {}", plan.scenario.currency));
    let mut rest: &[LedgerLine] = &plan.ledger;
    while let Some(first) = rest.first() {
        let count = rest.iter().take_while(|l| l.rule == first.rule).count();
        let (lines, after) = rest.split_at(count);
        rest = after;
        let sum: f64 = lines.iter().map(|l| l.money).sum();
        out += &format!("  {:<20}{sum:>12.2}\n", first.rule.name());
        let mut sorted: Vec<&LedgerLine> = lines.iter().collect();
        sorted.sort_by(|a, b| b.money.abs().total_cmp(&a.money.abs()));
        let mut parts: Vec<String> = sorted
            .iter()
            .take(SHOWN)
            .map(|l| format!("{} {:.2}", l.place, l.money))
            .collect();
        if count > SHOWN {
            parts.push(format!("and {} more", count - SHOWN));
        }
        out += &wrap("      ", &parts.join("; "));
    }
    out += &format!("  {:<20}{:>12.2}\n", "together", plan.result.worth);
    out
}
