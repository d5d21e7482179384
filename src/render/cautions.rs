//! The usual cautions for what a plan or a calendar grows and uses; every written form shows the
//! same ones, each once.

use crate::domain::{Crop, Scenario, Setting};
use crate::plan::YearPlan;
use std::collections::BTreeMap;

/// Said below every list of cautions.
pub const DEFERENCE: &str =
    "Follow the label, local rules and qualified advice: they come before anything said here.";

/// Source: advice on tetanus for gardeners, CIPHE; leaflets on lead in garden soil (US EPA's bands),
/// which disagree on figures from land to land, so none is given.
const SOIL: &str = "Ground near old paint, roads, works or tips may hold lead and other poisons: have \
                    it tested before leaves and roots are grown in it. Keep tetanus vaccination \
                    current, and wash hands and harvest.";
/// Source: advice on compost and legionella, CIPHE; in part from memory.
const COMPOST: &str = "Open bags of compost away from the face, in moving air; damp it down rather than \
                       raise dust, and wash hands.";
/// General prudence; no official page was found.
const FILM: &str = "Before gales shut the doors and see that the film is tight; clear snow; keep out of \
                    a structure that is giving way.";

/// A caution and the crops, covers or places it is for.
#[derive(Clone, Debug, PartialEq)]
pub struct Caution<'a> {
    pub words: &'a str,
    pub of: Vec<&'a str>,
}

/// The cautions of these crops, each once.
pub fn of_crops<'a>(crops: impl IntoIterator<Item = &'a Crop>) -> Vec<Caution<'a>> {
    let named = crops
        .into_iter()
        .map(|crop| (crop.name.as_str(), crop.cautions.as_slice()));
    gathered(named)
}

/// The cautions for the crops grown and the covers used, then those for where and how it is grown,
/// each once.
pub fn cautions<'a>(scenario: &'a Scenario, plan: &YearPlan) -> Vec<Caution<'a>> {
    let crops = (scenario.crops.iter())
        .filter(|crop| plan.plantings.iter().any(|p| p.crop == crop.name))
        .map(|crop| (crop.name.as_str(), crop.cautions.as_slice()));
    let covers = (scenario.covers.iter())
        .filter(|cover| plan.covers.iter().any(|c| c.cover == cover.name))
        .map(|cover| (cover.name.as_str(), cover.cautions.as_slice()));
    let mut found = gathered(crops.chain(covers));
    let grown_in = |settings: &[Setting]| {
        (scenario.beds.iter())
            .filter(|bed| settings.contains(&bed.setting))
            .any(|bed| plan.plantings.iter().any(|p| p.bed == bed.name))
    };
    let raised = plan.plantings.iter().any(|p| p.shelf.is_some());
    for (concerns, of, words) in [
        (
            grown_in(&[Setting::Open, Setting::Tunnel]),
            "the soil",
            SOIL,
        ),
        (
            raised || grown_in(&[Setting::Container, Setting::Basket]),
            "pots, trays and containers",
            COMPOST,
        ),
        (grown_in(&[Setting::Tunnel]), "the polytunnel", FILM),
    ] {
        if concerns {
            found.push(Caution {
                words,
                of: vec![of],
            });
        }
    }
    found
}

/// Each caution once, with everything that it is for.
fn gathered<'a>(named: impl Iterator<Item = (&'a str, &'a [String])>) -> Vec<Caution<'a>> {
    let mut lines: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for (name, cautions) in named {
        for caution in cautions {
            lines.entry(caution).or_default().push(name);
        }
    }
    (lines.into_iter())
        .map(|(words, of)| Caution { words, of })
        .collect()
}
