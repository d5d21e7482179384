//! Rows of breaks made anew from family and week, in a standing year.
//!
//! On a ring of strips the windows of a family (weeks in the ground and the break after them) do not overlap, from
//! its end to its beginning neither. So each week of the ring lies in one of them at the most, and a week of the
//! year in no more windows than the rings have years; and a ring holds no more plantings of the family
//! than shortest windows fit into it.

use super::list::BreakPrice;
use crate::candidates::{Candidate, Rotation, Season};

/// The shortest break of the row's family that all beds of its kind keep, weeks: `None` where one keeps none,
/// or the year is no standing year.
pub fn weeks(season: &Season, row: &BreakPrice) -> Option<usize> {
    season.cycle.as_ref()?;
    let kind = season.beds[row.bed].kind;
    let mut shortest: Option<usize> = None;
    for bed in season.beds.iter().filter(|bed| bed.kind == kind) {
        let Rotation::Forbid { weeks } = bed.rotation[row.family] else {
            return None;
        };
        shortest = Some(shortest.map_or(weeks, |known| known.min(weeks)));
    }
    shortest
}

/// The most that the row's plantings can be counted on all rings of its kind.
pub fn most(season: &Season, row: &BreakPrice) -> f64 {
    let Some(shortest) = plantings(season, row)
        .map(|window| window.1 - window.0)
        .min()
    else {
        return 0.0;
    };
    let kind = season.beds[row.bed].kind;
    let mut most = 0;
    for group in &season.groups {
        if season.beds[group.bed].kind == kind && group.standing.is_none() {
            let held = group.weeks / shortest.max(1);
            most += group.strips.len()
                * match row.week {
                    None => held,
                    Some(_) if held == 0 => 0,
                    Some(_) => group.weeks / season.weeks,
                };
        }
    }
    most as f64
}

/// How often a strip of the candidate counts in the row.
pub fn counted(season: &Season, row: &BreakPrice, candidate: &Candidate) -> f64 {
    let Some((from, until)) = window(season, row, candidate) else {
        return 0.0;
    };
    match row.week {
        None => 1.0,
        Some(week) => (from..until).filter(|t| t % season.weeks == week).count() as f64,
    }
}

fn plantings<'s>(
    season: &'s Season,
    row: &'s BreakPrice,
) -> impl Iterator<Item = (usize, usize)> + 's {
    let all = season.candidates.iter();
    all.filter_map(|candidate| window(season, row, candidate))
}

/// Weeks for which a planting of the row's kind keeps its family from the strip: the first, and the first after.
fn window(season: &Season, row: &BreakPrice, candidate: &Candidate) -> Option<(usize, usize)> {
    if candidate.kind != season.beds[row.bed].kind || candidate.standing.is_some() {
        return None;
    }
    let used = candidate.families.iter().find(|u| u.family == row.family)?;
    Some((used.from, used.until + weeks(season, row)?))
}
