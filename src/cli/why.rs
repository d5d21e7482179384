//! `why`: why a food is short in a week of a plan, why a crop is not grown.

use super::args::{ResultFormat, WhyArgs};
use super::cases::{Several, check, options};
use super::crops;
use super::exit::Exit;
use super::files::to_stdout;
use super::plan::fault;
use super::progress::Reporter;
use super::verify::{fingerprint, has_beginning, opened};
use crate::domain::Scenario;
use crate::explain::{self, Case, Not, Short, WhyNot, WhyShort};
use crate::input::advice;
use crate::plan::{SupplyWeek, YearPlan};
use crate::render;
use crate::units::{Week, WeekOfYear};
use std::time::Instant;

/// An answer of either kind.
enum Answer {
    Short(WhyShort),
    Not(WhyNot),
}

/// Limit of each search where none is asked for, seconds: what is asked for is priced so high that it is had
/// soon if at all (estimate).
const SECONDS: f64 = 15.0;

pub fn run(asked: &WhyArgs, began: Instant) -> Result<Exit, String> {
    // A plan that carries another one on is for the scenario as it stood then.
    let opened = opened(&asked.plan, asked.scenario.as_deref())?;
    has_beginning(&asked.plan, &opened.plan)?;
    let (plan, file) = (opened.plan, opened.file);
    let case = Case {
        label: opened.loaded.scenario.name.clone(),
        file: file.display().to_string(),
        fingerprint: fingerprint(opened.loaded.digest),
        scenario: opened.loaded.scenario,
    };
    if plan.scenario.fingerprint != case.fingerprint {
        return Err(format!(
            "error: {}: made for another scenario than {} (or for other models)\n  \
             help: plan again, or name its scenario with --scenario FILE",
            asked.plan.display(),
            file.display()
        ));
    }
    let limits = options(&asked.search, case.scenario.solving.gap, SECONDS);
    let limits = (!asked.look_only).then_some(&limits);
    let reporter = Reporter::new(began, true);
    let several = Several {
        reporter: &reporter,
        quiet: asked.search.quiet,
    };
    let (answer, found) = match (&asked.short, &asked.not) {
        (Some(food), _) => {
            let short = short(&case, &plan, food, asked.week.as_deref())?;
            let (why, found) = explain::why_short(&case, &plan, short, limits, &several);
            (Answer::Short(why), found)
        }
        (None, Some(crop)) => {
            let not = not(&case, crop, asked)?;
            let (why, found) = explain::why_not(&case, &plan, not, limits, &several);
            (Answer::Not(why), found)
        }
        (None, None) => unreachable!("one of the two is asked for by the arguments"),
    };
    let mut faults = Vec::new();
    for (case, solved) in &found {
        faults.extend(check(case, solved).err().unwrap_or_default());
    }
    if !faults.is_empty() {
        return Ok(fault(&faults));
    }
    let text = match (&answer, asked.format) {
        (Answer::Short(why), ResultFormat::Text) => render::why_short(why),
        (Answer::Short(why), ResultFormat::Yaml) => render::plain(why),
        (Answer::Not(why), ResultFormat::Text) => render::why_not(why),
        (Answer::Not(why), ResultFormat::Yaml) => render::plain(why),
    };
    to_stdout(|out| out.write_all(text.as_bytes()))?;
    Ok(Exit::Done)
}

fn short(case: &Case, plan: &YearPlan, food: &str, week: Option<&str>) -> Result<Short, String> {
    let scenario = &case.scenario;
    let names = scenario.foods.iter().map(|f| f.name.as_str());
    let food = named("--short", "food", food, names)?;
    let week = match week {
        Some(text) => index(scenario, text)?,
        None => {
            let weeks = &plan.supply[food].weeks;
            let worst = most_missing(weeks, |week| week.short)
                .or_else(|| most_missing(weeks, |week| week.wish - week.eaten));
            worst.ok_or(
                "error: --short: the food's floors and wishes are met in every week\n  \
                 help: name a food that is short",
            )?
        }
    };
    Ok(Short { food, week })
}

/// The first of the weeks with most missing; `None` where nothing is.
fn most_missing(weeks: &[SupplyWeek], missing: impl Fn(&SupplyWeek) -> f64) -> Option<usize> {
    /// Amounts below this are none.
    const NONE: f64 = 1e-6;
    (0..weeks.len())
        .rev()
        .filter(|&w| missing(&weeks[w]) > NONE)
        .max_by(|&a, &b| missing(&weeks[a]).total_cmp(&missing(&weeks[b])))
}

fn not(case: &Case, name: &str, asked: &WhyArgs) -> Result<Not, String> {
    let scenario = &case.scenario;
    let crop = crops::crop("--not", name, scenario)?;
    if !scenario.crops[crop].anew {
        return Err(crops::no_part("--not", name));
    }
    let stands = scenario.standing.iter().any(|s| s.crop == crop);
    if scenario.crops[crop].perennial.is_some() && !stands {
        return Err(crops::for_years("--not", name));
    }
    let bed = match &asked.bed {
        Some(bed) => {
            let names = scenario.beds.iter().map(|b| b.name.as_str());
            Some(named("--bed", "bed", bed, names)?)
        }
        None => None,
    };
    let week = asked
        .week
        .as_deref()
        .map(|w| index(scenario, w))
        .transpose()?;
    Ok(Not {
        crop,
        bed,
        week,
        strips: asked.strips,
    })
}

fn named<'n>(
    option: &str,
    what: &str,
    name: &str,
    names: impl Iterator<Item = &'n str>,
) -> Result<usize, String> {
    let names: Vec<&str> = names.collect();
    names.iter().position(|n| *n == name).ok_or_else(|| {
        format!(
            "error: {option}: the scenario has no {what} \"{name}\"\n  help: {}",
            advice(name, &names)
        )
    })
}

/// The index of a week of the horizon, written `2026-W42`, or `W42` for the first such week.
fn index(scenario: &Scenario, text: &str) -> Result<usize, String> {
    let weeks = || (0..scenario.horizon()).map(|w| scenario.week(w));
    let found = if let Ok(week) = text.parse::<Week>() {
        weeks().position(|w| w == week)
    } else if let Ok(week) = text.parse::<WeekOfYear>() {
        weeks().position(|w| w.of_year() == week)
    } else {
        None
    };
    found.ok_or_else(|| {
        format!(
            "error: --week: \"{text}\" is not a week from {} to {}\n  \
             help: write 2026-W42, or W42 for the first such week of the plan",
            scenario.start,
            scenario.week(scenario.horizon() - 1)
        )
    })
}
