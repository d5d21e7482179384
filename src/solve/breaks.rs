//! Rotation rows of the compact relaxation: strips in which a family stands, or stood less than its
//! break ago, counted over all beds of a kind. There are many, few of which matter: they are added where
//! the relaxed plan breaks them. Only prices rest on them.

use super::context::Context;
use crate::candidates::{CandidateId, KindId, Rotation, Season};
use crate::domain::FamilyId;

/// At most `strips` strips of the kind hold one of `takers` (ascending; in a standing year one that holds its
/// family over several years is there as often).
#[derive(Clone, Debug, PartialEq)]
pub struct Break {
    pub kind: KindId,
    pub family: FamilyId,
    pub week: usize,
    pub strips: f64,
    pub takers: Vec<CandidateId>,
}

/// Rows that a relaxed plan breaks, given the strips that begin each candidate.
pub fn broken(context: &Context, begun: &[f64]) -> Vec<Break> {
    const LEAST: f64 = 1e-2; // strips
    let season = context.season;
    let mut found = Vec::new();
    for kind in 0..season.kinds.len() {
        for family in 0..season.family_names.len() {
            let Some(weeks) = forbidden(context, kind, family) else {
                continue;
            };
            // Windows of plantings: candidate, first week, first week after.
            let windows: Vec<(CandidateId, usize, usize)> = season
                .candidates
                .iter()
                .enumerate()
                .filter(|(c, candidate)| candidate.kind == kind && season.first_turn(*c) == *c)
                // Rings of a standing year are other strips than those of its perennials.
                .filter(|(_, c)| c.standing.is_none() || season.cycle.is_none())
                .flat_map(|(c, candidate)| {
                    let uses = candidate.families.iter();
                    uses.filter(|u| u.family == family)
                        .map(move |u| (c, u.from, u.until + weeks))
                })
                .flat_map(|window| in_year(season, window))
                .collect();
            let held = |week: usize| -> f64 {
                windows
                    .iter()
                    .filter(|(_, from, until)| (*from..*until).contains(&week))
                    .map(|(c, _, _)| begun[*c])
                    .sum()
            };
            let mut worst: Option<(f64, usize)> = None;
            for week in 0..season.weeks {
                let over = held(week) - free(context, kind, family, week);
                // One row for each run of weeks that are over: where it is most.
                if over > LEAST {
                    if worst.is_none_or(|(most, _)| over > most) {
                        worst = Some((over, week));
                    }
                    if week + 1 < season.weeks {
                        continue;
                    }
                }
                if let Some((_, week)) = worst.take() {
                    found.push(Break {
                        kind,
                        family,
                        week,
                        strips: free(context, kind, family, week),
                        takers: windows
                            .iter()
                            .filter(|(_, from, until)| (*from..*until).contains(&week))
                            .map(|(c, _, _)| *c)
                            .collect(),
                    });
                }
            }
        }
    }
    found
}

/// A window as it is; in a standing year the parts of it in each year, as weeks of the year.
fn in_year(
    season: &Season,
    (c, from, until): (CandidateId, usize, usize),
) -> Vec<(CandidateId, usize, usize)> {
    if season.cycle.is_none() {
        return vec![(c, from, until)];
    }
    let weeks = season.weeks;
    let part = |year: usize| {
        let first = from.max(year * weeks) - year * weeks;
        (c, first, until.min((year + 1) * weeks) - year * weeks)
    };
    (from / weeks..until.div_ceil(weeks)).map(part).collect()
}

/// The shortest break that every bed of the kind asks for; `None` where one asks for none.
fn forbidden(context: &Context, kind: KindId, family: FamilyId) -> Option<usize> {
    let beds = context.season.beds.iter().filter(|b| b.kind == kind);
    beds.map(|bed| match bed.rotation[family] {
        Rotation::Forbid { weeks } => Some(weeks),
        _ => None,
    })
    .min()
    .flatten()
}

/// Strips of the kind that history leaves to the family in a week; where the family stands at the start,
/// its own window says it.
fn free(context: &Context, kind: KindId, family: FamilyId, week: usize) -> f64 {
    let season = context.season;
    let stands = |g: usize| {
        context.terrains.alternatives[g].iter().any(|&c| {
            let families = season.candidates[c].families.iter();
            families.clone().any(|u| u.family == family)
        })
    };
    (0..season.groups.len())
        .filter(|&g| season.beds[season.groups[g].bed].kind == kind)
        .filter(|&g| season.groups[g].standing.is_none() || season.cycle.is_none())
        .filter(|&g| season.groups[g].release[family] <= week || stands(g))
        .map(|g| season.strips_of(g))
        .sum()
}
