//! The plan as it was decided on, as far as it still holds: where the search of a year that is
//! thought through again begins.

use super::context::{Context, Masks};
use super::draft::{Draft, treatable};
use super::larder::Larder;
use super::masks::in_stock;
use super::rotation::keeps_rotation;
use crate::candidates::{BARE, CandidateId, GroupId};

/// A draft with every planting decided on that its bed, its strip and the limits still have room
/// for, what stands treated as suits it best; `None` where nothing is decided on.
pub fn as_planned(context: &Context, larder: &Larder) -> Option<Draft> {
    let season = context.season;
    if season.planned.is_empty() {
        return None;
    }
    let mut draft = Draft::idle(context, larder, masks(context));
    for planned in &season.planned {
        let mask = draft.masks[planned.bed].clone();
        if !context.fits_mask(planned.candidate, &mask)
            || !season.allowed(planned.candidate, planned.bed)
        {
            continue;
        }
        for &strip in &planned.strips {
            if let Some((group, place)) = place_of(context, planned.bed, strip) {
                put(
                    context,
                    larder,
                    &mut draft,
                    (group, place),
                    planned.candidate,
                );
            }
        }
    }
    for group in 0..season.groups.len() {
        for place in 0..context.count(group) {
            treat_standing(context, larder, &mut draft, group, place);
        }
    }
    Some(draft)
}

/// Covers as the plantings decided on were to be under, within the covers to hand.
fn masks(context: &Context) -> Masks {
    let season = context.season;
    let mut masks: Masks = vec![vec![BARE; season.weeks]; season.beds.len()];
    for planned in &season.planned {
        let candidate = &season.candidates[planned.candidate];
        let before = masks[planned.bed].clone();
        let mask = &mut masks[planned.bed];
        let mut agrees = true;
        for (week, &state) in (candidate.start..).zip(&candidate.states) {
            if state != BARE {
                agrees &= mask[week] == BARE || mask[week] == state;
                mask[week] = state;
            }
        }
        let treatable = treatable(context, planned.bed, &masks[planned.bed]);
        if !agrees || !treatable || !in_stock(context, &masks) {
            masks[planned.bed] = before;
        }
    }
    masks
}

/// Group and place in it of a strip of a bed.
fn place_of(context: &Context, bed: usize, strip: u32) -> Option<(GroupId, usize)> {
    context.groups_of[bed].iter().find_map(|&group| {
        let strips = &context.season.groups[group].strips;
        let place = strips.iter().position(|s| *s == strip)?;
        Some((group, place))
    })
}

/// Puts a planting into a strip-year if there is room for it.
fn put(
    context: &Context,
    larder: &Larder,
    draft: &mut Draft,
    (group, place): (GroupId, usize),
    candidate: CandidateId,
) {
    let season = context.season;
    let (start, end) = (
        season.candidates[candidate].start,
        season.candidates[candidate].end,
    );
    let mut year = draft.years[group][place].clone();
    let free = year.iter().all(|&c| {
        let other = &season.candidates[c];
        other.end <= start || end <= other.start
    });
    let at = year.partition_point(|&c| {
        season.candidates[c].start < start || season.candidates[c].standing.is_some()
    });
    year.insert(at, candidate);
    if !free || !keeps_rotation(context.season, group, &year) {
        return;
    }
    let within = draft.worth(context).is_some();
    let replaced = draft.replace(context, larder, group, place, year);
    if within && draft.worth(context).is_none() {
        draft.restore(context, larder, replaced);
    }
}

/// Gives what stands the alternative that the plan gains most by.
fn treat_standing(
    context: &Context,
    larder: &Larder,
    draft: &mut Draft,
    group: GroupId,
    place: usize,
) {
    let season = context.season;
    let mask = draft.masks[season.groups[group].bed].clone();
    for &alternative in &context.terrains.alternatives[group] {
        let mut year = draft.years[group][place].clone();
        let next = year
            .get(1)
            .map_or(season.weeks, |&c| season.candidates[c].start);
        if season.candidates[alternative].end > next || !context.fits_mask(alternative, &mask) {
            continue;
        }
        year[0] = alternative;
        if !keeps_rotation(context.season, group, &year) {
            continue;
        }
        let before = draft.worth(context).unwrap_or(f64::NEG_INFINITY);
        let replaced = draft.replace(context, larder, group, place, year);
        if draft.worth(context).is_none_or(|worth| worth <= before) {
            draft.restore(context, larder, replaced);
        }
    }
}
