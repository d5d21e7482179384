//! Exchanges between two strips: what stands in one of them for some weeks for what stands in the other. The table
//! sees no difference, so the worth changes little or not at all; but ground comes together that was too short for
//! a planting on either strip, or lay where a break forbade it.

use super::anew::put_beside;
use super::context::Context;
use super::draft::{Draft, Place, Years};
use super::improve::Improver;
use super::rotation::keeps_rotation;
use crate::candidates::{CandidateId, GroupId, Season};
use rand::Rng;
use std::ops::Range;

/// An exchange drawn at random: a planting, or all from it to the end of the year, for what is there in the same
/// weeks on another strip of the kind; `None` where the one drawn is not possible.
pub fn drawn(improver: &mut Improver, draft: &Draft) -> Option<Years> {
    let season = improver.context.season;
    let one = improver.random_strip();
    let other = improver.random_strip_like(one);
    let year = |(group, strip): Place| &draft.years[group][strip];
    if one == other || year(one).is_empty() {
        return None;
    }
    let first = &season.candidates[year(one)[improver.random.random_range(0..year(one).len())]];
    let to_the_end = improver.random.random::<bool>();
    let weeks = first.start..if to_the_end { usize::MAX } else { first.end };
    let [mine, theirs] = meeting(season, [year(one), year(other)], weeks)?;
    if year(one)[mine.clone()] == year(other)[theirs.clone()] {
        return None;
    }
    let with =
        |at: Place, out: &Range<usize>, put: &[CandidateId]| -> Option<(Place, Vec<CandidateId>)> {
            let own = year(at);
            let fits = |&c: &CandidateId| may_stand(improver.context, draft, at.0, c);
            let new = [&own[..out.start], put, &own[out.end..]].concat();
            (put.iter().all(fits) && keeps_rotation(season, at.0, &new)).then_some((at, new))
        };
    Some(vec![
        with(one, &mine, &year(other)[theirs.clone()])?,
        with(other, &theirs, &year(one)[mine.clone()])?,
    ])
}

/// The plantings of two years that have to change strips together where those of the first that meet the
/// `weeks` do; `None` where what stands at the start is among them.
fn meeting(
    season: &Season,
    years: [&[CandidateId]; 2],
    mut weeks: Range<usize>,
) -> Option<[Range<usize>; 2]> {
    loop {
        let met = years.map(|year| {
            let from = year.partition_point(|&c| season.candidates[c].end <= weeks.start);
            let until = year.partition_point(|&c| season.candidates[c].start < weeks.end);
            from..until.max(from)
        });
        let before = weeks.clone();
        for (year, met) in years.iter().zip(&met) {
            for &c in &year[met.clone()] {
                let candidate = &season.candidates[c];
                if candidate.standing.is_some() {
                    return None;
                }
                weeks = weeks.start.min(candidate.start)..weeks.end.max(candidate.end);
            }
        }
        if weeks == before {
            return Some(met);
        }
    }
}

/// Whether a strip of the group admits a planting: what lies there, what the grower keeps out, and the end of its year.
fn may_stand(context: &Context, draft: &Draft, group: GroupId, candidate: CandidateId) -> bool {
    let season = context.season;
    let bed = season.groups[group].bed;
    context.fits_mask(candidate, &draft.masks[bed])
        && season.allowed(candidate, bed)
        && season.candidates[candidate].end <= season.groups[group].weeks
}

/// Finds other strips of the kind for plantings that had to make way, where they meet nothing; `years` begins with
/// the strip that they left. Those for which none is found are left out.
pub fn elsewhere(
    improver: &mut Improver,
    draft: &Draft,
    years: &mut Years,
    plantings: &[CandidateId],
) {
    const TRIES: usize = 24; // strips, an estimate
    let from = years[0].0;
    for &c in plantings {
        for _ in 0..TRIES {
            let (group, strip) = improver.random_strip_like(from);
            let changed = years.iter().position(|(place, _)| *place == (group, strip));
            let year = changed.map_or(&draft.years[group][strip], |n| &years[n].1);
            if !may_stand(improver.context, draft, group, c) {
                continue;
            }
            if let Some(new) = put_beside(improver.context, group, c, year) {
                match changed {
                    Some(n) => years[n].1 = new,
                    None => years.push(((group, strip), new)),
                }
                break;
            }
        }
    }
}
