//! Splits strips of a standing year that are counted by candidate into the years of its rings: for one bed, or for
//! all beds at once.
//!
//! A ring is one circle of weeks. Where it is cut open does not matter, as long as one turn of the year is left free
//! for the cut; so a ring is filled in any year first, and turned in the end.

use super::by_bed;
use super::split::{MOST_TRIES, MOST_TRIES_AT_ONCE, Split, alike};
use crate::candidates::{CandidateId, CoverState, Cycle, GroupId, Rotation, Season};
use std::collections::BTreeSet;

/// What has been put into a ring so far.
#[derive(Clone)]
struct Ring {
    group: GroupId,
    /// Of rings with equal numbers only the first of those with the same plantings is tried.
    alike: usize,
    years: usize,
    /// Candidates of the ring's first year, each with the year in which it is begun.
    planted: Vec<(CandidateId, usize)>,
}

struct Search<'a> {
    season: &'a Season,
    /// What lies on each bed, where that decides.
    covers: Option<&'a [Vec<CoverState>]>,
    most_tries: u64,
    /// Candidates, once for each strip.
    items: Vec<CandidateId>,
    rings: Vec<Ring>,
    tries: u64,
}

/// Splits `counts` (candidate of a ring's first year, strips) of a group: for each of its rings the plantings of
/// all years, in order of time.
pub fn split(
    season: &Season,
    cycle: &Cycle,
    group: GroupId,
    counts: &[(CandidateId, u32)],
) -> Split {
    let mut search = Search {
        season,
        covers: None,
        most_tries: MOST_TRIES,
        items: longest_first(season, counts),
        rings: empty_rings(season, group, group),
        tries: 0,
    };
    if search.place(0) {
        Split::Found(years(season, cycle, &search.rings))
    } else if search.tries >= search.most_tries {
        Split::Unknown
    } else {
        Split::Impossible
    }
}

/// Places `counts` (candidate of a ring's first year, strips of all beds together) into the rings of all beds, under
/// the given covers. `None`: not found.
pub fn place(
    season: &Season,
    cycle: &Cycle,
    counts: &[(CandidateId, u32)],
    covers: &[Vec<CoverState>],
) -> Option<Vec<Vec<Vec<CandidateId>>>> {
    let rings = (0..season.groups.len()).flat_map(|g| {
        let like = (0..g).find(|&other| like(season, covers, g, other));
        empty_rings(season, g, like.unwrap_or(g))
    });
    let mut search = Search {
        season,
        covers: Some(covers),
        most_tries: MOST_TRIES_AT_ONCE,
        items: longest_first(season, counts),
        rings: rings.collect(),
        tries: 0,
    };
    if !search.place(0) {
        return None;
    }
    let of_group = |g: GroupId| {
        let rings = search.rings.iter().filter(|ring| ring.group == g);
        years(season, cycle, &rings.cloned().collect::<Vec<_>>())
    };
    Some(by_bed(
        season,
        (0..season.groups.len()).map(of_group).collect(),
    ))
}

/// Whether nothing that matters differs between two groups under these covers.
fn like(season: &Season, covers: &[Vec<CoverState>], g: GroupId, other: GroupId) -> bool {
    let (one, two) = (&season.groups[g], &season.groups[other]);
    alike(season, covers, [one.bed, two.bed])
        && (one.standing, one.weeks) == (two.standing, two.weeks)
}

/// Each candidate as often as it is counted, those that leave least choice first.
fn longest_first(season: &Season, counts: &[(CandidateId, u32)]) -> Vec<CandidateId> {
    let mut items: Vec<CandidateId> = counts
        .iter()
        .flat_map(|&(candidate, strips)| std::iter::repeat_n(candidate, strips as usize))
        .collect();
    items.sort_by_key(|&c| {
        let it = &season.candidates[c];
        (
            it.standing.is_none(),
            std::cmp::Reverse(it.end - it.start),
            c,
        )
    });
    items
}

/// The rings of a group that is `like` another one, before anything is planted.
fn empty_rings(season: &Season, group: GroupId, like: GroupId) -> Vec<Ring> {
    let it = &season.groups[group];
    let ring = Ring {
        group,
        alike: like,
        years: it.weeks / season.weeks,
        planted: Vec::new(),
    };
    vec![ring; it.strips.len()]
}

