//! From values of the columns of the form by beds to a placed plan.

use super::exchange::exchange;
use super::{ColumnId, Layout, Split, place, split};
use crate::candidates::{BARE, CandidateId, CoverState, Rotation, Season};
use crate::domain::BedId;
use std::collections::BTreeMap;

/// A plan strip by strip, food left aside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placed {
    /// For each bed and strip: candidates in order of time.
    pub strips: Vec<Vec<Vec<CandidateId>>>,
    /// For each bed and week: what lies on it.
    pub covers: Vec<Vec<CoverState>>,
}

/// A bed whose strips could not be laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unplaced {
    pub bed: BedId,
    /// Whether every way was tried.
    pub proven: bool,
}

/// Lays strips that are counted by bed out strip by strip. Where that cannot be done in a bed, plantings
/// may change places with those of beds like it; where discouraged breaks have to be cut shorter than
/// `value` says, they are.
///
/// # Errors
/// The first bed for which no layout was found.
pub fn placed(
    season: &Season,
    layout: &Layout,
    value: impl Fn(ColumnId) -> f64,
) -> Result<Placed, Unplaced> {
    let covers = covers(season, layout, &value);
    let by_bed = (0..season.beds.len())
        .map(|bed| laid_out(season, layout, bed, &value))
        .collect();
    let strips = match by_bed {
        Ok(strips) => strips,
        Err(left) => {
            let mut totals: BTreeMap<CandidateId, u32> = BTreeMap::new();
            for bed in 0..season.beds.len() {
                for (candidate, strips) in counts(layout, bed, &value) {
                    *totals.entry(candidate).or_default() += strips;
                }
            }
            let totals: Vec<_> = totals.into_iter().collect();
            place(season, &totals, &covers).ok_or(left)?
        }
    };
    Ok(Placed { strips, covers })
}

/// What lies on each bed in each week.
pub fn covers(
    season: &Season,
    layout: &Layout,
    value: &impl Fn(ColumnId) -> f64,
) -> Vec<Vec<CoverState>> {
    let mut covers = vec![vec![BARE; season.weeks]; season.beds.len()];
    for (&(bed, cover, week), &column) in &layout.covers {
        if value(column) > 0.5 {
            covers[bed][week] = cover as CoverState + 1;
        }
    }
    covers
}

/// Strips of each candidate in a bed.
pub fn counts(
    layout: &Layout,
    bed: BedId,
    value: &impl Fn(ColumnId) -> f64,
) -> Vec<(CandidateId, u32)> {
    let columns = layout.strips.range((bed, 0)..(bed + 1, 0));
    columns
        .map(|(&(_, candidate), &column)| (candidate, value(column).round() as u32))
        .filter(|&(_, strips)| strips > 0)
        .collect()
}

/// One bed strip by strip: with as many clashes as counted, then with any number.
fn laid_out(
    season: &Season,
    layout: &Layout,
    bed: BedId,
    value: &impl Fn(ColumnId) -> f64,
) -> Result<Vec<Vec<CandidateId>>, Unplaced> {
    let counts = counts(layout, bed, value);
    let counted = clashes(season, layout, bed, value).map(Some);
    let mut proven = false;
    for clashes in counted.into_iter().chain([None]) {
        match split(season, bed, &counts, clashes) {
            Split::Found(years) => return Ok(years),
            other => proven = other == Split::Impossible,
        }
    }
    let found = match proven {
        true => None,
        false => exchange(season, bed, &counts),
    };
    found.ok_or(Unplaced { bed, proven })
}

/// Clashes of discouraged families in a bed, by family and week; `None` where none is discouraged.
pub fn clashes(
    season: &Season,
    layout: &Layout,
    bed: BedId,
    value: &impl Fn(ColumnId) -> f64,
) -> Option<Vec<Vec<f64>>> {
    let rotation = &season.beds[bed].rotation;
    rotation
        .iter()
        .any(|r| matches!(r, Rotation::Discourage { .. }))
        .then(|| {
            let mut clashes = vec![vec![0.0; season.weeks]; rotation.len()];
            for (&(_, family, week), &column) in layout.clash.range((bed, 0, 0)..(bed + 1, 0, 0)) {
                clashes[family][week] = value(column);
            }
            clashes
        })
}
