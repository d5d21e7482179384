//! `worth`: what one more of each thing would be worth.

use super::args::{ResultFormat, WorthArgs};
use super::cases::{Several, check, options, read, refused};
use super::exit::Exit;
use super::files::{OutDir, to_stdout};
use super::plan::fault;
use super::progress::Reporter;
use crate::domain::Scenario;
use crate::explain::{self, Asked, Thing};
use crate::render;
use std::time::Instant;

pub fn run(asked: &WorthArgs, began: Instant) -> Result<Exit, String> {
    let case = read(&asked.scenario, &asked.set)?;
    let things = things(&case.scenario, &asked.only)?;
    let out = asked.out.as_deref().map(OutDir::ready).transpose()?;
    let options = options(&asked.search, case.scenario.solving.gap);
    let reporter = Reporter::new(began, true);
    let several = Several {
        reporter: &reporter,
        quiet: asked.search.quiet,
    };
    if let Some(refused) = refused(&case) {
        return Ok(refused);
    }
    let base = explain::solved(&case, &options, &several);
    let question = Asked {
        things,
        most: asked.more,
        solve: !asked.bound_only,
    };
    let (worth, more) = explain::worth_of_more(&case, &base, &question, &options, &several);
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
