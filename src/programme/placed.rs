//! From values of the columns of the form by beds to a placed plan.

use super::exchange::exchange;
use super::{ColumnId, Layout, PlaceId, Split, place, ring_exchange, split};
use crate::candidates::{BARE, BedGround, CandidateId, CoverState, Rotation, Season};
use std::collections::BTreeMap;

/// A plan strip by strip, food left aside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placed {
    /// For each bed and strip: candidates in order of time.
    pub strips: Vec<Vec<Vec<CandidateId>>>,
    /// For each bed and week: what lies on it.
    pub covers: Vec<Vec<CoverState>>,
}

/// A place whose strips could not be laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unplaced {
    pub place: PlaceId,
    /// Whether every way was tried.
    pub proven: bool,
}

/// Strip-years of the places of the form by beds, by bed and strip.
pub fn by_bed(season: &Season, places: Vec<Vec<Vec<CandidateId>>>) -> Vec<Vec<Vec<CandidateId>>> {
    if season.cycle.is_none() {
        return places;
    }
    let strips = |bed: &BedGround| vec![Vec::new(); bed.strips as usize];
    let mut beds: Vec<Vec<Vec<CandidateId>>> = season.beds.iter().map(strips).collect();
    for (group, years) in season.groups.iter().zip(places) {
        for (&strip, year) in group.strips.iter().zip(years) {
            beds[group.bed][strip as usize] = year;
        }
    }
    beds
}

/// Lays strips that are counted by bed out strip by strip. Where that cannot be done in a bed, plantings
/// may change places with those of beds like it; where discouraged breaks have to be cut shorter than
/// `value` says, they are.
///
/// # Errors
/// The first place for which no layout was found.
pub fn placed(
    season: &Season,
    layout: &Layout,
    value: impl Fn(ColumnId) -> f64,
) -> Result<Placed, Unplaced> {
    let covers = covers(season, layout, &value);
    let by_place: Result<Vec<_>, Unplaced> = (0..layout.places.len())
        .map(|place| laid_out(season, layout, place, &value))
        .collect();
    let strips = match by_place {
        Ok(years) => by_bed(season, years),
        Err(left) => {
            let mut totals: BTreeMap<CandidateId, u32> = BTreeMap::new();
            for place in 0..layout.places.len() {
                for (candidate, strips) in counts(layout, place, &value) {
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

/// Strips of each candidate in a place.
pub fn counts(
    layout: &Layout,
    place: PlaceId,
    value: &impl Fn(ColumnId) -> f64,
) -> Vec<(CandidateId, u32)> {
    let columns = layout.strips.range((place, 0)..(place + 1, 0));
    columns
        .map(|(&(_, candidate), &column)| (candidate, value(column).round() as u32))
        .filter(|&(_, strips)| strips > 0)
        .collect()
}

/// One place strip by strip: with as many clashes as counted, then with any number.
fn laid_out(
    season: &Season,
    layout: &Layout,
    place: PlaceId,
    value: &impl Fn(ColumnId) -> f64,
) -> Result<Vec<Vec<CandidateId>>, Unplaced> {
    let counts = counts(layout, place, value);
    let counted = clashes(season, layout, place, value).map(Some);
    let mut proven = false;
    for clashes in counted.into_iter().chain([None]) {
        match split(season, place, &counts, clashes) {
            Split::Found(years) => return Ok(years),
            other => proven = other == Split::Impossible,
        }
    }
    let found = match &season.cycle {
        _ if proven => None,
        Some(cycle) => ring_exchange::exchange(season, cycle, place, &counts),
        None => exchange(season, place, &counts),
    };
    found.ok_or(Unplaced { place, proven })
}

/// Clashes of discouraged families in a place, by family and week; `None` where none is discouraged, and in a standing
/// year, whose clashes have no columns.
pub fn clashes(
    season: &Season,
    layout: &Layout,
    place: PlaceId,
    value: &impl Fn(ColumnId) -> f64,
) -> Option<Vec<Vec<f64>>> {
    if season.cycle.is_some() {
        return None;
    }
    let rotation = &season.beds[place].rotation;
    rotation
        .iter()
        .any(|r| matches!(r, Rotation::Discourage { .. }))
        .then(|| {
            let mut clashes = vec![vec![0.0; season.weeks]; rotation.len()];
            for (&(_, family, week), &column) in
                layout.clash.range((place, 0, 0)..(place + 1, 0, 0))
            {
                clashes[family][week] = value(column);
            }
            clashes
        })
}
