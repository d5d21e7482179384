//! The calendar for a terminal: a line of weeks for each crop and place, and its windows in words.

use super::entry::{self, Entry, entries};
use crate::almanac::{Almanac, Row, Sowing, Success, Verdict, Window};
use crate::domain::{Method, Scenario};
use crate::render::cautions::{Caution, DEFERENCE};
use crate::render::text::lines::{COLUMNS, title, wrap};
use crate::units::Week;
use chrono::Datelike;

/// Columns before the weeks.
const LABEL_WIDTH: usize = 4;
/// Each verdict's character, what it means, and the same in short.
const SIGNS: [(Verdict, char, &str, &str); 8] = [
    (Verdict::Succeeds, '#', "succeeds", "succeeds"),
    (
        Verdict::Unusual,
        '+',
        "would succeed, but is not among the sowing weeks of the crop's model and the scenario",
        "not usual, would succeed",
    ),
    (
        Verdict::TooCold,
        'c',
        "too cold to emerge",
        "too cold to emerge",
    ),
    (
        Verdict::TooSlow,
        's',
        "too slow on the shelf",
        "too slow on the shelf",
    ),
    (
        Verdict::Frost,
        'f',
        "killed by frost before it is ready",
        "killed by frost",
    ),
    (
        Verdict::Bolts,
        'b',
        "runs to seed before it is ready",
        "runs to seed",
    ),
    (
        Verdict::Unripe,
        'l',
        "past its time before it is ready",
        "not ready in its time",
    ),
    (Verdict::NoShelf, 'x', "no shelf for it", "no shelf for it"),
];

/// What a verdict says, in words.
pub fn meaning(verdict: Verdict) -> &'static str {
    let found = SIGNS.iter().find(|(known, ..)| *known == verdict);
    found.map_or("it does not succeed", |(_, _, meaning, _)| *meaning)
}

/// The whole calendar.
pub fn calendar(scenario: &Scenario, almanac: &Almanac) -> String {
    let signs: Vec<String> = (SIGNS.iter())
        .map(|(_, sign, meaning, _)| format!("{sign} {meaning}"))
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
            out += &ruler(&almanac.weeks);
        }
        out += &wrap("  ", &entry.title_without_crop());
        for (index, (row, names)) in entry.places.iter().enumerate() {
            let first = (index > 0).then(|| entry.places[0].0);
            out += &place(&entry, row, names, first);
        }
    }
    out += &cautions(&entry::cautions(scenario, almanac));
    out
}

/// One place: its strip of weeks, then its windows; of what is as at the `first` place, nothing.
fn place(entry: &Entry, row: &Row, names: &[String], first: Option<&Row>) -> String {
    let strip = |row: &Row| -> String { row.sowings.iter().map(|s| sign(s.verdict())).collect() };
    let same = |part: fn(&Row) -> Vec<Window>| first.is_some_and(|first| part(first) == part(row));
    let usual: Vec<&Success> = row.sowings.iter().filter_map(Sowing::success).collect();
    let mut parts = Vec::new();
    if usual.is_empty() {
        parts.push("no usual sowing succeeds".to_string());
    } else {
        if !same(|row| row.sown(Verdict::Succeeds)) {
            parts.push(format!("sow {}", list(&row.sown(Verdict::Succeeds))));
        }
        if entry.method == Method::Modules && !same(Row::planted) {
            parts.push(format!("plant {}", list(&row.planted())));
        }
        if !same(Row::harvested) {
            let verb = if entry.way.is_some() {
                "harvest"
            } else {
                "covers the ground"
            };
            parts.push(format!("{verb} {}", list(&row.harvested())));
        }
        if first.is_none_or(|first| lasting(first) != lasting(row)) {
            parts.push(format!("each for {}", lasting(row)));
        }
        if let Some(first) = first {
            parts.extend(earlier(first, row));
        }
        if usual.iter().any(|s| s.lit) {
            parts.push("some under lamps".to_string());
        }
    }
    let strips_differ = first.is_none_or(|first| strip(first) != strip(row));
    if strips_differ {
        parts.extend(SIGNS.iter().skip(1).filter_map(|(verdict, _, _, short)| {
            let windows = row.sown(*verdict);
            (!windows.is_empty()).then(|| format!("{} {short}", list(&windows)))
        }));
    }
    if parts.is_empty() {
        parts.push("nearly the same".to_string());
    }
    let mut out = String::new();
    if strips_differ {
        out += &format!("{}{}\n", " ".repeat(LABEL_WIDTH), strip(row));
    }
    let words = format!("{}: {}", names.join("; "), parts.join("; "));
    out += &wrap("      ", &words);
    out
}

/// For how many weeks a harvest of the usual sowings lasts.
fn lasting(row: &Row) -> String {
    let weeks = (row.sowings.iter().filter_map(Sowing::success)).map(|s| s.last.since(s.ready) + 1);
    let (least, most) = weeks.fold((i32::MAX, 0), |(a, b), n| (a.min(n), b.max(n)));
    span(least, most)
}

/// By how much the usual sowings are ready earlier (or later) than at the first place.
fn earlier(first: &Row, row: &Row) -> Option<String> {
    let gains: Vec<i32> = (first.sowings.iter().zip(&row.sowings))
        .filter_map(|(there, here)| {
            let (there, here) = (there.success()?, here.success()?);
            Some(there.ready.since(here.ready))
        })
        .collect();
    let (least, most) = (gains.iter().min()?, gains.iter().max()?);
    match (*least, *most) {
        (0, 0) => None,
        (least, most) if least >= 0 => Some(format!("ready {} earlier", span(least, most))),
        (least, most) if most <= 0 => Some(format!("ready {} later", span(-most, -least))),
        (least, most) => Some(format!(
            "ready up to {} earlier or {} later",
            span(most, most),
            span(-least, -least)
        )),
    }
}

/// `1 week`, `3 to 5 weeks`, `up to 2 weeks`.
fn span(least: i32, most: i32) -> String {
    match (least, most) {
        (1, 1) => "1 week".to_string(),
        (0, most) if most > 0 => format!("up to {}", span(most, most)),
        (least, most) if least == most => format!("{least} weeks"),
        (least, most) => format!("{least} to {most} weeks"),
    }
}

/// The usual cautions for the crops shown, each once, with whose word goes before them.
fn cautions(cautions: &[Caution]) -> String {
    if cautions.is_empty() {
        return String::new();
    }
    let mut out = title("Cautions");
    for caution in cautions {
        out += &wrap(
            "  ",
            &format!("{}: {}", caution.of.join(", "), caution.words),
        );
    }
    out += &wrap("  ", DEFERENCE);
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
        .map_or('?', |(_, sign, ..)| *sign)
}

fn list(windows: &[Window]) -> String {
    let texts: Vec<String> = windows.iter().map(Window::to_string).collect();
    texts.join(", ")
}
