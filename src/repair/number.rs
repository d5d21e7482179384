//! Numbers of plantings that stay the same from plan to plan.

use super::carry::CarriedOn;
use crate::domain::Scenario;
use crate::plan::{Planting, YearPlan, raising_named};
use std::collections::{BTreeMap, BTreeSet};

/// The highest number in a plan.
pub fn highest(plan: &YearPlan) -> u32 {
    let number = |p: &Planting| {
        let digits: String = (p.id.chars().skip(1))
            .take_while(char::is_ascii_digit)
            .collect();
        digits.parse().unwrap_or(0)
    };
    plan.plantings.iter().map(number).max().unwrap_or(0)
}

/// Gives what goes on the number it has had, a letter more where it was parted, and what is new
/// the numbers above `highest`.
pub fn renumber(plan: &mut YearPlan, carried: &CarriedOn, mut highest: u32) {
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let mut new_of: BTreeMap<String, String> = BTreeMap::new();
    for planting in &plan.plantings {
        let known = known(planting, carried);
        let id = match known.and_then(|id| unused(&id, &taken)) {
            Some(id) => id,
            None => {
                highest += 1;
                format!("P{highest:03}")
            }
        };
        taken.insert(id.clone());
        new_of.insert(planting.id.clone(), id);
    }
    let renamed = |id: &mut String| {
        if let Some(new) = new_of.get(id) {
            id.clone_from(new);
        }
    };
    for planting in &mut plan.plantings {
        renamed(&mut planting.id);
        planting.partner.iter_mut().for_each(renamed);
    }
    for change in &mut plan.changes {
        change.planting.iter_mut().for_each(renamed);
    }
}

/// The number of the planting that this one goes on from, or is as planned.
fn known(planting: &Planting, carried: &CarriedOn) -> Option<String> {
    if let Some(name) = &planting.standing {
        let strip = planting.strips.first()? - 1;
        return carried.ids.get(&(name.clone(), Some(strip))).cloned();
    }
    let scenario = &carried.scenario;
    let (name, id) = planned(scenario, planting)?;
    // The second of a recipe has a number of its own.
    let second = carried.ids.get(&(id.clone(), None)).cloned();
    second.or_else(|| carried.ids.get(&(name, None)).cloned())
}

/// The entry of what was decided on that the planting keeps: its name, and that of the member.
fn planned(scenario: &Scenario, planting: &Planting) -> Option<(String, String)> {
    let found = scenario.planned.iter().find_map(|planned| {
        let same_bed = scenario.beds[planned.bed].name == planting.bed;
        let shares = planting
            .strips
            .iter()
            .any(|s| planned.strips.contains(&(s - 1)));
        let member = planned.members.iter().position(|m| {
            let crop = &scenario.crops[m.crop];
            let raising = planting
                .raising
                .as_ref()
                .and_then(|r| raising_named(crop, r));
            crop.name == planting.crop
                && raising == Some(m.raising)
                && (m.sown, m.planted) == (planting.sown, planting.planted)
        })?;
        (same_bed && shares).then_some((planned, member))
    });
    let (planned, member) = found?;
    let name = if member == 0 {
        planned.name.clone()
    } else {
        format!("{}+", planned.name)
    };
    Some((planned.name.clone(), name))
}

/// The number, or with the first letter that is free.
fn unused(id: &str, taken: &BTreeSet<String>) -> Option<String> {
    if !taken.contains(id) {
        return Some(id.to_string());
    }
    let stem = id.trim_end_matches(|c: char| c.is_ascii_lowercase());
    ('b'..='z')
        .map(|letter| format!("{stem}{letter}"))
        .find(|id| !taken.contains(id))
}
