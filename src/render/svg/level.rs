//! All food together in money per week: fresh, from store, the band, the hungry gap and gluts.

use super::axis::{Axis, HEAD};
use super::{Chart, WIDTH, line, rect, text, title};
use crate::plan::YearPlan;
use crate::render::level::{LevelWeek, spans};
use crate::render::words::money;
use svg::node::element::Group;

/// Units for figures on the left.
const LEFT: f64 = 62.0;
/// Height of the plot, and of each of the two lines of marks below it.
const PLOT: f64 = 210.0;
const MARKS: f64 = 18.0;
/// Lines across the plot, about.
const STEPS: f64 = 4.0;
/// Share of a week's width that a bar leaves free on either side.
const AIR: f64 = 0.12;

/// The chart. `data-base` and `data-unit` say where zero lies and how high one unit of money is.
pub fn level(plan: &YearPlan, weeks: &[LevelWeek]) -> Chart {
    let axis = Axis::of(plan, LEFT, 2.0);
    let top = weeks
        .iter()
        .map(|w| (w.eaten() + w.left.min(w.eaten())).max(w.band.map_or(0.0, |(_, high)| high)))
        .fold(1.0, f64::max);
    let unit = PLOT / (top * 1.04);
    let base = HEAD + PLOT;
    let y = |money: f64| base - money * unit;
    let mut body = Group::new()
        .set("data-base", super::round(base))
        .set("data-unit", unit);

    for (i, week) in weeks.iter().enumerate() {
        if let Some((low, high)) = week.band {
            let height = y(low) - y(high);
            body = body.add(rect("band", axis.at(i), y(high), axis.week(), height));
        }
    }
    let step = step(top / STEPS);
    let mut value = 0.0;
    while value <= top {
        body = body.add(line("grid", (LEFT, y(value)), (WIDTH, y(value))));
        body = body.add(text("l", LEFT - 5.0, y(value) + 4.0, &format!("{value}")));
        value += step;
    }
    for (i, week) in weeks.iter().enumerate() {
        let (x, width) = (
            axis.at(i) + AIR * axis.week(),
            axis.week() * (1.0 - 2.0 * AIR),
        );
        let bar = |class: &str, from: f64, money: f64| {
            rect(class, x, y(from + money), width, money * unit)
        };
        // More than as much again is cut: the figure is in the title.
        let left = week.left.min(week.eaten());
        body = body.add(
            Group::new()
                .add(title(&sentence(plan, week)))
                .add(bar("fresh", 0.0, week.fresh))
                .add(bar("stored", week.fresh, week.stored))
                .add(bar("left", week.eaten(), left)),
        );
    }
    for (i, week) in weeks.iter().enumerate() {
        if let Some((low, _)) = week.band {
            let (from, to) = (axis.at(i), axis.at(i + 1));
            body = body.add(line("low", (from, y(low)), (to, y(low))));
        }
    }
    body = body.add(line("zero", (LEFT, base), (WIDTH, base)));
    let mut below = base + 4.0;
    for (name, class, spans) in [
        (
            "hungry",
            "hungry",
            spans(&weeks[..axis.planned], LevelWeek::hungry),
        ),
        (
            "glut",
            "glut",
            spans(&weeks[..axis.planned], LevelWeek::glut),
        ),
    ] {
        body = body.add(text("l", LEFT - 5.0, below + 10.0, name));
        for (first, last) in spans {
            let (from, to) = (axis.x(first), axis.x(last.plus(1)));
            let mark = rect(class, from, below + 1.0, to - from, MARKS - 8.0);
            body = body.add(mark);
        }
        below += MARKS;
    }
    Chart {
        name: format!("All food in {} per week", plan.scenario.currency),
        height: below,
        body: Group::new().add(axis.draw(below)).add(body),
    }
}

fn sentence(plan: &YearPlan, week: &LevelWeek) -> String {
    let currency = &plan.scenario.currency;
    let mut words = format!(
        "{}: {} {currency} eaten, {} of it from store",
        week.week,
        money(week.eaten()),
        money(week.stored)
    );
    if let Some((low, high)) = week.band {
        words += &format!("; band {} to {}", money(low), money(high));
    }
    words + &format!("; {} left over", money(week.left))
}

/// 1, 2 or 5 times a power of ten, not below `least`.
pub fn step(least: f64) -> f64 {
    let power = 10_f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * power)
        .find(|step| *step >= least * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}
