//! `check`: reads a scenario and reports every error, without planning anything.

use super::args::CheckArgs;
use super::exit::Exit;
use super::files::to_stdout;
use crate::input::{self, Loaded};
use std::path::Path;

pub fn run(asked: &CheckArgs) -> Result<Exit, String> {
    let scenario = load(&asked.scenario)?.scenario;
    let strips: u32 = scenario.beds.iter().map(|b| b.strips).sum();
    to_stdout(|out| {
        writeln!(
            out,
            "{}: no errors; {} beds with {strips} strips, {} crops, {} foods, {} standing \
             plantings, {} weeks and a tail of {}",
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

/// Reads a scenario; all its errors in one message.
pub fn load(path: &Path) -> Result<Loaded, String> {
    input::load(path).map_err(|errors| errors.to_string())
}
