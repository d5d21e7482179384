//! `import`: another solver's solution of the exported programme becomes a plan.

use super::args::ImportArgs;
use super::check::{load, load_standing_year};
use super::exit::Exit;
use super::files::OutDir;
use super::forms::{self, Forms};
use super::plan::{finished, refused};
use super::progress::Reporter;
use super::solution;
use super::verify::fingerprint;
use crate::candidates::Season;
use crate::explain;
use crate::plan::About;
use crate::programme::{self, Placed};
use crate::render;
use crate::solve::{self, Answer, Given, Options, Watch};
use crate::strips::{Prices, VarietyRows};
use chrono::Utc;
use std::time::Instant;

/// Share by which two reckonings of one worth may differ.
const ROUNDING: f64 = 1e-6;

pub fn run(asked: &ImportArgs, began: Instant) -> Result<Exit, String> {
    let loaded = match asked.standing_year {
        true => load_standing_year(&asked.scenario)?,
        false => load(&asked.scenario)?,
    };
    let scenario = &loaded.scenario;
    let out = asked.out.as_deref().map(OutDir::ready).transpose()?;
    let selection = forms::selection(scenario, &asked.shown)?;
    let season = explain::binding(scenario);
    if let Some(refused) = refused(scenario, &season) {
        return Ok(refused);
    }
    let (programme, layout) = solution::by_beds(&season);
    let values = solution::read(&asked.solution, &programme)?;
    let reporter = Reporter::new(began, true);
    let placed = programme::placed(&season, &layout, |column| values[column]);
    let answer = placed
        .map_err(|left| {
            let bed = &layout.places[left.place].name;
            match left.proven {
                true => format!("what is counted in {bed} cannot be laid out strip by strip"),
                false => format!("no way was found to lay out {bed} strip by strip"),
            }
        })
        .and_then(|placed| answer(asked, &season, &placed, &reporter));
    let answer = match answer {
        Ok(answer) => answer,
        Err(why) => return Ok(no_plan(asked, &[why])),
    };
    let about = About {
        file: asked.scenario.display().to_string(),
        fingerprint: fingerprint(loaded.digest),
        options: Options {
            gap: scenario.solving.gap,
            seconds: None,
            work: Some(0),
        },
        timeless: asked.timeless,
    };
    let (plan, yaml) = match finished(scenario, &season, &answer, &about) {
        Ok(finished) => finished,
        Err(reasons) => return Ok(no_plan(asked, &reasons)),
    };
    let forms = Forms {
        scenario,
        plan: &plan,
        yaml: &yaml,
        made: match asked.timeless {
            true => forms::timeless(&plan),
            false => Utc::now(),
        },
    };
    if let Some(out) = &out {
        out.replace("plan.yaml", &yaml)?;
        forms.write(out)?;
    }
    forms.print(&asked.shown, &selection)?;
    if !asked.quiet {
        eprintln!("{}", render::ending(&plan));
    }
    Ok(Exit::Done)
}

/// The plan with its food divided as well as can be, and the bound given, or else what is eaten if ground
/// is all that sets limits.
fn answer(
    asked: &ImportArgs,
    season: &Season,
    placed: &Placed,
    watch: &dyn Watch,
) -> Result<Answer, String> {
    let given = Given {
        strips: &placed.strips,
        covers: &placed.covers,
    };
    let answer = solve::evaluate(season, given, watch).ok_or(
        "it takes more shelf, plants or work than there is, or treats what stands in no possible way",
    )?;
    let free = || Prices::zero(season, &VarietyRows::of(season));
    let bound = (asked.bound).unwrap_or_else(|| solve::bound_at(season, &free()));
    if bound < answer.worth - ROUNDING * answer.worth.abs() {
        return Err(format!(
            "it is worth {}, more than the {bound} of --bound",
            answer.worth
        ));
    }
    Ok(Answer { bound, ..answer })
}

fn no_plan(asked: &ImportArgs, reasons: &[String]) -> Exit {
    eprintln!("{}: the solution is no plan", asked.solution.display());
    for reason in reasons {
        eprintln!("  {reason}");
    }
    Exit::Fault
}
