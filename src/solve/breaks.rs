//! Rotation rows of the compact relaxation: strips in which a family stands, or stood less than its
//! break ago, counted over all beds of a kind. There are many, few of which matter: they are added where
//! the relaxed plan breaks them. Only prices rest on them.

use super::context::Context;
use crate::candidates::{CandidateId, KindId, Rotation, Season};
use crate::domain::FamilyId;
use crate::strips::Break;

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
            // Of each candidate, what a strip holds it for: a ring of a standing year has to be as long.
            let shortest = (season.candidates.iter())
                .filter(|c| c.kind == kind && c.standing.is_none())
                .flat_map(|c| c.families.iter().filter(|u| u.family == family))
                .map(|u| u.until + weeks - u.from)
                .min()
                .unwrap_or(0);
            let free = |week: usize| free(context, kind, family, week, shortest);
            let held = |week: usize| -> f64 {
                windows
                    .iter()
                    .filter(|(_, from, until)| (*from..*until).contains(&week))
                    .map(|(c, _, _)| begun[*c])
                    .sum()
            };
            found.extend(
                over_rings(context, kind, family, shortest, &windows)
                    .into_iter()
                    .filter(|row| {
                        let begun = |c: &CandidateId| begun[*c];
                        row.takers.iter().map(begun).sum::<f64>() > row.strips + LEAST
                    }),
            );
            let mut worst: Option<(f64, usize)> = None;
            for week in 0..season.weeks {
                let over = held(week) - free(week);
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
                        week: Some(week),
                        strips: free(week),
                        takers: takers(season, &windows, week),
                    });
                }
            }
        }
    }
    found
}

/// Plantings of a family in all years of rings: windows of so many weeks at least do not overlap on a ring.
fn over_rings(
    context: &Context,
    kind: KindId,
    family: FamilyId,
    shortest: usize,
    windows: &[(CandidateId, usize, usize)],
) -> Option<Break> {
    let season = context.season;
    let cycle = season.cycle.as_ref().filter(|_| shortest > 0)?;
    let rings = (0..season.groups.len()).filter(|&g| {
        season.beds[season.groups[g].bed].kind == kind && season.groups[g].standing.is_none()
    });
    let strips = rings
        .map(|g| context.count(g) * (season.groups[g].weeks / shortest))
        .sum::<usize>();
    let mut takers: Vec<CandidateId> = windows
        .iter()
        .flat_map(|(c, _, _)| cycle.copies[*c].iter().copied())
        .collect();
    takers.sort_unstable();
    takers.dedup();
    Some(Break {
        kind,
        family,
        week: None,
        strips: strips as f64,
        takers,
    })
}

/// Whose windows reach over a week, in every year of its ring.
fn takers(
    season: &Season,
    windows: &[(CandidateId, usize, usize)],
    week: usize,
) -> Vec<CandidateId> {
    let there = |(_, from, until): &&(_, usize, usize)| (*from..*until).contains(&week);
    let all = windows.iter().filter(there).map(|(c, _, _)| *c);
    let mut takers: Vec<CandidateId> = match &season.cycle {
        Some(cycle) => all.flat_map(|c| cycle.copies[c].iter().copied()).collect(),
        None => all.collect(),
    };
    takers.sort_unstable();
    takers
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
fn free(context: &Context, kind: KindId, family: FamilyId, week: usize, shortest: usize) -> f64 {
    let season = context.season;
    let stands = |g: usize| {
        context.terrains.alternatives[g].iter().any(|&c| {
            let families = season.candidates[c].families.iter();
            families.clone().any(|u| u.family == family)
        })
    };
    (0..season.groups.len())
        .filter(|&g| season.beds[season.groups[g].bed].kind == kind)
        .filter(|&g| {
            let group = &season.groups[g];
            season.cycle.is_none() || group.standing.is_none() && shortest <= group.weeks
        })
        .filter(|&g| season.groups[g].release[family] <= week || stands(g))
        .map(|g| season.strips_of(g))
        .sum()
}
