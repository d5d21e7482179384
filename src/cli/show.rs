//! `show`: a plan file in any written form, without solving again.
//!
//! The plan is checked first, as `verify` does: what does not hold is not shown as a plan.

use super::args::ShowArgs;
use super::exit::Exit;
use super::files::OutDir;
use super::forms::{self, Forms};
use super::verify::{faults, opened};
use chrono::{DateTime, Utc};
use std::path::Path;

pub fn run(asked: &ShowArgs) -> Result<Exit, String> {
    let opened = opened(&asked.plan, asked.scenario.as_deref())?;
    let out = asked.out.as_deref().map(OutDir::ready).transpose()?;
    let scenario = &opened.loaded.scenario;
    let faults = faults(&opened);
    if !faults.is_empty() {
        eprintln!(
            "{}: the plan does not hold and is not shown",
            asked.plan.display()
        );
        for fault in faults {
            eprintln!("  {fault}");
        }
        return Ok(Exit::Fault);
    }
    let selection = forms::selection(scenario, &asked.shown)?;
    let looked_at = opened.plan.in_window();
    let forms = Forms {
        scenario,
        plan: &looked_at,
        yaml: &opened.text,
        made: made(&asked.plan).unwrap_or_else(|| forms::timeless(&opened.plan)),
    };
    if let Some(out) = &out {
        forms.write(out)?;
    }
    forms.print(&asked.shown, &selection)?;
    Ok(Exit::Done)
}

/// When the plan file was written.
fn made(file: &Path) -> Option<DateTime<Utc>> {
    let modified = std::fs::metadata(file)
        .and_then(|meta| meta.modified())
        .ok()?;
    Some(modified.into())
}
