//! What is on the table: floors missed, and each food by month.

use super::lines::{COLUMNS, amount, cut, title, wrap};
use crate::domain::Scenario;
use crate::plan::{FoodSupply, LedgerLine, Rule, Shortfall, YearPlan};
use crate::render::words::{counted, money, month_name, month_of};
use crate::units::Week;

/// Foods with missed floors that are spelled out; the others are counted.
const SPELLED_OUT: usize = 12;
/// Column width of the first column of the table, and of a month.
const NAME_WIDTH: usize = 20;
const MONTH_WIDTH: usize = 4;
/// Columns kept for the year's figures after the months.
const YEAR_WIDTH: usize = 26;

/// The floors missed, food by food, the costliest first; neighbouring weeks taken together.
pub fn shortfalls(plan: &YearPlan) -> String {
    let mut out = title("Missed floors");
    if plan.shortfalls.is_empty() {
        out += "  none: every week's floors are met\n";
        return out;
    }
    let mut foods: Vec<&str> = Vec::new();
    for shortfall in &plan.shortfalls {
        if !foods.contains(&shortfall.food.as_str()) {
            foods.push(&shortfall.food);
        }
    }
    for food in foods.iter().take(SPELLED_OUT) {
        let mut weeks: Vec<&Shortfall> =
            plan.shortfalls.iter().filter(|s| s.food == *food).collect();
        weeks.sort_by_key(|s| s.week);
        let short: f64 = weeks.iter().map(|s| s.short).sum();
        let first = format!("  {:<NAME_WIDTH$} ", cut(food, NAME_WIDTH));
        let text = format!(
            "{} {} short in {}: {}",
            amount(short),
            weeks[0].unit,
            counted(weeks.len(), "week"),
            spans(&weeks).join(", ")
        );
        out += &wrap(&first, &text);
    }
    if foods.len() > SPELLED_OUT {
        let more = foods.len() - SPELLED_OUT;
        out += &format!("  and {more} more, listed in the plan file\n");
    }
    out
}

/// What was asked for always and is not begun; nothing where all of it is.
pub fn always_missed(plan: &YearPlan) -> String {
    let missed = |line: &&LedgerLine| line.rule == Rule::Always && line.amount > 0.0;
    let lines: Vec<&LedgerLine> = plan.ledger.iter().filter(missed).collect();
    if lines.is_empty() {
        return String::new();
    }
    let mut out = title("Asked for always, and not begun");
    for line in lines {
        let text = format!(
            "{}: {} fewer than asked for, {} {}; `why --not` tells what stands in its way",
            line.place,
            counted(line.amount.round() as usize, "strip"),
            money(line.money),
            plan.scenario.currency
        );
        out += &wrap("  ", &text);
    }
    out
}

/// Runs of weeks with the amount short in each: `2027-W14 to 2027-W16 3.1 of 4.8`.
fn spans(weeks: &[&Shortfall]) -> Vec<String> {
    let mut runs: Vec<(Week, Week, f64, f64)> = Vec::new();
    for s in weeks {
        match runs.last_mut() {
            Some((_, last, short, floor)) if last.plus(1) == s.week => {
                *last = s.week;
                *short += s.short;
                *floor += s.floor;
            }
            _ => runs.push((s.week, s.week, s.short, s.floor)),
        }
    }
    runs.into_iter()
        .map(|(from, to, short, floor)| {
            let share = format!("{} of {}", amount(short), amount(floor));
            if from == to {
                format!("{from} ({share})")
            } else {
                format!("{from} to {to} ({share})")
            }
        })
        .collect()
}

/// A food's month: how much was needed, and how much of the need was met.
#[derive(Clone, Copy, Default)]
struct Month {
    need: f64,
    met: f64,
}

/// How much of each food's need is met, month by month of the planned weeks, per cent. The need
/// is the floor, or the wish where there is no floor.
pub fn by_month(scenario: &Scenario, plan: &YearPlan) -> String {
    let months = months(plan);
    let mut out = title("Food by month: floors met, per cent (wishes, where there is no floor)");
    out += &format!("  {:<NAME_WIDTH$}", "");
    for (_, month) in &months {
        out += &format!("{:>MONTH_WIDTH$}", month_name(*month));
    }
    out += "  year  eaten\n";
    for food in &plan.supply {
        let cells = cells(food, plan.scenario.weeks, &months);
        let eaten: f64 = (food.weeks.iter().take(plan.scenario.weeks))
            .map(|w| w.eaten)
            .sum();
        out += &line(&food.food, &cells);
        out += &format!("  {} {}\n", amount(eaten), food.unit);
    }
    out += &value_line(scenario, plan, &months);
    out
}

/// Calendar months of the planned weeks' Mondays, in order.
fn months(plan: &YearPlan) -> Vec<(i32, u32)> {
    let mut months: Vec<(i32, u32)> = Vec::new();
    for i in 0..plan.scenario.weeks {
        let month = month_of(plan.scenario.start.plus(i32::try_from(i).expect("short")));
        if months.last() != Some(&month) {
            months.push(month);
        }
    }
    // A longer plan than the table has room for: what follows is added to the last month.
    months.truncate((COLUMNS - NAME_WIDTH - YEAR_WIDTH) / MONTH_WIDTH);
    months
}

fn cells(food: &FoodSupply, weeks: usize, months: &[(i32, u32)]) -> Vec<Month> {
    let mut cells = vec![Month::default(); months.len()];
    for week in food.weeks.iter().take(weeks) {
        let at =
            (months.iter().position(|m| *m == month_of(week.week))).unwrap_or(months.len() - 1);
        let need = if week.floor > 0.0 {
            week.floor
        } else {
            week.wish
        };
        cells[at].need += need;
        cells[at].met += week.eaten.min(need);
    }
    cells
}

fn line(name: &str, cells: &[Month]) -> String {
    let mut out = format!("  {:<NAME_WIDTH$}", cut(name, NAME_WIDTH - 1));
    let mut whole = Month::default();
    for cell in cells {
        out += &format!("{:>MONTH_WIDTH$}", share(*cell));
        whole.need += cell.need;
        whole.met += cell.met;
    }
    out += &format!("{:>6}", share(whole));
    out
}

/// Per cent met, a dash where nothing is needed.
fn share(month: Month) -> String {
    if month.need <= 0.0 {
        "-".to_string()
    } else {
        // Rounded down: 100 means met in full.
        format!("{:.0}", (100.0 * month.met / month.need + 1e-6).floor())
    }
}

/// The worth of all that is eaten, at price, mean per week of each month.
fn value_line(scenario: &Scenario, plan: &YearPlan, months: &[(i32, u32)]) -> String {
    let mut money = vec![0.0; months.len()];
    let mut weeks = vec![0.0_f64; months.len()];
    for i in 0..plan.scenario.weeks {
        let month = month_of(scenario.week(i));
        let at = (months.iter().position(|m| *m == month)).unwrap_or(months.len() - 1);
        weeks[at] += 1.0;
        for (food, supply) in scenario.foods.iter().zip(&plan.supply) {
            money[at] += food.price_money * supply.weeks[i].eaten;
        }
    }
    let mut out = format!("  {:<NAME_WIDTH$}", format!("{} a week", scenario.currency));
    for (money, weeks) in money.iter().zip(&weeks) {
        out += &format!("{:>MONTH_WIDTH$.0}", money / weeks.max(1.0));
    }
    out += &format!(
        "{:>5.0}\n",
        money.iter().sum::<f64>() / weeks.iter().sum::<f64>()
    );
    out
}
