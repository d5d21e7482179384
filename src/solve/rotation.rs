//! What a strip-year owes to rotation: forbidden breaks are kept, discouraged ones paid for.

use crate::candidates::{CandidateId, GroupId, Rotation, Season};

/// Whether a strip-year keeps every forbidden break, from one round of its years to the next in a standing year.
pub fn keeps_rotation(season: &Season, group: GroupId, year: &[CandidateId]) -> bool {
    let rules = &season.beds[season.groups[group].bed].rotation;
    let release = &season.groups[group].release;
    let round = season.cycle.as_ref().map(|_| season.groups[group].weeks);
    for (index, &c) in year.iter().enumerate() {
        let candidate = &season.candidates[c];
        if candidate.standing.is_some() {
            continue;
        }
        for used in &candidate.families {
            let Rotation::Forbid { weeks } = rules[used.family] else {
                continue;
            };
            if release[used.family] > used.from {
                return false;
            }
            let clash = year[..index].iter().any(|&earlier| {
                season.candidates[earlier]
                    .families
                    .iter()
                    .any(|u| u.family == used.family && u.until + weeks > used.from)
            });
            let again = |round: usize| {
                let uses = year
                    .iter()
                    .flat_map(|&later| &season.candidates[later].families);
                let mut of_it = uses.filter(|u| u.family == used.family);
                of_it.any(|u| u.until + weeks > used.from + round)
            };
            if clash || round.is_some_and(again) {
                return false;
            }
        }
    }
    true
}

/// Price of discouraged breaks cut short on one strip, money.
pub fn rotation_cost(season: &Season, group: GroupId, candidates: &[CandidateId]) -> f64 {
    let mut release = season.groups[group].release.clone();
    let bed = &season.beds[season.groups[group].bed];
    let weeks_of_strip = season.groups[group].weeks;
    let mut horizon = weeks_of_strip;
    if season.cycle.is_some() {
        // What its years before leave behind, and no end.
        horizon = usize::MAX;
        for used in candidates
            .iter()
            .flat_map(|&c| &season.candidates[c].families)
        {
            if let Rotation::Discourage { weeks, .. } = bed.rotation[used.family] {
                let after = (used.until + weeks).saturating_sub(weeks_of_strip);
                release[used.family] = release[used.family].max(after);
            }
        }
    }
    let mut cost = 0.0;
    for &c in candidates {
        let candidate = &season.candidates[c];
        for used in &candidate.families {
            let (weeks, price) = match bed.rotation[used.family] {
                Rotation::Off => continue,
                Rotation::Forbid { weeks } => (weeks, 0.0),
                Rotation::Discourage {
                    weeks,
                    money_per_strip_week,
                } => (weeks, money_per_strip_week),
            };
            let after = used.until + weeks;
            let overlap = release[used.family].min(after).min(horizon);
            if candidate.standing.is_none() {
                cost += price * overlap.saturating_sub(used.from) as f64;
            }
            release[used.family] = release[used.family].max(after);
        }
    }
    cost
}
