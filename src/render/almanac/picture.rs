//! The calendar as a picture of weeks: for each crop and place a lane of sowing weeks, of planting
//! out, and of harvest. Every mark has a tone and a form of its own, so that a grey print says the
//! same.

use super::entry::{Entry, cautions, entries};
use crate::almanac::{Almanac, Row, Sowing, Success, Verdict, Window};
use crate::domain::{Method, Scenario};
use crate::render::cautions::DEFERENCE;
use crate::render::svg::{Chart, line, rect, text, title};
use crate::units::Week;
use chrono::{Datelike, Days};
use svg::node::element::{Group, Line};

/// Units for words on the left; for the weeks.
const LEFT: f64 = 236.0;
const WEEKS: f64 = 762.0;
/// Height of the head with the months and the key, and of a heading.
const HEAD: f64 = 92.0;
const HEADING: f64 = 22.0;
/// Heights of the lanes of sowing, planting and harvest, and between places.
const SOW: f64 = 11.0;
const PLANT: f64 = 5.0;
const HARVEST: f64 = 9.0;
const GAP: f64 = 7.0;
/// Units of a line of words, and letters that fit on the left.
const WORDS: f64 = 11.0;
const LETTERS: usize = 42;
/// Letters that fit across the whole picture.
const ACROSS: usize = 160;
/// Columns of the key, and the height of its rows.
const KEY_COLUMNS: usize = 4;
const KEY_ROW: f64 = 18.0;
/// What each mark in the lane of sowings means.
const KEY: [(Verdict, &str, &str); 8] = [
    (Verdict::Succeeds, "", "sow"),
    (Verdict::Unusual, "", "would succeed, not a sowing week"),
    (Verdict::TooCold, "c", "too cold to emerge"),
    (Verdict::TooSlow, "s", "too slow on the shelf"),
    (Verdict::Frost, "f", "killed by frost"),
    (Verdict::Bolts, "b", "runs to seed"),
    (Verdict::Unripe, "l", "not ready in its time"),
    (Verdict::NoShelf, "x", "no shelf"),
];

/// The picture, as a file of its own.
pub fn picture(scenario: &Scenario, almanac: &Almanac) -> String {
    let sheet = Sheet {
        weeks: &almanac.weeks,
    };
    let mut body = key();
    let mut y = HEAD;
    let mut crop = "";
    for entry in entries(scenario, almanac) {
        if entry.crop.name != crop {
            crop = &entry.crop.name;
            body = body.add(text("m", 2.0, y + 15.0, crop));
            body = body.add(line("rule", (0.0, y + 1.0), (LEFT + WEEKS, y + 1.0)));
            y += HEADING;
        }
        for (row, names) in &drawn(&entry) {
            let (group, height) = sheet.place(&entry, row, names, y);
            body = body.add(group);
            y += height + GAP;
        }
    }
    let months = sheet.months(y);
    for words in below(scenario, almanac) {
        y += WORDS + 3.0;
        body = body.add(text("n", 2.0, y, &words));
    }
    Chart {
        name: format!("When to sow and to harvest, {}", scenario.climate.name),
        height: y + GAP,
        body: Group::new().add(months).add(body),
    }
    .file()
}

/// The places of an entry that look different, each with the names of those that look the same.
fn drawn<'a>(entry: &Entry<'a>) -> Vec<(&'a Row, Vec<String>)> {
    let look = |row: &Row| {
        let verdicts: Vec<Verdict> = row.sowings.iter().map(Sowing::verdict).collect();
        (verdicts, row.planted(), row.harvested())
    };
    let mut found: Vec<(&Row, Vec<String>)> = Vec::new();
    for (row, names) in &entry.places {
        match found.iter_mut().find(|(known, _)| look(known) == look(row)) {
            Some((_, known)) => known.extend(names.iter().cloned()),
            None => found.push((row, names.clone())),
        }
    }
    found
}

/// The columns of weeks.
struct Sheet<'a> {
    weeks: &'a [Week],
}

