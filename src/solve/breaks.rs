//! Rotation rows of the compact relaxation: strips in which a family stands, or stood less than its
//! break ago, counted over all beds of a kind. There are many, few of which matter: they are added where
//! the relaxed plan breaks them. In a standing year they have prices in the bound; else only prices rest on them.

use super::context::Context;
use crate::candidates::{CandidateId, KindId, Rotation, Season};
use crate::domain::FamilyId;
use crate::strips::Break;

/// For which weeks a planting keeps its family from a strip: candidate, first week, first week after.
type Window = (CandidateId, usize, usize);

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
            let whole: Vec<Window> = season
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
                .collect();
            let shortest = whole.iter().map(|(_, from, until)| until - from).min();
            let Some(shortest) = shortest else { continue };
            let windows: Vec<Window> = (whole.iter())
                .flat_map(|&window| in_year(season, window))
                .collect();
            let there = |week: usize| {
                let over = windows
                    .iter()
                    .filter(move |(_, from, until)| (*from..*until).contains(&week));
                over.map(|(c, _, _)| *c)
            };
            let free = |week: usize| free(context, kind, family, week, shortest);
            let held = |week: usize| -> f64 { there(week).map(|c| begun[c]).sum() };
            if season.cycle.is_some() {
                let row = Break {
                    kind,
                    family,
                    week: None,
                    strips: on_rings(context, kind, shortest),
                    takers: in_all_turns(season, whole.iter().map(|(c, _, _)| *c)),
                };
                if row.held(begun) > row.strips + LEAST {
                    found.push(row);
                }
            }
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
                        takers: in_all_turns(season, there(week)),
                    });
                }
            }
        }
    }
    found
}

/// Plantings that the rings of a kind hold at the most: windows of so many weeks at least do not overlap on a ring.
fn on_rings(context: &Context, kind: KindId, shortest: usize) -> f64 {
    let season = context.season;
    let rings = (0..season.groups.len()).filter(|&g| {
        season.beds[season.groups[g].bed].kind == kind && season.groups[g].standing.is_none()
    });
    rings
        .map(|g| context.count(g) * (season.groups[g].weeks / shortest.max(1)))
        .sum::<usize>() as f64
}

/// Candidates, in every year of their rings, ascending.
fn in_all_turns(
    season: &Season,
    candidates: impl Iterator<Item = CandidateId>,
) -> Vec<CandidateId> {
    let mut all: Vec<CandidateId> = match &season.cycle {
        Some(cycle) => candidates
            .flat_map(|c| cycle.copies[c].iter().copied())
            .collect(),
        None => candidates.collect(),
    };
    all.sort_unstable();
    all
}

/// A window as it is; in a standing year the parts of it in each year, as weeks of the year.
fn in_year(season: &Season, (c, from, until): Window) -> Vec<Window> {
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
/// its own window says it. In a standing year those of rings as long as the shortest window.
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
