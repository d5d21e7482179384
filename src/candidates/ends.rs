//! When to clear: the ends a planting may come to, and the lots it gives until each of them.

use super::draft::{Ending, Timeline, product};
use super::season::Lot;
use super::site::Site;
use crate::domain::{CropId, Way, WayKind};

/// Weeks for which a standing crop may be lifted before its ground is cleared. Denser where a
/// week more changes most; measured on a full holding, more of them add nothing to speak of.
const STANDING_WEEKS: [usize; 4] = [1, 3, 7, 13];
/// Part of the pickings, as a fraction, after which a picked crop may be cleared early.
const EARLY_PART: (usize, usize) = (2, 3);
/// Pickings from which on an early end is worth weighing: fewer are taken to the end.
const EARLY_PICKINGS: usize = 4;
/// Weeks after the first of cover at which a green manure may be dug in.
const GREEN_WEEKS: [usize; 6] = [4, 8, 12, 16, 20, 26];

/// How many ends are weighed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Choice {
    All,
    /// For recipes: half the choice.
    Few,
    /// Only the natural end.
    Natural,
}

/// The ends of a planting harvested in way `way`, the natural end last. What comes before the
/// start of the plan gives no lot; amounts are times `share`. Empty when it is over before the
/// start or ready only after the horizon.
pub(super) fn of_harvest(
    site: &Site,
    crop: CropId,
    way: usize,
    timeline: &Timeline,
    share: f64,
    choice: Choice,
) -> Vec<Ending> {
    let shape = &site.scenario.crops[crop].ways[way];
    let product = product(site.scenario, crop, way);
    match shape.kind {
        WayKind::Picking { .. } => picked(site, product, shape, timeline, share, choice),
        WayKind::Standing { .. } => lifted(site, product, shape, timeline, share, choice),
        WayKind::Clearing => cleared(site, product, shape, timeline, share),
    }
}

/// The week of the horizon; `None` before or after it.
fn inside(site: &Site, week: i32) -> Option<usize> {
    usize::try_from(week)
        .ok()
        .filter(|&week| week < site.weeks())
}

fn picked(
    site: &Site,
    product: usize,
    way: &Way,
    timeline: &Timeline,
    share: f64,
    choice: Choice,
) -> Vec<Ending> {
    let last_week = site.weeks() - 1;
    let lots: Vec<Lot> = timeline
        .harvest
        .iter()
        .filter_map(|&(week, amount)| {
            let week = inside(site, week)?;
            let amount = amount * share;
            (amount > 0.0).then(|| Lot {
                product,
                from: week,
                fresh_until: week,
                until: (week + keeps(way)).min(last_week),
                amount,
            })
        })
        .collect();
    let count = lots.len();
    let mut counts = Vec::new();
    if choice != Choice::Natural && count >= EARLY_PICKINGS {
        counts.push((EARLY_PART.0 * count).div_ceil(EARLY_PART.1));
    }
    counts.push(count);
    counts.dedup();
    counts
        .into_iter()
        .filter(|&count| count > 0)
        .map(|count| Ending {
            end: lots[count - 1].from + 1,
            lots: lots[..count].to_vec(),
            credited_weeks: 0,
        })
        .collect()
}

fn lifted(
    site: &Site,
    product: usize,
    way: &Way,
    timeline: &Timeline,
    share: f64,
    choice: Choice,
) -> Vec<Ending> {
    let weeks = site.weeks();
    let Some((first, natural)) = span(site, timeline) else {
        return Vec::new();
    };
    let amount: f64 = share
        * timeline
            .harvest
            .iter()
            .map(|(_, amount)| amount)
            .sum::<f64>();
    if amount <= 0.0 {
        return Vec::new();
    }
    let mut ends: Vec<usize> = match choice {
        Choice::All => STANDING_WEEKS.iter().map(|weeks| first + weeks).collect(),
        Choice::Few => STANDING_WEEKS
            .iter()
            .skip(1)
            .step_by(2)
            .map(|weeks| first + weeks)
            .collect(),
        Choice::Natural => Vec::new(),
    };
    ends.retain(|&end| end < natural);
    ends.push(natural);
    ends.into_iter()
        .map(|end| Ending {
            end,
            lots: vec![Lot {
                product,
                from: first,
                fresh_until: end - 1,
                until: (end - 1 + keeps(way)).min(weeks - 1),
                amount,
            }],
            credited_weeks: 0,
        })
        .collect()
}

/// Cleared in the first week it can be: when it is ready, or now if it has been ready before.
fn cleared(site: &Site, product: usize, way: &Way, timeline: &Timeline, share: f64) -> Vec<Ending> {
    let Some((first, _)) = span(site, timeline) else {
        return Vec::new();
    };
    let amount: f64 = share
        * timeline
            .harvest
            .iter()
            .map(|(_, amount)| amount)
            .sum::<f64>();
    if amount <= 0.0 {
        return Vec::new();
    }
    vec![Ending {
        end: first + 1,
        lots: vec![Lot {
            product,
            from: first,
            fresh_until: first,
            until: (first + keeps(way)).min(site.weeks() - 1),
            amount,
        }],
        credited_weeks: 0,
    }]
}

/// The ends of a green manure.
pub(super) fn of_green_manure(site: &Site, timeline: &Timeline, choice: Choice) -> Vec<Ending> {
    let Some((first, natural)) = span(site, timeline) else {
        return Vec::new();
    };
    let mut ends: Vec<usize> = match choice {
        Choice::Natural => Vec::new(),
        Choice::All | Choice::Few => GREEN_WEEKS.iter().map(|weeks| first + weeks).collect(),
    };
    ends.retain(|&end| end < natural);
    ends.push(natural);
    ends.into_iter()
        .map(|end| Ending {
            end,
            lots: Vec::new(),
            credited_weeks: end - first,
        })
        .collect()
}

/// First week of the horizon in which it is ready, and its natural end (cut at the horizon).
fn span(site: &Site, timeline: &Timeline) -> Option<(usize, usize)> {
    let first = inside(site, timeline.first.max(0))?;
    let natural = usize::try_from(timeline.last + 1).ok()?.min(site.weeks());
    (first < natural).then_some((first, natural))
}

fn keeps(way: &Way) -> usize {
    usize::try_from(way.keeps_weeks).expect("a usize holds 32 bits")
}
