//! `replan`: carries a plan on from a later day: repaired, left as it is, and freely redrawn.

use super::args::{ReplanArgs, ResultFormat};
use super::cases::options;
use super::certificate;
use super::exit::Exit;
use super::files::{OutDir, OutFile, to_stdout};
use super::forms::{self, Forms};
use super::life::{Lived, file_ref, first_week, lived, load_for, read_events};
use super::plan::{fault, finished, refused};
use super::progress::Reporter;
use super::verify::fingerprint;
use crate::candidates::{self, Season};
use crate::domain::{Diary, Scenario};
use crate::explain::{self, ThreeAnswers};
use crate::plan::{About, Ending, Life, YearPlan};
use crate::repair::{self, Answers, CarriedOn, Replan};
use crate::solve::Answer;
use crate::{input, render};
use chrono::{NaiveDate, Utc};
use std::collections::BTreeSet;
use std::path::Path;
use std::time::Instant;

/// Clock limit of the search for a repair when none is given, seconds.
const SECONDS: f64 = 15.0;

pub fn run(asked: &ReplanArgs, began: Instant) -> Result<Exit, String> {
    let lived = lived(&asked.plan, None)?;
    if !lived.as_made && asked.scenario.is_none() {
        eprintln!(
            "note: the scenario (or the models) have changed since {} was made; it is carried on \
             with what they say now",
            asked.plan.display()
        );
    }
    keeps_what_it_needs(asked, &lived)?;
    let base = match &asked.scenario {
        Some(file) => load_for(file, &lived.plan)?.scenario,
        None => lived.scenario.clone(),
    };
    let diary = match &asked.events {
        Some(file) => read_events(file, &base, &lived, asked.from)?,
        None => Diary::default(),
    };
    let (out, proof) = outputs(asked)?;
    let nothing = diary.events.is_empty() && diary.harvests.is_empty();
    if nothing && asked.scenario.is_none() && lived.as_made {
        return unchanged(asked, out.as_ref(), &diary);
    }
    let date = first_week(asked.from);
    let carried = repair::carry_on(&lived.scenario, &lived.plan, &base, &diary, date)
        .map_err(|e| format!("error: {}: {e}", asked.plan.display()))?;
    let options = options(&asked.search, base.solving.gap, SECONDS);
    let reporter = Reporter::new(began, asked.search.quiet);
    let season = candidates::season(&carried.scenario);
    if let Some(refused) = refused(&carried.scenario, &season) {
        return Ok(refused);
    }
    let searched = reporter.during(|| {
        explain::three_answers(&carried.scenario, season, &lived.plan, &options, &reporter)
    });
    let about = |scenario: &Scenario| About {
        file: match &asked.scenario {
            Some(file) => file.display().to_string(),
            None => lived.plan.scenario.file.clone(),
        },
        fingerprint: fingerprint(input::digest(scenario)),
        options,
        timeless: asked.timeless,
    };
    let made = |scenario: &Scenario, season: &Season, answer: &Answer| {
        finished(scenario, season, answer, &about(scenario)).map(|(plan, _)| plan)
    };
    let free = &searched.free;
    let mut faults: Vec<String> = Vec::new();
    let mut keep = |plan: Result<YearPlan, Vec<String>>| match plan {
        Ok(plan) => Some(plan),
        Err(reasons) => {
            faults.extend(reasons);
            None
        }
    };
    let repaired = keep(made(
        &carried.scenario,
        &searched.season,
        &searched.repaired,
    ));
    let as_it_is = (searched.as_it_is.as_ref())
        .and_then(|answer| keep(made(&carried.scenario, &searched.season, answer)));
    let redrawn = keep(made(free, &searched.free_season, &searched.redrawn));
    let (Some(mut repaired), Some(redrawn), true) = (repaired, redrawn, faults.is_empty()) else {
        return Ok(fault(&faults));
    };
    repair::renumber(&mut repaired, &carried, lived.highest);
    repaired.life = Some(life(asked, out.as_ref(), &diary, &repaired)?);
    let mut replan = tell(
        &lived,
        &carried,
        &searched,
        &diary,
        [Some(&repaired), as_it_is.as_ref(), Some(&redrawn)],
    );
    if let Some(file) = &asked.scenario {
        replan.notes.extend(forgotten(&lived, &base, file));
    }
    if let Some(file) = &proof {
        certified(file, &carried.scenario, &searched)?;
    }
    let text = render::replanned(&replan);
    let yaml = render::write(&repaired);
    if let Some(out) = &out {
        out.replace("plan.yaml", &yaml)?;
        out.replace("replan.yaml", &render::plain(&replan))?;
        out.replace("replan.txt", &text)?;
        let forms = Forms {
            scenario: &carried.scenario,
            plan: &repaired,
            yaml: &yaml,
            made: match asked.timeless {
                true => forms::timeless(&repaired),
                false => Utc::now(),
            },
        };
        forms.write(out)?;
        let before = (&lived.scenario, &lived.plan);
        let after = (&carried.scenario, &repaired);
        let page = render::repair_page(&replan, before, after, true);
        out.replace("replan.html", &page)?;
        if !carried.scenario.experience.is_empty() {
            out.replace("experience.yaml", &render::experience(&carried.scenario))?;
        }
    }
    to_stdout(|stdout| {
        let shown = match asked.format {
            ResultFormat::Text => text,
            ResultFormat::Yaml => render::plain(&replan),
        };
        stdout.write_all(shown.as_bytes())
    })?;
    if !asked.search.quiet {
        eprintln!("{}", render::ending(&repaired));
    }
    Ok(match repaired.result.status {
        Ending::Optimal | Ending::WithinGap => Exit::Done,
        Ending::WorkLimit | Ending::TimeLimit | Ending::Interrupted => Exit::Limit,
    })
}

