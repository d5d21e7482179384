//! A plan file with the scenario that it was made for: read, or, for a plan that carries another
//! one on, made again from that one and the events.

use super::named::meant;
use super::verify::{fingerprint, has_beginning, read, scenario_of};
use crate::domain::{Diary, Scenario};
use crate::input::{self, Loaded, Named, events};
use crate::plan::{FileRef, YearPlan};
use crate::repair;
use crate::units::Week;
use chrono::{Datelike, Duration, NaiveDate, Weekday};
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};

/// Most plans that carry each other on.
const MOST_GENERATIONS: usize = 100;

/// A plan, its scenario, and where it comes from.
pub struct Lived {
    pub path: PathBuf,
    pub plan: YearPlan,
    /// The scenario it was made for, as far as that is to be had; see `as_made`.
    pub scenario: Scenario,
    /// Whether that is the very scenario it was made for.
    pub as_made: bool,
    /// The events that it and the plans before it were made with.
    pub known: Vec<String>,
    /// The highest number of a planting in it and the plans before it.
    pub highest: u32,
    /// The plans before it, the first one first.
    pub before: Vec<(PathBuf, YearPlan)>,
}

/// Reads a plan with its scenario; `other` is used in the place of the scenario that the first plan
/// of the chain names.
pub fn lived(path: &Path, other: Option<&Path>) -> Result<Lived, String> {
    step(path, other, 0)
}

fn step(path: &Path, other: Option<&Path>, depth: usize) -> Result<Lived, String> {
    if depth > MOST_GENERATIONS {
        return Err(format!(
            "error: {}: more than {MOST_GENERATIONS} plans carry each other on",
            path.display()
        ));
    }
    let plan = read(path)?;
    has_beginning(path, &plan)?;
    let fault = |what: String| format!("error: {}: {what}", path.display());
    let Some(life) = plan.life.clone() else {
        let file = match other {
            Some(file) => file.to_path_buf(),
            None => scenario_of(path, &plan)?,
        };
        let loaded = load_for(&file, &plan)?;
        return Ok(Lived {
            path: path.to_path_buf(),
            as_made: plan.scenario.fingerprint == fingerprint(loaded.digest),
            scenario: loaded.scenario,
            known: Vec::new(),
            highest: repair::highest(&plan),
            before: Vec::new(),
            plan,
        });
    };
    let parent_file = same(path, &life.parent, "the plan it carries on")?;
    let parent = step(&parent_file, other, depth + 1)?;
    let base = match &life.edited_scenario {
        None => parent.scenario.clone(),
        Some(file) => load_for(&found(path, file), &parent.plan)?.scenario,
    };
    let day = events::day(&life.day).ok_or_else(|| fault(format!("{} is no day", life.day)))?;
    let diary = match &life.events_file {
        None => Diary::default(),
        Some(file) => {
            let file = same(path, file, "its file of events")?;
            read_events(&file, &base, &parent, day)?
        }
    };
    let carried = repair::carry_on(
        &parent.scenario,
        &parent.plan,
        &base,
        &diary,
        first_week(day),
    )
    .map_err(fault)?;
    let mut known = parent.known;
    known.extend(life.events);
    let mut before = parent.before;
    before.push((parent.path, parent.plan));
    let digest = fingerprint(input::digest(&carried.scenario));
    Ok(Lived {
        path: path.to_path_buf(),
        as_made: parent.as_made && plan.scenario.fingerprint == digest,
        scenario: carried.scenario,
        known,
        highest: parent.highest.max(repair::highest(&plan)),
        before,
        plan,
    })
}

/// Reads a scenario that a plan is carried on with, which is to know what the plan names.
pub fn load_for(path: &Path, plan: &YearPlan) -> Result<Loaded, String> {
    let planted = plan.plantings.iter().map(|p| (&p.crop, p.way.clone()));
    let eaten = plan.draws.iter().map(|d| (&d.crop, Some(d.way.clone())));
    let named: Vec<Named> = (planted.chain(eaten))
        .map(|(crop, way)| Named {
            crop: crop.clone(),
            way,
        })
        .collect();
    input::load_knowing(path, &named).map_err(|errors| errors.to_string())
}

/// Events as they are to be read for a plan.
pub fn read_events(
    file: &Path,
    base: &Scenario,
    lived: &Lived,
    day: NaiveDate,
) -> Result<Diary, String> {
    let roster = repair::roster(&lived.scenario, base, &lived.plan, lived.known.clone())
        .map_err(|e| format!("error: {}: {e}", lived.path.display()))?;
    events::load(file, base, &roster, day).map_err(|errors| errors.to_string())
}

/// The week of the first Monday from that day on.
pub fn first_week(day: NaiveDate) -> Week {
    let days = (7 - i64::from(day.weekday().days_since(Weekday::Mon))) % 7;
    Week::of(day + Duration::days(days))
}

/// SHA-256 of a text, hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    let digest = Sha256::digest(bytes);
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// A file by its name and hash.
pub fn file_ref(path: &Path) -> Result<FileRef, String> {
    let bytes = std::fs::read(path)
        .map_err(|e| format!("error: {}: cannot be read: {e}", path.display()))?;
    Ok(FileRef {
        file: path.display().to_string(),
        sha256: sha256(&bytes),
    })
}

/// The first file that a plan may mean by a name.
fn found(plan: &Path, named: &str) -> PathBuf {
    let first = meant(plan, named).into_iter().next();
    first.unwrap_or_else(|| PathBuf::from(named))
}

/// The file that a plan names, if it is still the same.
fn same(plan: &Path, named: &FileRef, what: &str) -> Result<PathBuf, String> {
    let is_it = |file: &PathBuf| file_ref(file).is_ok_and(|found| found.sha256 == named.sha256);
    if let Some(file) = meant(plan, &named.file).into_iter().find(is_it) {
        return Ok(file);
    }
    let file = found(plan, &named.file);
    file_ref(&file)?;
    Err(format!(
        "error: {}: {} is not {what} any more: its contents have changed\n  \
         help: put the file back as it was when the plan was made",
        plan.display(),
        file.display()
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_has_its_published_hash() {
        // "abc": FIPS 180-4, the example of the standard.
        assert_eq!(
            sha256(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn planning_goes_on_from_the_next_monday() {
        let day = |d| NaiveDate::from_ymd_opt(2026, 10, d).expect("a date");
        // 26 October 2026 is a Monday.
        assert_eq!(first_week(day(26)).to_string(), "2026-W44");
        assert_eq!(first_week(day(27)).to_string(), "2026-W45");
        assert_eq!(first_week(day(25)).to_string(), "2026-W44");
    }
}