/// The plantings of each ring, in order of time.
fn years(season: &Season, cycle: &Cycle, rings: &[Ring]) -> Vec<Vec<CandidateId>> {
    let told = |ring: &Ring| {
        let cut = ring.free_turn(season).expect("a turn is left free");
        let turned = ring.planted.iter().map(|&(c, year)| {
            let year = (year + ring.years - cut) % ring.years;
            cycle.copies[c][year]
        });
        let mut year: Vec<CandidateId> = turned.collect();
        year.sort_by_key(|&c| season.candidates[c].start);
        year
    };
    rings.iter().map(told).collect()
}

impl Ring {
    /// The first year whose beginning no planting stands over.
    fn free_turn(&self, season: &Season) -> Option<usize> {
        let over: BTreeSet<usize> = (self.planted.iter())
            .flat_map(|&(c, year)| {
                let turns = (season.candidates[c].end.max(1) - 1) / season.weeks;
                (1..=turns).map(move |turn| (year + turn) % self.years)
            })
            .collect();
        (0..self.years).find(|year| !over.contains(year))
    }
}

impl Search<'_> {
    /// Places item `next` and all after it; leaves the rings filled when it succeeds.
    fn place(&mut self, next: usize) -> bool {
        let Some(&candidate) = self.items.get(next) else {
            return true;
        };
        for at in 0..self.rings.len() {
            let ring = &self.rings[at];
            let same = |other: &Ring| other.alike == ring.alike && other.planted == ring.planted;
            if self.rings[..at].iter().any(same) {
                continue;
            }
            // All years of an empty ring are alike.
            let years = if ring.planted.is_empty() {
                1
            } else {
                ring.years
            };
            for year in 0..years {
                self.tries += 1;
                if self.tries >= self.most_tries {
                    return false;
                }
                if self.fits(at, candidate, year) {
                    self.rings[at].planted.push((candidate, year));
                    if self.rings[at].free_turn(self.season).is_some() && self.place(next + 1) {
                        return true;
                    }
                    self.rings[at].planted.pop();
                }
            }
        }
        false
    }

    /// Whether a candidate can stand in a ring beside what is there, begun in that year.
    fn fits(&self, at: usize, candidate: CandidateId, year: usize) -> bool {
        let season = self.season;
        let ring = &self.rings[at];
        let group = &season.groups[ring.group];
        let c = &season.candidates[candidate];
        if c.standing != group.standing || !season.allowed(candidate, group.bed) {
            return false;
        }
        if let Some(covers) = self.covers {
            let lies = |week: usize| covers[group.bed][week % season.weeks];
            if (c.start..c.end)
                .zip(&c.states)
                .any(|(week, &state)| lies(week) != state)
            {
                return false;
            }
        }
        let rules = &season.beds[group.bed].rotation;
        // Spans of weeks on the circle, each from a first week and so long.
        let clear = |one: (usize, usize), other: (usize, usize)| {
            let after = |from: usize, to: usize| (to + group.weeks - from) % group.weeks;
            one.1 + other.1 <= group.weeks
                && after(one.0, other.0) >= one.1
                && after(other.0, one.0) >= other.1
        };
        let place = |year: usize, week: usize| (year * season.weeks + week) % group.weeks;
        let forbidden = |family: usize| match rules[family] {
            Rotation::Forbid { weeks } => Some(weeks),
            _ => None,
        };
        // It must not meet itself again too soon.
        let alone = c.standing.is_some()
            || c.families.iter().all(|used| {
                forbidden(used.family)
                    .is_none_or(|weeks| used.until - used.from + weeks <= group.weeks)
            });
        alone
            && c.end - c.start <= group.weeks
            && ring.planted.iter().all(|&(there, its_year)| {
                let other = &season.candidates[there];
                let ground = clear(
                    (place(year, c.start), c.end - c.start),
                    (place(its_year, other.start), other.end - other.start),
                );
                ground
                    && c.families.iter().all(|a| {
                        let Some(weeks) = forbidden(a.family) else {
                            return true;
                        };
                        let again = other.families.iter().filter(|b| b.family == a.family);
                        again.into_iter().all(|b| {
                            clear(
                                (place(year, a.from), a.until - a.from + weeks),
                                (place(its_year, b.from), b.until - b.from + weeks),
                            )
                        })
                    })
            })
    }
}