/// Where results go, each tried before the search.
fn outputs(asked: &ReplanArgs) -> Result<(Option<OutDir>, Option<OutFile>), String> {
    let out = asked.out.as_deref().map(OutDir::ready).transpose();
    let proof = (asked.certificate.as_deref())
        .map(|file| OutFile::ready("--certificate", file))
        .transpose();
    match (out, proof) {
        (Ok(out), Ok(proof)) => Ok((out, proof)),
        (Err(one), Err(other)) => Err(format!("{one}\n{other}")),
        (Err(fault), Ok(_)) | (Ok(_), Err(fault)) => Err(fault),
    }
}

/// Writes the prices that the repair's bound rests on.
fn certified(file: &OutFile, scenario: &Scenario, searched: &ThreeAnswers) -> Result<(), String> {
    match &searched.prices {
        Some(prices) => {
            let digest = input::digest(scenario);
            certificate::write(file, scenario, digest, &searched.season, prices)?;
        }
        None => eprintln!(
            "note: {} is not written: the search was cut short before it had any prices",
            file.path().display()
        ),
    }
    Ok(())
}

/// The files that a new plan names must outlast it.
fn keeps_what_it_needs(asked: &ReplanArgs, lived: &Lived) -> Result<(), String> {
    let Some(dir) = &asked.out else { return Ok(()) };
    let Ok(target) = dir.join("plan.yaml").canonicalize() else {
        return Ok(());
    };
    let mut needed = lived.before.iter().map(|(path, _)| path);
    let mut needed = needed.by_ref().chain([&lived.path]).chain(&asked.events);
    if needed.any(|path| path.canonicalize().is_ok_and(|path| path == target)) {
        return Err(format!(
            "error: --out {}: plan.yaml there is a plan that the new one carries on\n  \
             help: name another directory, so that the old plan is kept",
            dir.display()
        ));
    }
    Ok(())
}

/// Nothing has happened that the plan does not know: it stands, byte by byte.
fn unchanged(asked: &ReplanArgs, out: Option<&OutDir>, diary: &Diary) -> Result<Exit, String> {
    let text = std::fs::read_to_string(&asked.plan)
        .map_err(|e| format!("error: {}: cannot be read: {e}", asked.plan.display()))?;
    if let Some(out) = out {
        out.replace("plan.yaml", &text)?;
    }
    if let Some(file) = &asked.certificate {
        eprintln!(
            "note: {} is not written: nothing was sought; the certificate of the plan itself still holds",
            file.display()
        );
    }
    to_stdout(|stdout| {
        writeln!(
            stdout,
            "{}: nothing has happened that the plan does not know ({} events and records known); \
             it stands as it is",
            asked.plan.display(),
            diary.known
        )
    })?;
    Ok(Exit::Done)
}