impl Sheet<'_> {
    fn width(&self) -> f64 {
        WEEKS / self.weeks.len() as f64
    }

    fn x(&self, column: usize) -> f64 {
        LEFT + self.width() * column as f64
    }

    /// Names of the months and numbers of the weeks, with a line at each month.
    fn months(&self, height: f64) -> Group {
        let thursday = |week: &Week| week.monday() + Days::new(3);
        let mut group = Group::new();
        let mut column = 0;
        for run in (self.weeks).chunk_by(|a, b| thursday(a).month() == thursday(b).month()) {
            let x = self.x(column);
            group = group.add(line("month", (x, HEAD - 30.0), (x, height)));
            if run.len() > 1 {
                let name = thursday(&run[0]).format("%b").to_string();
                group = group.add(text("m", x + 3.0, HEAD - 18.0, &name));
            }
            for (k, week) in run.iter().enumerate() {
                let number = week.of_year().number().to_string();
                group = group.add(text("w", self.x(column + k) + 2.0, HEAD - 5.0, &number));
            }
            column += run.len();
        }
        group
    }

    /// One place: its words on the left, its three lanes on the right.
    fn place(&self, entry: &Entry, row: &Row, names: &[String], y: f64) -> (Group, f64) {
        let lines = left(entry, names);
        let mut group = Group::new();
        for (k, words) in lines.iter().enumerate() {
            let class = if k == 0 { "n" } else { "u" };
            group = group.add(text(class, 10.0, y + 9.0 + WORDS * k as f64, words));
        }
        for (column, sowing) in row.sowings.iter().enumerate() {
            group = group.add(
                self.mark(sowing.verdict(), column, y)
                    .add(title(&sentence(sowing))),
            );
        }
        let mut below = y + SOW + 2.5;
        if entry.method == Method::Modules {
            group = group.add(self.lane("stood", &row.planted(), below, PLANT - 2.0));
            below += PLANT;
        }
        group = group.add(self.lane("harvest", &row.harvested(), below, HARVEST));
        let lanes = below + HARVEST - y;
        (group, lanes.max(WORDS * lines.len() as f64))
    }

    /// A sowing week: full, hollow, or the letter of what goes wrong.
    fn mark(&self, verdict: Verdict, column: usize, y: f64) -> Group {
        let (x, width) = (self.x(column), self.width());
        let (_, letter, _) = (KEY.iter())
            .find(|(known, ..)| *known == verdict)
            .expect("every verdict has a mark");
        let group = Group::new();
        match verdict {
            Verdict::Succeeds => group.add(rect("stood", x + 0.5, y, width - 1.0, SOW)),
            Verdict::Unusual => group.add(unusual(x + 3.0, y + SOW / 2.0, width - 6.0)),
            _ => group.add(text("u", x + width / 2.0 - 2.5, y + SOW - 2.0, letter)),
        }
    }

    /// A lane with a bar for each window.
    fn lane(&self, class: &str, windows: &[Window], y: f64, height: f64) -> Group {
        let column = |number: u32| {
            (self.weeks.iter())
                .position(|week| week.of_year().number() == number)
                .unwrap_or(0)
        };
        let last = self.weeks.len() - 1;
        let mut group = Group::new();
        for window in windows {
            let (from, to) = (column(window.from.number()), column(window.to.number()));
            let runs = if from <= to {
                vec![(from, to)]
            } else {
                vec![(from, last), (0, to)]
            };
            for (from, to) in runs {
                let (left, right) = (self.x(from), self.x(to + 1));
                group = group
                    .add(title(&window.to_string()))
                    .add(rect(class, left + 0.5, y, right - left - 1.0, height))
                    .add(rect("frame", left + 0.5, y, right - left - 1.0, height));
            }
        }
        group
    }
}

/// The words beside a place: how it is grown, then where, in lines that fit.
fn left(entry: &Entry, names: &[String]) -> Vec<String> {
    let mut lines = vec![entry.title_without_crop()];
    lines.extend(names.iter().flat_map(|name| fitted(name, LETTERS)));
    lines
}

/// The usual cautions below the picture, each once, and whose word goes before them.
fn below(scenario: &Scenario, almanac: &Almanac) -> Vec<String> {
    let cautions = cautions(scenario, almanac);
    let mut lines: Vec<String> = (cautions.iter())
        .flat_map(|one| fitted(&format!("{}: {}", one.of.join(", "), one.words), ACROSS))
        .collect();
    if !lines.is_empty() {
        lines.push(DEFERENCE.to_string());
    }
    lines
}

/// Words in lines of fewer than so many letters.
fn fitted(words: &str, letters: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut rest = String::new();
    for word in words.split(' ') {
        if !rest.is_empty() && rest.chars().count() + word.chars().count() >= letters {
            lines.push(std::mem::take(&mut rest));
        }
        if !rest.is_empty() {
            rest.push(' ');
        }
        rest += word;
    }
    lines.push(rest);
    lines
}

/// What a pointer is told of a sowing.
fn sentence(sowing: &Sowing) -> String {
    match &sowing.outcome {
        Ok(Success { ready, last, .. }) => {
            let usual = if sowing.usual {
                ""
            } else {
                " (not a sowing week)"
            };
            format!("sown {}{usual}: harvest {ready} to {last}", sowing.week)
        }
        Err(reason) => format!("sown {}: {reason}", sowing.week),
    }
}

/// The mark of a week that would do: a fine dash, so that the weeks to sow in stand out.
fn unusual(x: f64, y: f64, width: f64) -> Line {
    line("rule", (x, y), (x + width, y))
}

/// What the marks mean, in columns.
fn key() -> Group {
    let mut group = Group::new();
    let place = |index: usize| {
        let (column, row) = (index % KEY_COLUMNS, index / KEY_COLUMNS);
        let across = (LEFT + WEEKS) / KEY_COLUMNS as f64;
        (2.0 + across * column as f64, 12.0 + KEY_ROW * row as f64)
    };
    for (index, (verdict, letter, words)) in KEY.into_iter().enumerate() {
        let (x, y) = place(index);
        group = match verdict {
            Verdict::Succeeds => group.add(rect("stood", x, y - 9.0, 13.0, SOW)),
            Verdict::Unusual => group.add(unusual(x, y - 4.0, 13.0)),
            _ => group.add(text("u", x + 4.0, y, letter)),
        };
        group = group.add(text("n", x + 19.0, y, words));
    }
    for (index, (class, height, words)) in [
        ("stood", PLANT - 2.0, "plant out"),
        ("harvest", HARVEST, "harvest"),
    ]
    .into_iter()
    .enumerate()
    {
        let (x, y) = place(KEY.len() + index);
        group = group
            .add(rect(class, x, y - 8.0, 13.0, height))
            .add(rect("frame", x, y - 8.0, 13.0, height))
            .add(text("n", x + 19.0, y, words));
    }
    group
}
