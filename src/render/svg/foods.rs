//! Each food in a line of its own: fresh, from store, floor, wish, and the weeks that are short.

use super::axis::{Axis, HEAD};
use super::{Chart, line, pointer, rect, text};
use crate::plan::{FoodSupply, YearPlan};
use crate::render::words::amount;
use svg::node::element::Group;

/// Units for the food's name on the left, and for its year on the right.
pub const LEFT: f64 = 132.0;
const RIGHT: f64 = 74.0;
/// Height of a food's bars, and of the marks below them.
const PLOT: f64 = 26.0;
const MARKS: f64 = 9.0;
/// Share of the floor that may be missing without a mark: rounding in the plan.
const ROUNDING: f64 = 1e-3;

/// Foods in a chart that fits a printed sheet across.
const ON_A_SHEET: usize = 14;

/// All foods, in charts that each fit a printed sheet.
pub fn food_sheets(plan: &YearPlan) -> Vec<Chart> {
    let count = plan.supply.len().div_ceil(ON_A_SHEET).max(1);
    let size = plan.supply.len().div_ceil(count).max(1);
    plan.supply
        .chunks(size)
        .map(|some| chart(plan, some))
        .collect()
}

/// The chart. Each food's group says by `data-base` and `data-unit` where zero lies and how high
/// one unit of the food is.
pub fn foods(plan: &YearPlan) -> Chart {
    chart(plan, &plan.supply)
}

fn chart(plan: &YearPlan, foods: &[FoodSupply]) -> Chart {
    let axis = Axis::of(plan, LEFT, RIGHT);
    let mut body = Group::new().add(text("r", 998.0, 24.0, "in the year"));
    let mut y = HEAD + 2.0;
    for food in foods {
        body = body.add(one(&axis, food, y));
        y += PLOT + MARKS;
        body = body.add(line("rule", (0.0, y), (super::WIDTH, y)));
        y += 2.0;
    }
    Chart {
        name: "Each food, week by week".to_string(),
        height: y,
        body: Group::new().add(axis.draw(y)).add(body),
    }
}

/// The lane of a food before its bars: name, unit and greatest amount on the left, and the line of zero at
/// `base`; one unit of the food is `unit` high.
pub fn food_lane(
    axis: &Axis,
    (food, unit_name): (&str, &str),
    most: f64,
    base: f64,
    unit: f64,
) -> Group {
    let height = format!("up to {} {unit_name}", amount(most));
    Group::new()
        .set("data-food", food)
        .set("data-base", super::round(base))
        .set("data-unit", unit)
        .add(text("f", 2.0, base - 8.0, food))
        .add(text("u", 2.0, base + 4.0, &height))
        .add(line("zero", (LEFT, base), (axis.at(axis.weeks), base)))
}

fn one(axis: &Axis, food: &FoodSupply, y: f64) -> Group {
    let most = (food.weeks.iter())
        .map(|w| w.eaten.max(w.wish).max(w.floor))
        .fold(f64::MIN_POSITIVE, f64::max);
    let unit = PLOT / most;
    let base = y + PLOT;
    let height = |units: f64| units * unit;
    let mut group = food_lane(axis, (&food.food, &food.unit), most, base, unit);
    let weeks = &food.weeks;
    for (from, until, wish) in runs(weeks.iter().map(|w| w.wish)) {
        let (x, end) = (axis.at(from), axis.at(until));
        group = group.add(rect("wish", x, base - height(wish), end - x, height(wish)));
    }
    for (i, week) in weeks.iter().enumerate() {
        let (x, width) = (axis.at(i) + 1.0, axis.week() - 2.0);
        let (fresh, stored) = (height(week.fresh), height(week.stored));
        if fresh > 0.0 {
            group = group.add(rect("fresh", x, base - fresh, width, fresh));
        }
        if stored > 0.0 {
            group = group.add(rect("stored", x, base - fresh - stored, width, stored));
        }
        if week.short > ROUNDING * week.floor {
            let mark = pointer("point", x + width / 2.0, base + 1.5);
            group = group.add(mark);
        }
    }
    for (from, until, floor) in runs(weeks.iter().map(|w| w.floor)) {
        let y = base - height(floor);
        group = group.add(line("low", (axis.at(from), y), (axis.at(until), y)));
    }
    let year: f64 = (food.weeks.iter().take(axis.planned))
        .map(|w| w.eaten)
        .sum();
    let total = format!("{} {}", amount(year), food.unit);
    group.add(text("r", 998.0, base - 2.0, &total))
}

/// Runs of weeks with one and the same amount above nothing: first week, week after the last.
fn runs(amounts: impl Iterator<Item = f64>) -> Vec<(usize, usize, f64)> {
    let mut runs: Vec<(usize, usize, f64)> = Vec::new();
    for (i, amount) in amounts.enumerate() {
        match runs.last_mut() {
            Some((_, until, same)) if *until == i && *same == amount => *until = i + 1,
            _ if amount > 0.0 => runs.push((i, i + 1, amount)),
            _ => {}
        }
    }
    runs
}