/// Where the new plan comes from. The events are kept beside it: the file they were read from may
/// grow.
fn life(
    asked: &ReplanArgs,
    out: Option<&OutDir>,
    diary: &Diary,
    plan: &YearPlan,
) -> Result<Life, String> {
    const NAME: &str = "events.yaml";
    let mut events_file = asked.events.as_deref().map(file_ref).transpose()?;
    if let (Some(file), Some(out), Some(dir), Some(kept)) =
        (&asked.events, out, &asked.out, &mut events_file)
    {
        let text = std::fs::read_to_string(file)
            .map_err(|e| format!("error: {}: cannot be read: {e}", file.display()))?;
        out.replace(NAME, &text)?;
        kept.file = dir.join(NAME).display().to_string();
    }
    Ok(Life {
        parent: file_ref(&asked.plan)?,
        events_file,
        day: asked.from.to_string(),
        events: diary.events.iter().map(|e| e.sentence.clone()).collect(),
        records: diary.harvests.len(),
        edited_scenario: asked.scenario.as_ref().map(|f| f.display().to_string()),
        changes: repair::changed(plan),
    })
}

fn tell(
    lived: &Lived,
    carried: &CarriedOn,
    searched: &ThreeAnswers,
    diary: &Diary,
    plans: [Option<&YearPlan>; 3],
) -> Replan {
    let [Some(repaired), as_it_is, Some(redrawn)] = plans else {
        unreachable!("both searches give a plan");
    };
    let answers = Answers {
        repaired,
        as_it_is,
        redrawn,
    };
    let (lines, lost, jobs) = repair::compare(&lived.plan, &carried.scenario, &answers);
    let mut notes = carried.notes.clone();
    notes.extend(searched.decided.left_out.iter().cloned());
    if as_it_is.is_none() {
        notes.push("left as it is, the plan needs more work or shelf than there is".into());
    }
    notes.extend(missed_musts(&carried.scenario, repaired));
    Replan {
        name: carried.scenario.name.clone(),
        currency: carried.scenario.currency.clone(),
        from: carried.scenario.start,
        events: diary.events.iter().map(|e| e.sentence.clone()).collect(),
        records: diary.harvests.len(),
        known: diary.known,
        answers: lines,
        lost,
        jobs,
        notes,
        learned: carried.learned.clone(),
    }
}

/// What earlier plans knew and an edited scenario says anew, a sentence for each: it may have been made of one that did
/// not know of it.
fn forgotten(lived: &Lived, edited: &Scenario, file: &Path) -> Vec<String> {
    const SAID_BY_SCENARIOS: [&str; 3] = ["cover broken", "cover bought", "need"];
    let file = file.display();
    let mut notes = Vec::new();
    for event in &lived.known {
        let what = event.split_once(' ').map_or("", |(_, what)| what);
        if SAID_BY_SCENARIOS.iter().any(|kind| what.starts_with(kind)) {
            notes.push(format!(
                "{event}: covers and needs are those of {file} now, see that it says so"
            ));
        }
    }
    let known = |scenario: &Scenario| -> BTreeSet<String> {
        let crops = scenario.experience.iter();
        crops.map(|e| scenario.crops[e.crop].name.clone()).collect()
    };
    let still = known(edited);
    let lost: Vec<String> = (known(&lived.scenario).into_iter())
        .filter(|crop| !still.contains(crop))
        .collect();
    if !lost.is_empty() {
        let list = lost.join(", ");
        notes.push(format!(
            "what earlier records taught of {list} is left out: copy experience.yaml into {file} to keep it"
        ));
    }
    notes
}

/// The musts that the repaired plan misses, a sentence for each food.
fn missed_musts(scenario: &Scenario, plan: &YearPlan) -> Vec<String> {
    /// Amounts below this are none, units of a food.
    const CRUMB: f64 = 1e-6;
    let mut notes = Vec::new();
    for (food, supply) in scenario.foods.iter().zip(&plan.supply) {
        let weeks = supply.weeks.iter().zip(&food.must);
        let missed: Vec<String> = weeks
            .filter(|(week, must)| **must && week.short > CRUMB)
            .map(|(week, _)| week.week.of_year().to_string())
            .collect();
        if !missed.is_empty() {
            notes.push(format!(
                "the floor of {} is a must, and no repair was found that keeps it in {}",
                food.name,
                missed.join(", ")
            ));
        }
    }
    notes
}

/// A day on the command line.
pub fn day(text: &str) -> Result<NaiveDate, String> {
    input::events::day(text).ok_or_else(|| {
        "give a date such as 2026-10-26, or an ISO week, which counts as its Monday".into()
    })
}
