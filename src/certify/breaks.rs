//! Rows of breaks made anew from family and week, in a standing year.
//!
//! On a ring of strips the windows of a family (weeks in the ground and the break after them) do not overlap, from
//! its end to its beginning neither. So each week of the ring lies in one of them at the most, and a week of the
//! year in no more windows than the rings have years; and a ring holds no more plantings of the family
//! than shortest windows fit into it. Windows and rings take whole years of that week, so where some years count as one
//! and the rest as none, whole numbers on both sides, the row holds as well.

use super::list::BreakPrice;
use crate::candidates::{CandidateId, Rotation, Season};

/// A row: plantings, each counted so often, are at most so many.
pub struct BreakRow {
    /// Over all rings of its kind.
    pub most: f64,
    /// How often a strip of a candidate counts.
    pub terms: Vec<(CandidateId, f64)>,
}

/// The row that a bed's kind, a family and a week stand for.
///
/// # Errors
/// `None` where it is no row of the season: no such bed, family or week, no standing year, or a bed of the kind that
/// keeps no break.
pub fn row(season: &Season, of: &BreakPrice) -> Option<BreakRow> {
    let kind = season.beds.get(of.bed)?.kind;
    if season.cycle.is_none() || of.week.is_some_and(|week| week >= season.weeks) || of.by == 0 {
        return None;
    }
    let break_weeks = weeks(season, kind, of.family)?;
    // Weeks for which a planting keeps its family from the strip: the first, and the first after.
    let windows: Vec<(CandidateId, usize, usize)> = (season.candidates.iter().enumerate())
        .filter(|(_, candidate)| candidate.kind == kind && candidate.standing.is_none())
        .filter_map(|(c, candidate)| {
            let used = candidate.families.iter().find(|u| u.family == of.family)?;
            Some((c, used.from, used.until + break_weeks))
        })
        .collect();
    let lengths = windows.iter().map(|(_, from, until)| until - from);
    let most = lengths.min().map_or(0, |shortest| {
        let rings = season
            .groups
            .iter()
            .filter(|group| group.standing.is_none());
        let rings = rings.filter(|group| season.beds[group.bed].kind == kind);
        let on_a_ring = |weeks: usize| match (weeks / shortest.max(1), of.week) {
            (0, _) => 0,
            (held, None) => held,
            (_, Some(_)) => weeks / season.weeks / of.by,
        };
        rings
            .map(|group| group.strips.len() * on_a_ring(group.weeks))
            .sum()
    });
    let counted = |from: usize, until: usize| match of.week {
        None => 1,
        Some(week) => (from..until).filter(|t| t % season.weeks == week).count() / of.by,
    };
    Some(BreakRow {
        most: most as f64,
        terms: (windows.iter())
            .map(|&(c, from, until)| (c, counted(from, until) as f64))
            .collect(),
    })
}

/// The shortest break of a family that all beds of a kind keep, weeks; `None` where one keeps none.
fn weeks(season: &Season, kind: usize, family: usize) -> Option<usize> {
    let beds = season.beds.iter().filter(|bed| bed.kind == kind);
    let kept = beds.map(|bed| match bed.rotation.get(family) {
        Some(Rotation::Forbid { weeks }) => Some(*weeks),
        _ => None,
    });
    // Nothing is less than something.
    kept.min().flatten()
}
