//! A file of events: text to a diary, checked against the plan and the scenario it speaks of.

use super::build::event;
use super::code::*;
use super::diagnostic::{Diagnostics, Problems};
use super::source::{At, Source};
use super::tree::Body;
use super::{MAX_BYTES, read, read_file, scalar, tables, tree};
use crate::domain::{Diary, Roster, Scenario};
use chrono::NaiveDate;
use std::path::Path;

/// Reads a file of events as of the day `today`: everything in it has happened, or is known, by
/// then.
///
/// # Errors
/// Everything that is wrong with the file, sorted by place.
pub fn load(
    path: &Path,
    scenario: &Scenario,
    roster: &Roster,
    today: NaiveDate,
) -> Result<Diary, Diagnostics> {
    let name = path.display().to_string();
    match read_file(path) {
        Ok(text) => load_text(&name, &text, scenario, roster, today),
        Err((code, at, message, help)) => {
            let mut problems = Problems::default();
            problems.sources.push(Source::new(&name, ""));
            problems.add(code, at, message, help);
            Err(problems.finish())
        }
    }
}

/// Reads events from their text; `name` is how messages call it.
///
/// # Errors
/// Everything that is wrong with the text, sorted by place.
pub fn load_text(
    name: &str,
    text: &str,
    scenario: &Scenario,
    roster: &Roster,
    today: NaiveDate,
) -> Result<Diary, Diagnostics> {
    let mut problems = Problems::default();
    problems.sources.push(Source::new(name, text));
    let diary = diary(text, scenario, roster, today, &mut problems);
    if problems.is_empty() {
        Ok(diary)
    } else {
        Err(problems.finish())
    }
}

/// A day as written on the command line: a date, or an ISO week, of which its Monday counts.
pub fn day(text: &str) -> Option<NaiveDate> {
    scalar::read_date(text)
}

fn diary(
    text: &str,
    scenario: &Scenario,
    roster: &Roster,
    today: NaiveDate,
    problems: &mut Problems,
) -> Diary {
    if text.len() as u64 > MAX_BYTES {
        let message = format!("larger than {MAX_BYTES} bytes");
        let help = "check that this is the right file";
        problems.add(S102, At::file(0), message, help);
        return Diary::default();
    }
    let node = match tree::parse(0, problems) {
        Some(node) if matches!(node.body, Body::Map(_)) => node,
        _ if !problems.is_empty() => return Diary::default(),
        _ => {
            let message = "the file holds no events";
            let help = "it is a record with the lists events and harvests";
            problems.add(E501, At::file(0), message, help);
            return Diary::default();
        }
    };
    let fields = read::record(&node, "", At::start(0), "", &tables::EVENTS, problems);
    event::diary(&fields, scenario, roster, today, problems)
}
