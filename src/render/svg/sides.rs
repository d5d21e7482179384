//! Charts of scenarios side by side: needs met in the parts of the year, all food week by week, and
//! what ground is worth.

use super::axis::{Axis, HEAD};
use super::{Chart, WIDTH, line, rect, text, title};
use crate::explain::{Comparison, GroundWeek, Met};
use crate::plan::YearPlan;
use crate::render::level::LevelWeek;
use crate::render::sides::share;
use crate::render::words::{amount, money};
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
/// Units for values on the left of weeks.
const LEFT_OF_WEEKS: f64 = 62.0;

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
    let axis = Axis::of(sides[0].plan, LEFT_OF_WEEKS, 2.0);
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
            .add(text("f", LEFT_OF_WEEKS + 4.0, y + 14.0, side.label));
        group = group.add(gridded(top, base, unit));
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
        body = body.add(group.add(line("zero", (LEFT_OF_WEEKS, base), (WIDTH, base))));
        y = base + 6.0;
    }
    Chart {
        name: format!("All food in {currency} per week, side by side"),
        height: y,
        body: Group::new().add(axis.draw(y)).add(body),
    }
}

/// What a bed-week is worth week by week, in the open and in the tunnel, on one scale.
pub fn ground(weeks: &[GroundWeek], currency: &str) -> Chart {
    let axis = Axis {
        start: weeks[0].week,
        planned: weeks.len(),
        weeks: weeks.len(),
        left: LEFT_OF_WEEKS,
        right: 2.0,
    };
    let most = (weeks.iter())
        .flat_map(|g| [g.open, g.tunnel])
        .flatten()
        .fold(f64::MIN_POSITIVE, f64::max);
    let unit = PLOT / (1.04 * most);
    let settings = [
        (
            "in the open",
            weeks.iter().map(|g| g.open).collect::<Vec<_>>(),
        ),
        ("in the tunnel", weeks.iter().map(|g| g.tunnel).collect()),
    ];
    let mut body = Group::new().set("data-unit", unit);
    let mut y = HEAD;
    for (name, values) in settings {
        if values.iter().all(Option::is_none) {
            continue;
        }
        let base = y + NAME + PLOT;
        body = body
            .add(text("f", LEFT_OF_WEEKS + 4.0, y + 14.0, name))
            .add(gridded(most, base, unit));
        for (ground, value) in weeks.iter().zip(values) {
            let Some(value) = value.filter(|value| *value > 0.0) else {
                continue;
            };
            let x = axis.x(ground.week) + AIR * axis.week();
            let width = axis.week() * (1.0 - 2.0 * AIR);
            let words = format!("{}, {name}: {} {currency}", ground.week, money(value));
            body = body.add(Group::new().add(title(&words)).add(rect(
                "fresh",
                x,
                base - value * unit,
                width,
                value * unit,
            )));
        }
        body = body.add(line("zero", (LEFT_OF_WEEKS, base), (WIDTH, base)));
        y = base + 6.0;
    }
    Chart {
        name: format!("What a bed-week is worth, {currency}, week by week"),
        height: y,
        body: Group::new().add(axis.draw(y)).add(body),
    }
}

/// Lines across a plot of weeks at round values up to `top`, with their values on the left.
fn gridded(top: f64, base: f64, unit: f64) -> Group {
    let grid = super::level::step(top / 2.0);
    let mut group = Group::new();
    let mut lines = 1.0;
    while lines * grid <= top {
        let at = base - lines * grid * unit;
        group = group
            .add(line("grid", (LEFT_OF_WEEKS, at), (WIDTH, at)))
            .add(text(
                "l",
                LEFT_OF_WEEKS - 5.0,
                at + 4.0,
                &amount(lines * grid),
            ));
        lines += 1.0;
    }
    group
}
