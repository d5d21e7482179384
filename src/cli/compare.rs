//! `compare`: scenarios and variants of one side by side.

use super::args::{CompareArgs, DEFAULT_SECONDS, ResultFormat};
use super::cases::{Several, check, missed, options, read, refused};
use super::exit::Exit;
use super::files::{OutDir, to_stdout};
use super::plan::fault;
use super::progress::Reporter;
use crate::domain::Scenario;
use crate::explain::{self, Case, Comparison, Solved};
use crate::plan::{Ending, YearPlan};
use crate::render::{self, Selection};
use std::time::Instant;

pub fn run(asked: &CompareArgs, began: Instant) -> Result<Exit, String> {
    if asked.variants.is_empty() && asked.set.is_empty() {
        return Err("error: there is nothing to compare with\n  \
                    help: name a variant or another scenario, or change something with --set"
            .into());
    }
    let cases = cases(asked)?;
    let out = asked.out.as_deref().map(OutDir::ready).transpose()?;
    let options = options(
        &asked.search,
        cases[0].scenario.solving.gap,
        DEFAULT_SECONDS,
    );
    let reporter = Reporter::new(began, true);
    if let Some(refused) = cases.iter().find_map(refused) {
        return Ok(refused);
    }
    let several = Several {
        reporter: &reporter,
        quiet: asked.search.quiet,
    };
    let sides = explain::solve_all(&cases, &options, asked.decide, &several);
    let mut faults = Vec::new();
    for (case, side) in cases.iter().zip(&sides) {
        faults.extend(check(case, side).err().unwrap_or_default());
    }
    if !faults.is_empty() {
        return Ok(fault(&faults));
    }
    if let Some(missed) = (cases.iter().zip(&sides)).find_map(|(case, side)| missed(case, side)) {
        return Ok(missed);
    }
    let comparison = explain::compare(&cases, &sides, asked.decide);
    let (text, yaml) = (render::comparison(&comparison), render::plain(&comparison));
    if let Some(out) = &out {
        write(out, &comparison, &cases, &sides)?;
        out.replace("compare.yaml", &yaml)?;
        out.replace("compare.txt", &text)?;
    }
    let text = match asked.format {
        ResultFormat::Text => text,
        ResultFormat::Yaml => yaml,
    };
    to_stdout(|out| out.write_all(text.as_bytes()))?;
    let reached = |ending| matches!(ending, Ending::Optimal | Ending::WithinGap);
    Ok(if comparison.sides.iter().all(|s| reached(s.ending)) {
        Exit::Done
    } else {
        Exit::Limit
    })
}

/// The page of the comparison, with plan and page of each side beside it.
fn write(
    out: &OutDir,
    comparison: &Comparison,
    cases: &[Case],
    sides: &[Solved],
) -> Result<(), String> {
    let all = Selection::default();
    let years: Vec<(&Scenario, &YearPlan)> = (cases.iter().zip(sides))
        .map(|(case, side)| (&case.scenario, &side.plan))
        .collect();
    let mut pages = Vec::new();
    for (i, (scenario, plan)) in years.iter().enumerate() {
        let name = format!("side-{}", i + 1);
        out.replace(&format!("{name}.yaml"), &render::write(plan))?;
        let page = format!("{name}.html");
        out.replace(&page, &render::page(scenario, plan, &all))?;
        pages.push(page);
    }
    let page = render::comparison_page(comparison, &years, &pages);
    out.replace("compare.html", &page)
}

/// The base, the variants, and the base with what `--set` changes, with labels told apart.
fn cases(asked: &CompareArgs) -> Result<Vec<Case>, String> {
    let mut problems = Vec::new();
    let mut cases = Vec::new();
    let mut add = |case: Result<Case, String>| match case {
        Ok(case) => cases.push(case),
        Err(problem) => problems.push(problem),
    };
    add(read(&asked.base, &[]));
    for variant in &asked.variants {
        add(read(variant, &[]));
    }
    if !asked.set.is_empty() {
        add(read(&asked.base, &asked.set).map(|case| Case {
            label: asked.set.join(", "),
            ..case
        }));
    }
    if !problems.is_empty() {
        return Err(problems.join("\n"));
    }
    let labels: Vec<String> = cases.iter().map(|c| c.label.clone()).collect();
    for (i, case) in cases.iter_mut().enumerate() {
        let earlier = labels[..i].iter().filter(|l| **l == case.label).count();
        if earlier > 0 {
            case.label = format!("{} ({})", case.label, earlier + 1);
        }
    }
    Ok(cases)
}
