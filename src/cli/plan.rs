//! `plan`: solves a scenario, checks the plan, shows it and writes it.

use super::args::{DEFAULT_SECONDS, PlanArgs};
use super::certificate;
use super::check::{load, load_standing_year};
use super::exit::Exit;
use super::files::{OutDir, OutFile};
use super::forms::{self, Forms};
use super::progress::Reporter;
use super::solution;
use super::trace::Trace;
use super::verify::fingerprint;
use crate::candidates::{self, Season};
use crate::domain::{MOST_YEARS, RotationRule, Scenario, YEAR_WEEKS};
use crate::explain::{self, Case, Demand, Kept, Limit, Watches};
use crate::input::Loaded;
use crate::plan::{self, About, Ending, YearPlan};
use crate::render;
use crate::solve::{self, Answer, NoPlan, Options, Progress, Watch};
use crate::strips::Prices;
use crate::verify::{self, Violation};
use chrono::Utc;
use std::path::Path;
use std::time::Instant;

pub fn run(asked: &PlanArgs, began: Instant) -> Result<Exit, String> {
    let loaded = match asked.standing_year {
        true => load_standing_year(&asked.scenario)?,
        false => load(&asked.scenario)?,
    };
    let scenario = &loaded.scenario;
    if asked.standing_year && !asked.quiet {
        say_what_never_comes_back(scenario);
    }
    let options = Options {
        gap: asked.gap.unwrap_or(scenario.solving.gap),
        seconds: (asked.time_limit).or(asked.work_limit.is_none().then_some(DEFAULT_SECONDS)),
        work: asked.work_limit,
    };
    let selection = forms::selection(scenario, &asked.shown)?;
    let outputs = Outputs::ready(asked)?;
    let trace = asked.trace.as_deref().map(Trace::begin).transpose()?;
    let reporter = Reporter::new(began, asked.quiet).traced(trace);
    let season = candidates::season(scenario);
    if let Some(refused) = refused(scenario, &season) {
        return Ok(refused);
    }
    let answer =
        reporter.during(|| answered(&asked.scenario, &loaded, &season, &options, &reporter));
    let (answer, prices) = match answer {
        Ok(answer) => answer,
        Err(refused) => return Ok(refused),
    };
    let about = About {
        file: asked.scenario.display().to_string(),
        fingerprint: fingerprint(loaded.digest),
        options,
        timeless: asked.timeless,
    };
    let (plan, yaml) = match finished(scenario, &season, &answer, &about) {
        Ok(finished) => finished,
        Err(reasons) => return Ok(fault(&reasons)),
    };
    let looked_at = plan.in_window();
    let forms = Forms {
        scenario,
        plan: &looked_at,
        yaml: &yaml,
        made: match asked.timeless {
            true => forms::timeless(&plan),
            false => Utc::now(),
        },
    };
    if let (Some(file), Some(prices)) = (&outputs.certificate, &prices) {
        certificate::write(file, scenario, loaded.digest, &season, prices)?;
    }
    if let Some(out) = &outputs.dir {
        out.replace("plan.yaml", &yaml)?;
        forms.write(out)?;
    }
    forms.print(&asked.shown, &selection)?;
    if let Some(file) = &outputs.solution {
        solution::write(file, &explain::binding(scenario), &answer)?;
    }
    reporter.trace_written()?;
    if !asked.quiet {
        close(asked, &plan);
    }
    Ok(match plan.result.status {
        Ending::Optimal | Ending::WithinGap => Exit::Done,
        Ending::WorkLimit | Ending::TimeLimit | Ending::Interrupted => Exit::Limit,
    })
}

/// Families whose break is longer than a strip of a standing year takes to come round.
fn say_what_never_comes_back(scenario: &Scenario) {
    let years = MOST_YEARS * YEAR_WEEKS;
    for (id, family) in scenario.families.iter().enumerate() {
        let held = (0..scenario.beds.len()).all(|bed| family.rule_in(bed) == RotationRule::Forbid);
        let grown =
            (scenario.crops.iter()).any(|crop| crop.family == id && crop.perennial.is_none());
        if held && grown && family.break_weeks as usize >= years {
            eprintln!(
                "note: {} is not planted: its break of {} weeks is longer than the {MOST_YEARS} years after \
                 which a strip comes round at the latest",
                family.name, family.break_weeks
            );
        }
    }
}

/// Where results go, each tried before the search.
struct Outputs {
    dir: Option<OutDir>,
    certificate: Option<OutFile>,
    solution: Option<OutFile>,
}

impl Outputs {
    /// # Errors
    /// All that cannot be written.
    fn ready(asked: &PlanArgs) -> Result<Outputs, String> {
        let mut faults = Vec::new();
        let outputs = Outputs {
            dir: kept(asked.out.as_deref().map(OutDir::ready), &mut faults),
            certificate: kept(
                (asked.certificate.as_deref()).map(|f| OutFile::ready("--certificate", f)),
                &mut faults,
            ),
            solution: kept(
                (asked.solution.as_deref()).map(|f| OutFile::ready("--solution", f)),
                &mut faults,
            ),
        };
        match faults.is_empty() {
            true => Ok(outputs),
            false => Err(faults.join("\n")),
        }
    }
}

/// What is there; what is wrong goes to the faults.
fn kept<T>(tried: Option<Result<T, String>>, faults: &mut Vec<String>) -> Option<T> {
    tried.and_then(|tried| tried.map_err(|fault| faults.push(fault)).ok())
}

