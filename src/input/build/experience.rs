//! What harvest records taught: laid over yields and growth units of the crops in use.

use super::names::{Names, complain};
use crate::domain::{Experience, Scenario};
use crate::input::code::V304;
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;

/// Complains about crops and ways that are not known, and ways listed twice.
pub fn check(records: &[Fields], crops: &Names, crop_records: &[Fields], problems: &mut Problems) {
    let mut seen: Vec<(usize, usize)> = Vec::new();
    for f in records {
        let Some(crop) = crops.find_in(f, "crop", problems) else {
            continue;
        };
        let ways = crop_records[crop].records("ways");
        let ways = Names::new("way", ways.iter().filter_map(|w| w.text("name")));
        if let Some(way) = ways.find_in(f, "way", problems) {
            if seen.contains(&(crop, way)) {
                let message = "this way of harvest is listed before".to_string();
                let help = "put both into one entry";
                complain(f, "way", V304, message, help, problems);
            }
            seen.push((crop, way));
        }
    }
}

/// Corrects the crops in use; what is said of others waits until they are.
pub fn apply(records: &[Fields], scenario: &mut Scenario) {
    for f in records {
        let Some(found) = experience(f, scenario) else {
            continue;
        };
        let way = &mut scenario.crops[found.crop].ways[found.way];
        way.yield_per_m2.low *= found.yield_factor();
        way.yield_per_m2.usual *= found.yield_factor();
        way.yield_per_m2.high *= found.yield_factor();
        way.ready_units *= found.ready_factor();
        scenario.experience.push(found);
    }
    scenario.experience.sort_by_key(|e| (e.crop, e.way));
}

fn experience(f: &Fields, scenario: &Scenario) -> Option<Experience> {
    let (crop, way) = (f.text("crop")?, f.text("way")?);
    let crop = scenario.crops.iter().position(|c| c.name == crop)?;
    let way = (scenario.crops[crop].ways.iter()).position(|w| w.name == way)?;
    Some(Experience {
        crop,
        way,
        yield_ratio: f.number("yield_ratio")?,
        plantings: f.whole("plantings")?,
        records: f.whole("records")?,
        ready_ratio: f.number("ready_ratio")?,
        first_harvests: f.whole("first_harvests")?,
    })
}
