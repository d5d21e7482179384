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
            // As often as a candidate's window takes `by` years' worth of the week.
            let there = |week: usize, by: usize| {
                let over: Vec<CandidateId> = (windows.iter())
                    .filter(|(_, from, until)| (*from..*until).contains(&week))
                    .map(|(c, _, _)| *c)
                    .collect();
                let runs = over.chunk_by(|a, b| a == b);
                runs.flat_map(|run| std::iter::repeat_n(run[0], run.len() / by))
                    .collect::<Vec<CandidateId>>()
            };
            let free = |week: usize, by: usize| free(context, kind, family, (week, by), shortest);
            let held = |week: usize, by: usize| -> f64 {
                there(week, by).into_iter().map(|c| begun[c]).sum()
            };
            if season.cycle.is_some() {
                let row = Break {
                    kind,
                    family,
                    week: None,
                    by: 1,
                    strips: on_rings(context, kind, shortest),
                    takers: in_all_turns(season, whole.iter().map(|(c, _, _)| *c)),
                };
                if row.held(begun) > row.strips + LEAST {
                    found.push(row);
                }
            }
            let years = season.cycle.as_ref().map_or(1, |cycle| cycle.years);
            let before = found.len();
            for by in (1..=years).filter(|&by| says_more(season, kind, by)) {
                // What rows that count every year do not mend yet they may mend in the next round.
                if by > 1 && found.len() > before {
                    break;
                }
                let mut worst: Option<(f64, usize)> = None;
                for week in 0..season.weeks {
                    let over = held(week, by) - free(week, by);
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
                            by,
                            strips: free(week, by),
                            takers: in_all_turns(season, there(week, by).into_iter()),
                        });
                    }
                }
            }
        }
    }
    found
}

/// Whether rows in which so many years count as one say more than those in which each counts: where the divisor leaves
/// something of a ring over.
fn says_more(season: &Season, kind: KindId, by: usize) -> bool {
    let rings = (season.groups.iter())
        .filter(|group| season.beds[group.bed].kind == kind && group.standing.is_none());
    let mut years = rings.map(|group| group.weeks / season.weeks);
    by == 1 || years.any(|years| !years.is_multiple_of(by))
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
/// its own window says it. In a standing year those of rings as long as the shortest window, `by` years of
/// a ring as one.
fn free(
    context: &Context,
    kind: KindId,
    family: FamilyId,
    (week, by): (usize, usize),
    shortest: usize,
) -> f64 {
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
        .map(|g| {
            let years = season.groups[g].weeks / season.weeks;
            (season.groups[g].strips.len() * (years / by)) as f64
        })
        .sum()
}