/// The answer of the search, and the prices that its bound rests on. Where musts bind: whether all can
/// be kept is found out first, and a plan that keeps them is where the search begins.
fn answered(
    file: &Path,
    loaded: &Loaded,
    season: &Season,
    options: &Options,
    watch: &dyn Watch,
) -> Result<(Answer, Option<Prices>), Exit> {
    let scenario = &loaded.scenario;
    let case = Case {
        label: scenario.name.clone(),
        file: file.display().to_string(),
        fingerprint: fingerprint(loaded.digest),
        scenario: scenario.clone(),
    };
    let kept = explain::kept(&case, options, &Same(watch));
    let known = match kept {
        Kept::Yes(known) => known,
        Kept::No(clash) => {
            let places = &loaded.places;
            let of_demand = |d: &Demand| places.need(&d.food, d.from).map(String::from);
            let of_limit = |l: &Limit| places.key(&l.key).map(String::from);
            eprint!(
                "{}",
                render::clash(&scenario.name, &clash, of_demand, of_limit)
            );
            return Err(Exit::Impossible);
        }
        Kept::Open => {
            eprintln!(
                "no plan for {}: none was found that keeps every must, and it is not proven that \
                 there is none",
                scenario.name
            );
            eprintln!("  help: give a longer --time-limit, or lower a floor that is a must");
            return Err(Exit::NoPlan);
        }
    };
    let known = known.map(|known| *known);
    let (answer, prices) = explain::solve_keeping(scenario, season, options, watch, known);
    if scenario.musts_bind() && !explain::keeps(scenario, season, &answer) {
        eprintln!(
            "no plan for {}: the best that was found misses a must",
            scenario.name
        );
        eprintln!("  help: give a longer --time-limit, or lower a floor that is a must");
        return Err(Exit::NoPlan);
    }
    Ok((answer, prices))
}

/// One window on the world for every search.
struct Same<'w>(&'w dyn Watch);

impl Watches for Same<'_> {
    fn of(&self, _: &str) -> Box<dyn Watch + '_> {
        Box::new(Still(self.0))
    }
}

/// Tells nothing of worths that are not money.
struct Still<'w>(&'w dyn Watch);

impl Watch for Still<'_> {
    fn seconds(&self) -> f64 {
        self.0.seconds()
    }

    fn interrupted(&self) -> bool {
        self.0.interrupted()
    }

    fn progress(&self, _: Progress) {}
}

/// Says so, and gives the exit code, where there is no plan at all.
pub fn refused(scenario: &Scenario, season: &Season) -> Option<Exit> {
    let none = solve::possible(season).err()?;
    Some(match none {
        NoPlan::TooMuch { from, to, .. } => {
            let (from, to) = (scenario.week(from), scenario.week(to));
            let name = &scenario.name;
            eprintln!("there is no plan for {name}: from {from} to {to} {none}");
            eprintln!("  help: raise work.hours_per_week");
            Exit::Impossible
        }
        NoPlan::OneStrip { .. } => {
            eprintln!("there is no plan for {}: {none}", scenario.name);
            eprintln!("  help: raise work.hours_per_week");
            Exit::Impossible
        }
        NoPlan::NotFound => {
            eprintln!("no plan for {}: {none}", scenario.name);
            eprintln!("  help: raise work.hours_per_week");
            Exit::NoPlan
        }
    })
}

/// The plan and its file, checked as it will be read; or why it does not hold.
pub fn finished(
    scenario: &Scenario,
    season: &Season,
    answer: &Answer,
    about: &About,
) -> Result<(YearPlan, String), Vec<String>> {
    /// The search's own reckoning of the worth and the ledger's agree to this share.
    const TOLERANCE: f64 = 1e-6;
    let yaml = render::write(&plan::build(scenario, season, answer, about));
    let plan = render::read(&yaml).map_err(|error| vec![error])?;
    let mut reasons: Vec<String> = verify::verify(scenario, &plan)
        .iter()
        .map(Violation::to_string)
        .collect();
    let difference = (plan.result.worth - answer.worth).abs();
    if difference.is_nan() || difference > TOLERANCE * answer.worth.abs().max(1.0) {
        reasons.push(format!(
            "the search reckons the plan's worth as {}, its ledger as {}",
            answer.worth, plan.result.worth
        ));
    }
    if reasons.is_empty() {
        Ok((plan, yaml))
    } else {
        Err(reasons)
    }
}

/// Nothing but what is wrong, and that it is a fault of the program.
pub fn fault(reasons: &[String]) -> Exit {
    eprintln!(
        "internal fault of {} {} ({}): the plan does not hold and is not shown",
        env!("CARGO_PKG_NAME"),
        env!("CARGO_PKG_VERSION"),
        std::env::consts::OS
    );
    for reason in reasons {
        eprintln!("  {reason}");
    }
    Exit::Fault
}

/// The closing report.
fn close(asked: &PlanArgs, plan: &YearPlan) {
    let result = &plan.result;
    let seconds = result
        .seconds
        .map_or(String::new(), |s| format!("{s:.1} s, "));
    eprintln!("{}", render::ending(plan));
    eprintln!(
        "{seconds}{} units of work, {} candidate plantings, {} plantings in the plan; violations: none",
        result.work,
        result.candidates,
        plan.plantings.len()
    );
    if let Some(dir) = &asked.out {
        eprintln!("written: {}", dir.join("plan.yaml").display());
        eprintln!("to look at: {}", dir.join("plan.html").display());
    }
}
