//! What is known of amounts of money, each between a least and a most, on one scale with zero.

use super::level::step;
use super::{Chart, WIDTH, line, pointer, rect, text, title};
use svg::node::element::Group;

/// Units for words on the left and on the right.
const LEFT: f64 = 210.0;
const RIGHT: f64 = 190.0;
/// Height of a row, of the bar in it, and of the scale above.
const ROW: f64 = 26.0;
const BAR: f64 = 12.0;
const HEAD: f64 = 24.0;
/// Lines across the scale, about.
const STEPS: f64 = 6.0;
/// Characters that fit on the left.
const LETTERS: usize = 34;

/// An amount as far as it is known, money.
pub struct Span {
    pub name: String,
    pub at_least: f64,
    pub at_most: f64,
    /// Between the plans found.
    pub found: Option<f64>,
    /// What it costs, where that is to be compared with.
    pub cost: Option<f64>,
    /// Whether the answer lies on one side of zero (of the cost, where there is one).
    pub decided: bool,
    /// What is said on the right.
    pub words: String,
}

/// The chart. `data-zero` and `data-unit` say where zero lies and how long one unit of money is.
pub fn spans(name: &str, rows: &[Span]) -> Chart {
    let all = || {
        (rows.iter())
            .flat_map(|r| [Some(r.at_least), Some(r.at_most), r.found, r.cost])
            .flatten()
            .filter(|money| money.is_finite())
    };
    let low = all().fold(0.0, f64::min);
    let high = all().fold(0.0, f64::max).max(low + 1.0);
    let unit = (WIDTH - LEFT - RIGHT) / (high - low);
    let x = |money: f64| LEFT + (money.clamp(low, high) - low) * unit;
    let height = HEAD + ROW * rows.len() as f64 + 4.0;
    let mut body = Group::new()
        .set("data-zero", super::round(x(0.0)))
        .set("data-unit", unit);
    let step = step((high - low) / STEPS);
    let mut value = (low / step).ceil() * step;
    while value <= high {
        body = body.add(line("grid", (x(value), HEAD - 6.0), (x(value), height)));
        let figure = format!("{}", super::round(value));
        body = body.add(text("c", x(value), 12.0, &figure));
        value += step;
    }
    body = body.add(line("zero", (x(0.0), HEAD - 6.0), (x(0.0), height)));
    for (i, row) in rows.iter().enumerate() {
        let y = HEAD + ROW * i as f64;
        let middle = y + ROW / 2.0;
        let class = if row.decided { "known" } else { "open" };
        let (from, to) = (x(row.at_least), x(row.at_most));
        // A proven figure has no width; it is to be seen all the same.
        let width = (to - from).max(1.0);
        let short: String = row.name.chars().take(LETTERS).collect();
        let mut group = Group::new()
            .set("class", "row")
            .add(title(&format!("{}: {}", row.name, row.words)))
            .add(text("l", LEFT - 8.0, middle + 4.0, &short))
            .add(rect(class, from, middle - BAR / 2.0, width, BAR));
        if let Some(found) = row.found {
            let at = x(found);
            let (top, bottom) = (middle - BAR / 2.0 - 3.0, middle + BAR / 2.0 + 3.0);
            group = group.add(line("found", (at, top), (at, bottom)));
        }
        if let Some(cost) = row.cost {
            group = group.add(pointer("point", x(cost), middle + BAR / 2.0 + 1.0));
        }
        body = body.add(group.add(text("t", WIDTH - RIGHT + 8.0, middle + 4.0, &row.words)));
    }
    Chart {
        name: name.to_string(),
        height,
        body,
    }
}
