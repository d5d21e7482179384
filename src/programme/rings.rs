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
pub(super) struct Ring {
    group: GroupId,
    /// Of rings with equal numbers only the first of those with the same plantings is tried.
    alike: usize,
    pub years: usize,
    /// Candidates of the ring's first year, each with the year in which it is begun.
    pub planted: Vec<(CandidateId, usize)>,
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
pub(super) fn longest_first(season: &Season, counts: &[(CandidateId, u32)]) -> Vec<CandidateId> {
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
pub(super) fn empty_rings(season: &Season, group: GroupId, like: GroupId) -> Vec<Ring> {
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
pub(super) fn years(season: &Season, cycle: &Cycle, rings: &[Ring]) -> Vec<Vec<CandidateId>> {
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
    /// The same ring with other plantings.
    pub fn with(&self, planted: Vec<(CandidateId, usize)>) -> Ring {
        Ring {
            planted,
            ..self.clone()
        }
    }

    /// The first year whose beginning no planting stands over.
    pub fn free_turn(&self, season: &Season) -> Option<usize> {
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
        let circle = Circle::of(season, ring.group);
        circle.holds(candidate)
            && ring.planted.iter().all(|&there| {
                let meeting = circle.meeting((candidate, year), there);
                meeting.weeks == 0 && meeting.broken == 0
            })
    }
}

/// The weeks of one ring of a group, all its years in a circle.
#[derive(Clone, Copy)]
pub(super) struct Circle<'a> {
    season: &'a Season,
    pub weeks: usize,
    rules: &'a [Rotation],
}

/// In what two plantings of a ring are in each other's way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Meeting {
    /// Weeks in which both stand.
    pub weeks: usize,
    /// Forbidden breaks cut short.
    pub broken: usize,
    /// Discouraged breaks cut short.
    pub discouraged: usize,
}

impl<'a> Circle<'a> {
    pub fn of(season: &'a Season, group: GroupId) -> Circle<'a> {
        let it = &season.groups[group];
        Circle {
            season,
            weeks: it.weeks,
            rules: &season.beds[it.bed].rotation,
        }
    }

    /// The week on the circle of a week of a planting's first year, begun in that year of the ring.
    pub fn place(&self, year: usize, week: usize) -> usize {
        (year * self.season.weeks + week) % self.weeks
    }

    /// Weeks from one week on the circle until the next.
    pub fn after(&self, from: usize, to: usize) -> usize {
        (to + self.weeks - from) % self.weeks
    }

    /// Weeks that two spans share, each told by its first week and its length.
    fn shared(&self, one: (usize, usize), other: (usize, usize)) -> usize {
        let behind = |a: (usize, usize), b: (usize, usize)| {
            (a.1.saturating_sub(self.after(a.0, b.0))).min(b.1)
        };
        match one.0 == other.0 {
            true => one.1.min(other.1),
            false => behind(one, other) + behind(other, one),
        }
    }

    /// Whether a candidate can stand there at all: it must not meet itself again too soon.
    fn holds(&self, candidate: CandidateId) -> bool {
        let c = &self.season.candidates[candidate];
        let comes_again = |family: usize, weeks: usize| match self.rules[family] {
            Rotation::Forbid { weeks: gap } => weeks + gap <= self.weeks,
            _ => true,
        };
        c.end - c.start <= self.weeks
            && (c.standing.is_some()
                || (c.families.iter()).all(|used| comes_again(used.family, used.until - used.from)))
    }

    /// How two plantings, each with the year of the ring in which it is begun, are in each other's way.
    pub fn meeting(&self, one: (CandidateId, usize), other: (CandidateId, usize)) -> Meeting {
        let (a, b) = (
            &self.season.candidates[one.0],
            &self.season.candidates[other.0],
        );
        let mut meeting = Meeting {
            weeks: self.shared(
                (self.place(one.1, a.start), a.end - a.start),
                (self.place(other.1, b.start), b.end - b.start),
            ),
            ..Meeting::default()
        };
        for used in &a.families {
            let (gap, count) = match self.rules[used.family] {
                Rotation::Forbid { weeks } => (weeks, &mut meeting.broken),
                Rotation::Discourage { weeks, .. } => (weeks, &mut meeting.discouraged),
                Rotation::Off => continue,
            };
            let again = b.families.iter().filter(|f| f.family == used.family);
            let short = again.filter(|f| {
                let first = (self.place(one.1, used.from), used.until - used.from + gap);
                let second = (self.place(other.1, f.from), f.until - f.from + gap);
                self.shared(first, second) > 0
            });
            *count += short.count();
        }
        meeting
    }
}
