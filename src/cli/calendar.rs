//! `calendar`: what the growth model believes of a scenario's crops, sowing week by sowing week.

use super::args::{CalendarArgs, CalendarFormat};
use super::check::load;
use super::crops::crop;
use super::exit::Exit;
use super::files::to_stdout;
use crate::almanac::almanac;
use crate::domain::{CropId, Scenario};
use crate::render::{almanac_picture, almanac_text, almanac_yaml};

pub fn run(asked: &CalendarArgs) -> Result<Exit, String> {
    let scenario = load(&asked.scenario)?.scenario;
    let almanac = almanac(&scenario, &crops(&scenario, &asked.crop)?);
    let text = match asked.format {
        CalendarFormat::Text => almanac_text(&scenario, &almanac),
        CalendarFormat::Svg => almanac_picture(&scenario, &almanac),
        CalendarFormat::Yaml => almanac_yaml(&scenario, &almanac),
    };
    to_stdout(|out| out.write_all(text.as_bytes()))?;
    Ok(Exit::Done)
}

/// The crops asked for, all of them when none is named; every unknown name in one message.
fn crops(scenario: &Scenario, names: &[String]) -> Result<Vec<CropId>, String> {
    if names.is_empty() {
        return Ok((0..scenario.crops.len()).collect());
    }
    let mut found = Vec::new();
    let mut unknown = Vec::new();
    for name in names {
        match crop("--crop", name, scenario) {
            Ok(crop) => found.push(crop),
            Err(error) => unknown.push(error),
        }
    }
    if unknown.is_empty() {
        Ok(found)
    } else {
        Err(unknown.join("\n"))
    }
}
