//! The year bed by bed: a row for each run of strips with the same year, a character for each
//! week. Small letters and dots: it grows; capitals and `=`: it can be harvested.

use super::lines::{COLUMNS, cut, short_week, strips, title, wrap};
use crate::domain::{Bed, Scenario};
use crate::plan::{Planting, YearPlan};
use crate::render::rows::{Row, rows};
use crate::render::select::Selection;
use crate::render::words::{month_name, setting, strip_noun};
use crate::units::Week;
use chrono::Datelike;

/// Columns before the weeks.
pub const LABEL_WIDTH: usize = 15;
/// A week in which nothing stands.
const IDLE: char = ' ';

/// The weeks that are drawn.
pub struct Span {
    pub start: Week,
    /// Planned weeks, and all weeks that fit the page.
    pub planned: usize,
    pub drawn: usize,
}

impl Span {
    /// As many weeks of the horizon as the page has room for.
    pub fn of(scenario: &Scenario) -> Span {
        Span {
            start: scenario.start,
            planned: scenario.weeks,
            drawn: scenario.horizon().min(COLUMNS - LABEL_WIDTH - 1),
        }
    }

    /// Column of a week, cut to those drawn.
    fn column(&self, week: Week) -> usize {
        usize::try_from(week.since(self.start)).map_or(0, |c| c.min(self.drawn))
    }
}

/// The section.
pub fn year(scenario: &Scenario, plan: &YearPlan, selection: &Selection) -> String {
    let span = Span::of(scenario);
    let mut out = title("The year, bed by bed");
    out += &wrap(
        "",
        "One character is a week. Small letters and dots: it grows; capitals and =: it can be \
         harvested; + shares the strips above it; | ends the planned weeks.",
    );
    let (idle, used): (Vec<&Bed>, Vec<&Bed>) = (scenario.beds.iter())
        .filter(|bed| selection.has_bed(&bed.name))
        .partition(|bed| rows(plan, bed, span.start).is_empty());
    let covered = |bed: &Bed| plan.covers.iter().any(|c| c.bed == bed.name);
    let (single, wide): (Vec<&Bed>, Vec<&Bed>) =
        (used.into_iter()).partition(|bed| bed.strips == 1 && !covered(bed));
    for bed in wide {
        out.push('\n');
        out += &bed_chart(&span, plan, bed);
    }
    if !single.is_empty() {
        out += "\nBeds, containers and baskets of one strip\n";
        out += &ruler(&span);
    }
    for bed in single {
        for row in rows(plan, bed, span.start) {
            out += &strip_rows(&span, &bed.name, &row);
        }
    }
    if !idle.is_empty() {
        let names: Vec<&str> = idle.iter().map(|b| b.name.as_str()).collect();
        out.push('\n');
        out += &wrap("Nothing grows in: ", &names.join(", "));
    }
    out
}

/// A bed: what it is and what lies on it, then its strips.
fn bed_chart(span: &Span, plan: &YearPlan, bed: &Bed) -> String {
    let covers: Vec<String> = plan
        .covers
        .iter()
        .filter(|c| c.bed == bed.name)
        .map(|c| {
            let (placed, removed) = (short_week(c.placed), short_week(c.removed));
            match (c.before, c.stays) {
                (true, true) => format!("{} throughout", c.cover),
                (true, false) => format!("{} until {removed}", c.cover),
                (false, true) => format!("{} from {placed}", c.cover),
                (false, false) => format!("{} {placed} to {removed}", c.cover),
            }
        })
        .collect();
    let noun = strip_noun(bed.strips as usize);
    let mut about = format!("{}, {} {noun}", setting(bed.setting), bed.strips);
    if !covers.is_empty() {
        about += &format!("; {}", covers.join(", "));
    }
    let mut out = wrap(&format!("{}: ", bed.name), &about);
    out += &ruler(span);
    for row in rows(plan, bed, span.start) {
        out += &strip_rows(span, &strips(&row.strips), &row);
    }
    out
}

/// The months above the weeks; one that is cut short at the start is left out.
pub fn ruler(span: &Span) -> String {
    let month = |column: usize| {
        let week = span.start.plus(i32::try_from(column).expect("short"));
        week.monday().month()
    };
    let mut text = " ".repeat(LABEL_WIDTH);
    let mut column = 0;
    while column < span.drawn {
        let weeks = (column..span.drawn)
            .take_while(|&c| month(c) == month(column))
            .count();
        let name = month_name(month(column));
        let shown = if weeks > name.len() { name } else { "" };
        text += &format!("{shown:<weeks$}");
        column += weeks;
    }
    format!("{}\n", text.trim_end())
}

/// A line for each lane of the row.
fn strip_rows(span: &Span, name: &str, row: &Row) -> String {
    let mut lines: Vec<Vec<char>> = Vec::new();
    for lane in &row.lanes {
        let mut line = vec![IDLE; span.drawn];
        for planting in lane {
            let (from, to) = (span.column(planting.planted), span.column(planting.cleared));
            if from < to {
                draw(span, &mut line[from..to], from, planting);
            }
        }
        lines.push(line);
    }
    // Lanes that begin beyond the page are not drawn.
    lines.retain(|line| line.iter().any(|&c| c != IDLE));
    let mut out = String::new();
    for (i, line) in lines.into_iter().enumerate() {
        let label = match i {
            0 => name,
            _ => "+",
        };
        let mut text: String = line.into_iter().collect();
        if span.drawn > span.planned {
            text.insert(span.planned, '|');
        }
        let label = format!(
            "  {:<width$} ",
            cut(label, LABEL_WIDTH - 3),
            width = LABEL_WIDTH - 3
        );
        out += format!("{label}{text}").trim_end();
        out.push('\n');
    }
    out
}

/// Writes a planting into its weeks: its name first, then dots or `=`.
fn draw(span: &Span, cells: &mut [char], from: usize, planting: &Planting) {
    let seasons = planting.seasons();
    let ripe = |column: usize| {
        let week = span.start.plus(i32::try_from(column).expect("short"));
        seasons
            .iter()
            .any(|&(first, last)| first <= week && week <= last)
    };
    let name: Vec<char> = planting.crop.chars().collect();
    // The last week stays free of letters, so that two names never run together.
    let letters = cells.len().saturating_sub(1).max(1);
    for (i, cell) in cells.iter_mut().enumerate() {
        let ripe = ripe(from + i);
        *cell = match name.get(i).filter(|_| i < letters) {
            Some(' ') | None if ripe => '=',
            Some(' ') | None => '.',
            Some(letter) if ripe => letter.to_ascii_uppercase(),
            Some(letter) => letter.to_ascii_lowercase(),
        };
    }
}
