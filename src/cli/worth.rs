//! `worth`: what one more of each thing would be worth.

use super::args::{DEFAULT_SECONDS, ResultFormat, WorthArgs};
use super::cases::{Several, check, missed, options, read, refused};
use super::exit::Exit;
use super::files::{OutDir, to_stdout};
use super::plan::fault;
use super::progress::Reporter;
use super::verify::{has_beginning, read as read_plan};
use crate::domain::Scenario;
use crate::explain::{self, Asked, Thing};
use crate::render;
use std::time::Instant;

pub fn run(asked: &WorthArgs, began: Instant) -> Result<Exit, String> {
    let case = read(&asked.scenario, &asked.set)?;
    let things = things(&case.scenario, &asked.only)?;
    let out = asked.out.as_deref().map(OutDir::ready).transpose()?;
    let options = options(&asked.search, case.scenario.solving.gap, DEFAULT_SECONDS);
    let reporter = Reporter::new(began, true);
    let several = Several {
        reporter: &reporter,
        quiet: asked.search.quiet,
    };
    if let Some(refused) = refused(&case) {
        return Ok(refused);
    }
    let mut base = match &asked.plan {
        None => explain::solved(&case, &options, &several),
        Some(file) => {
            let plan = read_plan(file)?;
            has_beginning(file, &plan)?;
            if plan.scenario.fingerprint != case.fingerprint {
                return Err(format!(
                    "error: {}: made for another scenario than {} (or for other models)\n  \
                     help: plan again, or leave --plan out",
                    file.display(),
                    asked.scenario.display()
                ));
            }
            explain::solved_with(&case, &plan, &options, &several)
        }
    };
    if let Some(missed) = missed(&case, &base) {
        return Ok(missed);
    }
    let question = Asked {
        things,
        most: asked.more,
        solve: !asked.bound_only,
    };
    let (worth, more) = explain::worth_of_more(&case, &mut base, &question, &options, &several);
    let mut faults = check(&case, &base).err().unwrap_or_default();
    for (case, solved) in &more {
        faults.extend(check(case, solved).err().unwrap_or_default());
    }
    if !faults.is_empty() {
        return Ok(fault(&faults));
    }
    let (text, yaml) = (render::worth_of_more(&worth), render::plain(&worth));
    if let Some(out) = &out {
        out.replace("worth.html", &render::worth_page(&worth))?;
        out.replace("worth.yaml", &yaml)?;
        out.replace("worth.txt", &text)?;
    }
    let text = match asked.format {
        ResultFormat::Text => text,
        ResultFormat::Yaml => yaml,
    };
    to_stdout(|out| out.write_all(text.as_bytes()))?;
    Ok(Exit::Done)
}

/// The things asked about: all, or those named.
fn things(scenario: &Scenario, only: &[String]) -> Result<Vec<Thing>, String> {
    let all = Thing::all(scenario);
    if only.is_empty() {
        return Ok(all);
    }
    let names: Vec<String> = all.iter().map(|t| t.name(scenario)).collect();
    let mut chosen = Vec::new();
    for name in only {
        match names.iter().position(|n| n == name) {
            Some(index) => chosen.push(all[index]),
            None => {
                let known: Vec<&str> = names.iter().map(String::as_str).collect();
                return Err(format!(
                    "error: --only: there is nothing called \"{name}\" to have more of\n  help: {}",
                    crate::input::advice(name, &known)
                ));
            }
        }
    }
    Ok(chosen)
}
