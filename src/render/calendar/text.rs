//! The calendar for a terminal: a line of weeks for each crop and place, and its windows in words.

use super::entry::{Entry, entries};
use crate::almanac::{Almanac, Row, Sowing, Success, Verdict, Window};
use crate::domain::Scenario;
use crate::render::text::lines::{COLUMNS, title, wrap};
use crate::units::Week;
use chrono::Datelike;

/// Columns before the weeks.
const LABEL_WIDTH: usize = 4;
/// Each verdict's character, and what it means.
const SIGNS: [(Verdict, char, &str); 8] = [
    (Verdict::Succeeds, '#', "succeeds"),
    (
        Verdict::Unusual,
        '+',
        "would succeed, but is not a usual sowing week of the crop's model",
    ),
    (Verdict::TooCold, 'c', "too cold to emerge"),
    (Verdict::TooSlow, 's', "too slow on the shelf"),
    (Verdict::Frost, 'f', "killed by frost before it is ready"),
    (Verdict::Bolts, 'b', "runs to seed before it is ready"),
    (Verdict::Unripe, 'l', "past its time before it is ready"),
    (Verdict::NoShelf, 'x', "the shelf for it is missing"),
];

/// The whole calendar.
pub fn calendar(scenario: &Scenario, almanac: &Almanac) -> String {
    let signs: Vec<String> = (SIGNS.iter())
        .map(|(_, sign, meaning)| format!("{sign} {meaning}"))
        .collect();
    let mut out = wrap(
        "",
        &format!(
            "What comes of sowing in each week of the year from {} on, in the climate of {}.",
            scenario.start, scenario.climate.name
        ),
    );
    out += &wrap(
        "",
        &format!(
            "A character for each week of sowing (setting, planting of crowns): {}.",
            signs.join("; ")
        ),
    );
    let mut crop = "";
    for entry in entries(scenario, almanac) {
        if entry.crop.name != crop {
            crop = &entry.crop.name;
            out += &title(crop);
            out += &cautions(&entry);
            out += &ruler(&almanac.weeks);
        }
        for (row, names) in &entry.places {
            out += &place(&entry, row, names);
        }
    }
    out
}

/// One place: its strip, then its windows.
fn place(entry: &Entry, row: &Row, names: &[String]) -> String {
    let strip: String = row.sowings.iter().map(|s| sign(s.verdict())).collect();
    let mut out = format!("{}{strip}\n", " ".repeat(LABEL_WIDTH));
    let about = entry.title();
    let about = about.split_once(", ").map_or("", |(_, rest)| rest);
    let names = names.join("; ");
    out += &wrap(
        "      ",
        &format!("{about}; {names}: {}", words(entry, row)),
    );
    out
}

fn words(entry: &Entry, row: &Row) -> String {
    let usual: Vec<&Success> = row.sowings.iter().filter_map(Sowing::success).collect();
    let mut parts = Vec::new();
    if usual.is_empty() {
        parts.push("no usual sowing succeeds".to_string());
    } else {
        parts.push(format!("sow {}", list(&row.sown(Verdict::Succeeds))));
        if usual
            .iter()
            .any(|s| s.planted != s.ready && s.emerged.is_none())
        {
            parts.push(format!("plant {}", list(&row.planted())));
        }
        let verb = if entry.way.is_some() {
            "harvest"
        } else {
            "covers the ground"
        };
        parts.push(format!("{verb} {}", list(&row.harvested())));
        let (least, most) = (usual.iter())
            .map(|s| s.last.since(s.ready) + 1)
            .fold((i32::MAX, 0), |(a, b), weeks| (a.min(weeks), b.max(weeks)));
        let weeks = if least == most {
            format!("{least}")
        } else {
            format!("{least} to {most}")
        };
        parts.push(format!("over {weeks} weeks each"));
        if usual.iter().any(|s| s.lit) {
            parts.push("under lamps in part".to_string());
        }
    }
    for (verdict, _, meaning) in SIGNS.iter().skip(1) {
        let windows = row.sown(*verdict);
        if !windows.is_empty() {
            let meaning = match verdict {
                Verdict::Unusual => "unusual but possible",
                _ => meaning,
            };
            parts.push(format!("{} {meaning}", list(&windows)));
        }
    }
    parts.join("; ")
}

fn cautions(entry: &Entry) -> String {
    let mut out = String::new();
    for caution in &entry.crop.cautions {
        out += &wrap("Caution: ", caution);
    }
    if !entry.crop.cautions.is_empty() {
        out += "Follow the label, local rules and qualified advice.\n";
    }
    out
}

/// The months above the weeks.
fn ruler(weeks: &[Week]) -> String {
    let month = |week: &Week| (week.monday() + chrono::Days::new(3)).month();
    let mut text = " ".repeat(LABEL_WIDTH);
    for run in weeks.chunk_by(|a, b| month(a) == month(b)) {
        let name = (run[0].monday() + chrono::Days::new(3))
            .format("%b")
            .to_string();
        let shown = if run.len() >= name.len() {
            name.as_str()
        } else {
            ""
        };
        text += &format!("{shown:<width$}", width = run.len());
    }
    debug_assert!(text.len() <= COLUMNS);
    format!("{}\n", text.trim_end())
}

fn sign(verdict: Verdict) -> char {
    SIGNS
        .iter()
        .find(|(known, ..)| *known == verdict)
        .map_or('?', |(_, sign, _)| *sign)
}

fn list(windows: &[Window]) -> String {
    let texts: Vec<String> = windows.iter().map(Window::to_string).collect();
    texts.join(", ")
}
