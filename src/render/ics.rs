//! Jobs as a calendar (RFC 5545): one event a week, all its jobs in the description.
//!
//! An event's UID is made of the holding's name and the week alone, and a week without jobs has
//! its event too: importing a later plan replaces every event, and a job that has moved to
//! another week is not left behind in the old one.

use super::jobs::{Job, Kind, jobs};
use super::select::Selection;
use super::words::{strip_noun, strips};
use crate::domain::Scenario;
use crate::plan::YearPlan;
use chrono::{DateTime, Utc};
use icalendar::{Calendar, Component, Event, EventLike};
use sha2::{Digest, Sha256};

/// Bytes of the holding's fingerprint in a UID: enough to keep holdings apart.
const UID_BYTES: usize = 8;
/// Seconds in a minute: revisions are counted in minutes, which fit RFC 5545's INTEGER for long.
const MINUTE: i64 = 60;

/// The calendar; `made` is when the plan was made: the later of two plans wins when both are
/// imported.
pub fn calendar(
    scenario: &Scenario,
    plan: &YearPlan,
    selection: &Selection,
    made: DateTime<Utc>,
) -> String {
    let name = &plan.scenario.name;
    let mut calendar = Calendar::empty();
    calendar
        .append_property(("VERSION", "2.0"))
        .append_property(("PRODID", "-//bedweek//year plan//EN"))
        .append_property(("CALSCALE", "GREGORIAN"))
        .name(name);
    let all = jobs(scenario, plan);
    let revision = u32::try_from(made.timestamp() / MINUTE).unwrap_or_default();
    for week in selection.weeks(plan, plan.scenario.weeks) {
        let of_week: Vec<&Job> = (all.iter())
            .filter(|job| job.week == week)
            .filter(|job| selection.bed.as_ref().is_none_or(|bed| job.concerns(bed)))
            .collect();
        let mut event = Event::new();
        event
            .uid(&uid(name, selection, &week.to_string()))
            .timestamp(made)
            .sequence(revision)
            .starts(week.monday())
            .ends(week.monday().succ_opt().expect("weeks lie before 2200"))
            .summary(&format!("{name}, {week}: {}", summary(&of_week)))
            .description(&description(&of_week))
            // A day of work on the plot does not make anyone busy for others.
            .add_property("TRANSP", "TRANSPARENT");
        calendar.push(event.done());
    }
    folded(&calendar.to_string())
}

/// Octets of a line, its break apart (RFC 5545, 3.1).
const LINE_OCTETS: usize = 75;

/// The lines folded anew: the library's own folds let a letter of several octets reach past the end.
fn folded(text: &str) -> String {
    let mut out = String::new();
    for line in text.replace("\r\n ", "").split_inclusive("\r\n") {
        let mut octets = 0;
        for letter in line.trim_end_matches("\r\n").chars() {
            if octets + letter.len_utf8() > LINE_OCTETS {
                out += "\r\n ";
                octets = 1;
            }
            out.push(letter);
            octets += letter.len_utf8();
        }
        out += "\r\n";
    }
    out
}

fn uid(name: &str, selection: &Selection, week: &str) -> String {
    let mut digest = Sha256::new();
    digest.update(name);
    if let Some(bed) = &selection.bed {
        // A name holds no control characters, so two holdings can't be mistaken.
        digest.update("\n");
        digest.update(bed);
    }
    let digest = digest.finalize();
    let hex: String = digest[..UID_BYTES]
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect();
    format!("{week}.{hex}@bedweek")
}

/// How many jobs of each kind.
fn summary(jobs: &[&Job]) -> String {
    let parts: Vec<String> = (Kind::ALL.into_iter())
        .filter_map(|kind| {
            let count = jobs.iter().filter(|job| job.kind == kind).count();
            (count > 0).then(|| format!("{} {count}", kind.word()))
        })
        .collect();
    match parts.is_empty() {
        true => "nothing to do".to_string(),
        false => parts.join(", "),
    }
}

/// A line for each job.
fn description(jobs: &[&Job]) -> String {
    let lines: Vec<String> = jobs.iter().map(|job| line(job)).collect();
    match lines.is_empty() {
        true => "Nothing to do.".to_string(),
        false => lines.join("\n"),
    }
}

fn line(job: &Job) -> String {
    let mut line = format!("{} {}", job.kind.word(), job.what);
    let quantity = job.quantity();
    if !quantity.is_empty() {
        line += &format!(", {quantity}");
    }
    let places: Vec<String> = (job.places.iter())
        .map(|place| match place.strips.is_empty() {
            true => place.bed.clone(),
            false => {
                let noun = strip_noun(place.strips.len());
                format!("{} {noun} {}", place.bed, strips(&place.strips, "–"))
            }
        })
        .collect();
    if !places.is_empty() {
        line += &format!(": {}", places.join(", "));
    }
    if !job.detail.is_empty() && job.kind.has_detail() {
        line += &format!(" ({})", job.detail);
    }
    line
}

#[cfg(test)]
mod tests {
    use super::folded;

    #[test]
    fn letters_of_several_octets_stay_within_the_line() {
        for lead in 0..80 {
            let line = format!("X:{}{}", "a".repeat(lead), "–".repeat(60));
            let text = folded(&format!("{line}\r\nY:1\r\n"));
            assert!(text.split("\r\n").all(|line| line.len() <= 75), "{text}");
            assert_eq!(text.replace("\r\n ", ""), format!("{line}\r\nY:1\r\n"));
        }
    }
}
