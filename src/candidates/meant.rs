//! Where a plan is carried on: what it had in mind for a standing planting stays possible to the
//! week, and nothing is planted where or when ground or shelf are out of use.

use super::draft::Ending;
use super::season::{Candidate, Lot};
use super::site::{Pattern, Site};
use crate::domain::{Meant, Way, WayKind};

/// What was to lie on the bed, as a pattern; `None` where it was more than one stretch, which no
/// candidate can ask for, or lies before the start.
pub(super) fn pattern(site: &Site, meant: &Meant) -> Option<Pattern> {
    let weeks = site.weeks();
    let clip = |week: i32| usize::try_from(week.max(0)).map_or(0, |w| w.min(weeks));
    let end = clip(site.index(meant.cleared));
    let mut stretches = meant.under.iter().filter_map(|under| {
        let pattern = Pattern {
            cover: Some(under.cover),
            on: clip(site.index(under.from)),
            off: clip(site.index(under.until) + 1).min(end),
        };
        (pattern.on < pattern.off).then_some(pattern)
    });
    let first = stretches.next();
    match stretches.next() {
        None => Some(first.unwrap_or(Pattern::BARE)),
        Some(_) => None,
    }
}

/// The ending that was meant, given the natural one: the same harvest as far as it is in by then.
pub(super) fn ending(site: &Site, way: Option<&Way>, natural: &Ending, end: usize) -> Ending {
    let end = end.min(natural.end);
    let keeps = way.map_or(0, |w| w.keeps_weeks as usize);
    let lifted = way.is_some_and(|w| matches!(w.kind, WayKind::Standing { .. }));
    let lots = natural.lots.iter().filter(|lot| lot.from < end);
    let lots = lots.map(|lot| {
        if lifted && lot.fresh_until >= end {
            let fresh_until = end - 1;
            let until = (fresh_until + keeps).min(site.weeks() - 1);
            Lot {
                fresh_until,
                until,
                ..*lot
            }
        } else {
            *lot
        }
    });
    let covers_from = natural.end - natural.credited_weeks;
    Ending {
        end,
        lots: lots.collect(),
        credited_weeks: end.saturating_sub(covers_from).min(natural.credited_weeks),
    }
}

/// Whether ground and shelf are in use in all weeks of a candidate.
pub(super) fn open(site: &Site, candidate: &Candidate) -> bool {
    let scenario = site.scenario;
    let (from, until) = (scenario.week(candidate.start), scenario.week(candidate.end));
    !scenario.closed(site.bed, from, until)
        && candidate.shelf.iter().all(|s| {
            let week = scenario.week(s.week);
            !scenario.shelf_closed(s.lit, week, week.plus(1))
        })
}
