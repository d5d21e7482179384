//! `verify`: checks a plan file against its scenario.

use super::args::VerifyArgs;
use super::certificate::{self, Shown};
use super::check::{load, load_standing_year};
use super::exit::Exit;
use super::files::{read_text, to_stdout, unusable};
use super::life::lived;
use super::named::meant;
use crate::input::{self, Loaded, Places};
use crate::plan::YearPlan;
use crate::{render, verify};
use std::path::{Path, PathBuf};

/// Largest plan file, bytes (estimate: a plan for a thousand beds takes a tenth of it).
const MAX_BYTES: u64 = 200_000_000;

pub fn run(asked: &VerifyArgs) -> Result<Exit, String> {
    let opened = opened(&asked.plan, asked.scenario.as_deref())?;
    let sentences = faults(&opened);
    let plan = &opened.plan;
    if sentences.is_empty() {
        let shown = match &asked.certificate {
            Some(file) => Some(certificate::recompute(file, &opened)?),
            None => None,
        };
        to_stdout(|out| {
            writeln!(
                out,
                "{}: the plan holds; {} plantings, worth {:.2} {}, gap {:.2} %",
                asked.plan.display(),
                plan.plantings.len(),
                plan.result.worth,
                plan.scenario.currency,
                plan.result.gap * 100.0
            )
        })?;
        return match (&asked.certificate, shown) {
            (Some(file), Some(shown)) => say(file, plan, &shown),
            _ => Ok(Exit::Done),
        };
    }
    eprintln!("{}: the plan does not hold", asked.plan.display());
    to_stdout(|out| sentences.iter().try_for_each(|s| writeln!(out, "{s}")))?;
    Ok(Exit::Fault)
}

/// Says what a certificate shows.
fn say(file: &Path, plan: &YearPlan, shown: &Shown) -> Result<Exit, String> {
    let file = file.display();
    let currency = &plan.scenario.currency;
    let (bound, whole) = match shown {
        Shown::Bound { bound, whole } => (*bound, *whole),
        Shown::Nothing(why) => {
            eprintln!("{file}: the certificate does not hold");
            to_stdout(|out| writeln!(out, "{why}"))?;
            return Ok(Exit::Fault);
        }
    };
    let gap = (bound - plan.result.worth).max(0.0) / bound.abs().max(f64::MIN_POSITIVE) * 100.0;
    to_stdout(|out| {
        writeln!(
            out,
            "{file}: the certificate holds; no plan is worth more than {bound:.6} {currency}, this one \
             is within {gap:.2} % of it"
        )?;
        if !whole {
            writeln!(
                out,
                "the plan's own bound of {:.6} {currency} is lower: it rests on the exact search of small \
                 holdings, which no certificate shows",
                plan.result.bound
            )?;
        }
        Ok(())
    })?;
    Ok(Exit::Done)
}

/// A plan file with its scenario.
pub struct Opened {
    pub plan: YearPlan,
    /// The plan file's text.
    pub text: String,
    pub loaded: Loaded,
    /// The scenario's file.
    pub file: PathBuf,
}

/// Reads a plan file, and the scenario that is named or else the one the plan names.
pub fn opened(plan_file: &Path, scenario: Option<&Path>) -> Result<Opened, String> {
    let (plan, text) = read_with_text(plan_file)?;
    // A plan that carries another one on is for the scenario as it stood then.
    if plan.life.is_some() {
        let lived = lived(plan_file, scenario)?;
        return Ok(Opened {
            file: PathBuf::from(&plan.scenario.file),
            loaded: Loaded {
                digest: input::digest(&lived.scenario),
                scenario: lived.scenario,
                places: Places::default(),
            },
            plan,
            text,
        });
    }
    let file = match scenario {
        Some(file) => file.to_path_buf(),
        None => scenario_of(plan_file, &plan)?,
    };
    let loaded = match plan.standing_year {
        Some(_) => load_standing_year(&file)?,
        None => load(&file)?,
    };
    Ok(Opened {
        plan,
        text,
        loaded,
        file,
    })
}

/// Refuses a standing year where a plan has to have a beginning.
pub fn has_beginning(plan_file: &Path, plan: &YearPlan) -> Result<(), String> {
    match plan.standing_year {
        None => Ok(()),
        Some(_) => Err(format!(
            "error: {}: it is a standing year, which has no beginning and no day to look at it from\n  \
             help: plan the scenario without --standing-year, and give that plan",
            plan_file.display()
        )),
    }
}

/// Why the plan does not hold, a sentence each.
pub fn faults(opened: &Opened) -> Vec<String> {
    let Opened {
        plan, loaded, file, ..
    } = opened;
    let mut sentences: Vec<String> = Vec::new();
    if plan.scenario.fingerprint != fingerprint(loaded.digest) {
        sentences.push(format!(
            "the plan was made for another scenario than {} (or for other models): its \
             fingerprint is {}, not {}",
            file.display(),
            fingerprint(loaded.digest),
            plan.scenario.fingerprint
        ));
    }
    let violations = verify::verify(&loaded.scenario, plan);
    sentences.extend(violations.iter().map(ToString::to_string));
    sentences.extend(verify::missed_musts(&loaded.scenario, plan));
    sentences
}

/// The fingerprint as written in plans.
pub fn fingerprint(digest: u64) -> String {
    format!("{digest:016x}")
}

/// Reads a plan file.
pub fn read(path: &Path) -> Result<YearPlan, String> {
    Ok(read_with_text(path)?.0)
}

/// Reads a plan file and keeps its text.
fn read_with_text(path: &Path) -> Result<(YearPlan, String), String> {
    let text = read_text(path, MAX_BYTES)?;
    let plan = render::read(&text).map_err(|what| unusable(path, &what))?;
    Ok((plan, text))
}

/// The scenario file that the plan names.
pub fn scenario_of(plan_file: &Path, plan: &YearPlan) -> Result<PathBuf, String> {
    let found = meant(plan_file, &plan.scenario.file).into_iter().next();
    found.ok_or_else(|| {
        format!(
            "error: {}: its scenario {} is not here\n  help: name it with --scenario FILE",
            plan_file.display(),
            plan.scenario.file
        )
    })
}
