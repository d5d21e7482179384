//! `check`: reads a scenario and reports every error, and what cannot be grown in it, without planning
//! anything.

use super::args::CheckArgs;
use super::exit::Exit;
use super::files::to_stdout;
use crate::almanac;
use crate::candidates::spent;
use crate::domain::is_southern;
use crate::input::{self, Loaded};
use crate::render::{self, Warning};
use std::path::Path;

pub fn run(asked: &CheckArgs) -> Result<Exit, String> {
    let loaded = load(&asked.scenario)?;
    let warnings = warnings(&loaded);
    for warning in &warnings {
        let place = loaded.places.key(&warning.key).unwrap_or_default();
        eprintln!(
            "warning: {}: {}\n  at {place}\n  help: {}\n",
            warning.key, warning.message, warning.help
        );
    }
    let warned = match warnings.len() {
        0 => String::new(),
        1 => ", 1 warning".into(),
        n => format!(", {n} warnings"),
    };
    let scenario = loaded.scenario;
    let turned = match is_southern(scenario.climate.latitude_deg) {
        true => {
            "; south of the equator, so the weeks of the shipped models count half a year later"
        }
        false => "",
    };
    let strips: u32 = scenario.beds.iter().map(|b| b.strips).sum();
    to_stdout(|out| {
        writeln!(
            out,
            "{}: no errors{warned}; {} beds with {strips} strips, {} crops, {} foods, {} standing \
             plantings, {} weeks and a tail of {}{turned}",
            asked.scenario.display(),
            scenario.beds.len(),
            scenario.crops.len(),
            scenario.foods.len(),
            scenario.standing.len(),
            scenario.weeks,
            scenario.tail
        )
    })?;
    Ok(Exit::Done)
}

/// What of the needs and of the crops listed cannot be had or grown on the holding.
fn warnings(loaded: &Loaded) -> Vec<Warning> {
    let scenario = &loaded.scenario;
    let lists = |crop: &str| loaded.places.gives(&format!("crops_used.{crop}"));
    let hopeless = almanac::hopeless(scenario);
    let spent: Vec<_> = (spent(scenario).iter())
        .map(|it| (it.standing, it.to_string()))
        .collect();
    render::warnings(scenario, &hopeless, &spent, lists)
}

/// Reads a scenario and makes its standing year of it.
pub fn load_standing_year(path: &Path) -> Result<Loaded, String> {
    let mut loaded = load(path)?;
    loaded.scenario = (loaded.scenario.standing_year()).map_err(|why| {
        format!(
            "error: {}: there is no standing year: {why}\n  help: raise weeks or tail",
            path.display()
        )
    })?;
    Ok(loaded)
}

/// Reads a scenario; all its errors in one message.
pub fn load(path: &Path) -> Result<Loaded, String> {
    input::load(path).map_err(|errors| errors.to_string())
}
