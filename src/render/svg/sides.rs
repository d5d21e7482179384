//! Charts of scenarios side by side: needs met in the parts of the year, all food week by week, and
//! what ground is worth month by month.

use super::axis::{Axis, HEAD};
use super::{Chart, WIDTH, line, rect, text, title};
use crate::explain::{Comparison, GroundMonth, Met};
use crate::plan::YearPlan;
use crate::render::level::LevelWeek;
use crate::render::sides::share;
use crate::render::words::{money, month_name};
use svg::node::element::Group;

/// Units for words on the left and on the right.
const LEFT: f64 = 210.0;
const RIGHT: f64 = 150.0;
/// Height of a side's bar, and between parts of the year.
const ROW: f64 = 16.0;
const GAP: f64 = 9.0;
/// Height of a side's weeks, and of its name above them.
const PLOT: f64 = 84.0;
const NAME: f64 = 20.0;
/// Share of a week's width that a bar leaves free on either side.
const AIR: f64 = 0.12;
/// Characters that fit on the left.
const LETTERS: usize = 24;
/// Units for a month's name, and height of a month's bars.
const MONTH: f64 = 64.0;
const MONTH_PLOT: f64 = 90.0;

/// Needs met: a bar for the wishes of each side, a line across it for the floors. `data-unit` says
/// how long a share of one is.
pub fn met(c: &Comparison) -> Chart {
    let unit = WIDTH - LEFT - RIGHT;
    let parts = c
        .parts
        .iter()
        .copied()
        .enumerate()
        .map(|(i, part)| (Some(i), part));
    let mut body = Group::new().set("data-unit", unit);
    let mut y = 4.0;
    for (part, name) in parts.chain([(None, "the year")]) {
        body = body.add(text("f", 2.0, y + 12.0, name));
        for side in &c.sides {
            let met: &Met = part.map_or(&side.year, |i| &side.parts[i]);
            let words = format!(
                "{} % of wishes, {} % of floors",
                share(met.wishes),
                share(met.floors)
            );
            let mut group = Group::new()
                .set("class", "row")
                .add(title(&format!("{name}, {}: {words}", side.label)))
                .add(text("l", LEFT - 8.0, y + 12.0, &cut(&side.label)))
                .add(rect("wish", LEFT, y + 2.0, unit, ROW - 4.0))
                .add(rect(
                    "fresh",
                    LEFT,
                    y + 2.0,
                    unit * met.wishes.unwrap_or(0.0),
                    ROW - 4.0,
                ));
            if let Some(floors) = met.floors {
                let x = LEFT + unit * floors;
                group = group.add(line("found", (x, y), (x, y + ROW)));
            }
            body = body.add(group.add(text("t", WIDTH - RIGHT + 8.0, y + 12.0, &words_short(met))));
            y += ROW;
        }
        y += GAP;
    }
    Chart {
        name: "Needs met, by part of the year".into(),
        height: y,
        body,
    }
}

fn words_short(met: &Met) -> String {
    format!("{} %, floors {} %", share(met.wishes), share(met.floors))
}

fn cut(label: &str) -> String {
    label.chars().take(LETTERS).collect()
}

/// A side with its plan and what is eaten week by week.
pub struct Side<'a> {
    pub label: &'a str,
    pub plan: &'a YearPlan,
    pub weeks: Vec<LevelWeek>,
}

/// All food of each side, week by week, on the weeks of the first one and one scale of money.
pub fn levels(sides: &[Side], currency: &str) -> Chart {
    let axis = Axis::of(sides[0].plan, 62.0, 2.0);
    let drawn = |week: &&LevelWeek| {
        let since = week.week.since(axis.start);
        usize::try_from(since).is_ok_and(|i| i < axis.weeks)
    };
    let top = (sides.iter())
        .flat_map(|s| s.weeks.iter().filter(drawn))
        .map(LevelWeek::eaten)
        .fold(1.0, f64::max);
    let unit = PLOT / (1.04 * top);
    let mut body = Group::new();
    let mut y = HEAD;
    for side in sides {
        let base = y + NAME + PLOT;
        let mut group = Group::new()
            .set("class", "side")
            .set("data-base", super::round(base))
            .set("data-unit", unit)
            .add(text("f", 66.0, y + 14.0, side.label));
        let grid = super::level::step(top / 2.0);
        let mut value = grid;
        while value <= top {
            let at = base - value * unit;
            group = group.add(line("grid", (62.0, at), (WIDTH, at))).add(text(
                "l",
                57.0,
                at + 4.0,
                &format!("{value}"),
            ));
            value += grid;
        }
        for week in side.weeks.iter().filter(drawn) {
            let x = axis.x(week.week) + AIR * axis.week();
            let width = axis.week() * (1.0 - 2.0 * AIR);
            let (fresh, stored) = (week.fresh * unit, week.stored * unit);
            let words = format!("{}: {} {currency} eaten", week.week, money(week.eaten()));
            group = group.add(
                Group::new()
                    .add(title(&words))
                    .add(rect("fresh", x, base - fresh, width, fresh))
                    .add(rect("stored", x, base - fresh - stored, width, stored)),
            );
            if let Some((low, _)) = week.band {
                let (from, at) = (axis.x(week.week), base - (low * unit).min(PLOT + NAME));
                group = group.add(line("low", (from, at), (from + axis.week(), at)));
            }
        }
        body = body.add(group.add(line("zero", (62.0, base), (WIDTH, base))));
        y = base + 6.0;
    }
    Chart {
        name: format!("All food in {currency} per week, side by side"),
        height: y,
        body: Group::new().add(axis.draw(y)).add(body),
    }
}

/// What a bed-week is worth in each month, in the open and in the tunnel.
pub fn ground(months: &[GroundMonth], currency: &str) -> Chart {
    let most = (months.iter())
        .flat_map(|m| [m.open, m.tunnel])
        .flatten()
        .fold(f64::MIN_POSITIVE, f64::max);
    let unit = (MONTH_PLOT - 16.0) / most;
    let settings = [
        (
            "in the open",
            months.iter().map(|m| m.open).collect::<Vec<_>>(),
        ),
        ("in the tunnel", months.iter().map(|m| m.tunnel).collect()),
    ];
    let width = (WIDTH - MONTH) / months.len().max(1) as f64;
    let mut body = Group::new().set("data-unit", unit);
    let mut y = 0.0;
    for (name, values) in settings {
        if values.iter().all(Option::is_none) {
            continue;
        }
        let base = y + MONTH_PLOT;
        body = body.add(text("f", 2.0, y + 14.0, name));
        for (i, month) in months.iter().enumerate() {
            let x = MONTH + width * i as f64;
            let year = match i == 0 || month.month == 1 {
                true => format!(" {}", month.year),
                false => String::new(),
            };
            let label = format!("{}{year}", month_name(month.month));
            body = body.add(text("w", x + 2.0, base + 12.0, &label));
            let Some(value) = values[i] else { continue };
            let height = value.max(0.0) * unit;
            body = body
                .add(rect("fresh", x + 2.0, base - height, width - 8.0, height))
                .add(text("w", x + 2.0, base - height - 3.0, &money(value)));
        }
        body = body.add(line("zero", (MONTH, base), (WIDTH, base)));
        y = base + 22.0;
    }
    Chart {
        name: format!("What a bed-week is worth, {currency}, month by month"),
        height: y,
        body,
    }
}
