//! Crops that are named on the command line.

use crate::domain::{CropId, Scenario};
use crate::input::{advice, ships_crop};

/// The scenario's crop of that name.
///
/// # Errors
/// There is none, or it takes no part in this scenario.
pub fn crop(option: &str, name: &str, scenario: &Scenario) -> Result<CropId, String> {
    let known: Vec<&str> = scenario.crops.iter().map(|c| c.name.as_str()).collect();
    let found = known.iter().position(|crop| *crop == name);
    found.ok_or_else(|| match ships_crop(name) {
        true => no_part(option, name),
        false => format!(
            "error: {option}: the scenario has no crop {name:?}\n  help: {}",
            advice(name, &known)
        ),
    })
}

/// Of a crop that stands for years, of which nothing stands.
pub fn for_years(option: &str, name: &str) -> String {
    format!(
        "error: {option}: {name} stands for years, and a plan plants none of it anew\n  help: plant it yourself, \
         record that as an event (what: planted), and the plan carried on keeps it"
    )
}

/// Of a crop of which nothing new is planned.
pub fn no_part(option: &str, name: &str) -> String {
    format!(
        "error: {option}: {name} takes no part in this scenario\n  help: add a need for what it gives, and \
         list it in crops_used if there is such a list"
    )
}
