//! The usual cautions for what a plan grows and uses; every written form shows the same ones.

use crate::domain::Scenario;
use crate::plan::YearPlan;
use std::collections::BTreeMap;

/// Said below every list of cautions.
pub const DEFERENCE: &str =
    "Follow the label, local rules and qualified advice: they come before anything said here.";

/// A caution and the crops or covers it is for.
#[derive(Clone, Debug, PartialEq)]
pub struct Caution<'a> {
    pub words: &'a str,
    pub of: Vec<&'a str>,
}

/// The cautions for the crops grown and the covers used, each once.
pub fn cautions<'a>(scenario: &'a Scenario, plan: &YearPlan) -> Vec<Caution<'a>> {
    let mut lines: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for crop in &scenario.crops {
        if plan.plantings.iter().any(|p| p.crop == crop.name) {
            for caution in &crop.cautions {
                lines.entry(caution).or_default().push(&crop.name);
            }
        }
    }
    for cover in &scenario.covers {
        if plan.covers.iter().any(|c| c.cover == cover.name) {
            for caution in &cover.cautions {
                lines.entry(caution).or_default().push(&cover.name);
            }
        }
    }
    (lines.into_iter())
        .map(|(words, of)| Caution { words, of })
        .collect()
}
