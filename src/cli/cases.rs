//! What the verbs that solve several scenarios share: reading them, a progress line for each
//! search, and the check of every plan.

use super::args::SearchArgs;
use super::exit::Exit;
use super::progress::{Reporter, line};
use super::verify::fingerprint;
use crate::candidates;
use crate::explain::{Case, Solved, Watches};
use crate::input;
use crate::solve::{Options, Progress, Watch};
use crate::verify;
use std::path::Path;
use std::sync::Mutex;

/// Characters of a label in a line of progress.
const LABEL_WIDTH: usize = 24;
/// Shortest time between two lines of one search, seconds.
const LINE_SECONDS: f64 = 2.0;

/// Reads a scenario or variant, with changes from the command line.
pub fn read(path: &Path, sets: &[String]) -> Result<Case, String> {
    let loaded = input::load_changed(path, sets).map_err(|errors| errors.to_string())?;
    Ok(Case {
        label: loaded.scenario.name.clone(),
        file: path.display().to_string(),
        fingerprint: fingerprint(loaded.digest),
        scenario: loaded.scenario,
    })
}

/// Limits of each single search, of so many seconds where none are asked for.
pub fn options(asked: &SearchArgs, gap: f64, seconds: f64) -> Options {
    Options {
        gap: asked.gap.unwrap_or(gap),
        seconds: (asked.time_limit).or(asked.work_limit.is_none().then_some(seconds)),
        work: asked.work_limit,
    }
}

/// Says so where there is no plan at all.
pub fn refused(case: &Case) -> Option<Exit> {
    // Without a limit of work there always is one.
    case.scenario.work.hours_per_week?;
    super::plan::refused(&case.scenario, &candidates::season(&case.scenario))
}

/// Says so where a plan misses a must.
pub fn missed(case: &Case, solved: &Solved) -> Option<Exit> {
    let missed = verify::missed_musts(&case.scenario, &solved.plan);
    let first = missed.first()?;
    eprintln!(
        "no plan for {} was found that keeps every must: {first}",
        case.label
    );
    eprintln!(
        "  help: `plan {}` says whether there is one, and what clashes",
        case.file
    );
    Some(Exit::NoPlan)
}

/// Whether the plan holds, by the scenario alone; an internal fault otherwise.
pub fn check(case: &Case, solved: &Solved) -> Result<(), Vec<String>> {
    let violations = verify::verify(&case.scenario, &solved.plan);
    if violations.is_empty() {
        Ok(())
    } else {
        let label = format!("{}:", case.label);
        Err(std::iter::once(label)
            .chain(violations.iter().map(ToString::to_string))
            .collect())
    }
}

/// Lines of progress of several searches, each with its label and a clock of its own.
pub struct Several<'r> {
    pub reporter: &'r Reporter,
    pub quiet: bool,
}

impl Watches for Several<'_> {
    fn of(&self, label: &str) -> Box<dyn Watch + '_> {
        Box::new(One {
            reporter: self.reporter,
            quiet: self.quiet,
            label: label.chars().take(LABEL_WIDTH).collect(),
            began: self.reporter.seconds(),
            shown: Mutex::new((f64::NEG_INFINITY, None)),
        })
    }
}

struct One<'r> {
    reporter: &'r Reporter,
    quiet: bool,
    label: String,
    began: f64,
    shown: Mutex<(f64, Option<Progress>)>,
}

impl Watch for One<'_> {
    fn seconds(&self) -> f64 {
        self.reporter.seconds() - self.began
    }

    fn interrupted(&self) -> bool {
        self.reporter.interrupted()
    }

    fn progress(&self, progress: Progress) {
        let now = self.seconds();
        let Ok(mut shown) = self.shown.lock() else {
            return;
        };
        if self.quiet || now - shown.0 < LINE_SECONDS || shown.1 == Some(progress) {
            return;
        }
        *shown = (now, Some(progress));
        eprintln!("{:<LABEL_WIDTH$} {}", self.label, line(now, &progress));
    }

    fn meanwhile(&self, progress: Progress) {
        self.progress(progress);
    }
}
