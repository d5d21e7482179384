//! Lays the plantings of one bed out strip by strip: first so that they do not overlap, then by exchanging
//! parts of two strips' years until every break is kept. For beds that are too full for the exhaustive
//! search.

use crate::candidates::{Candidate, CandidateId, GroupId, Rotation, Season};
use crate::domain::BedId;
use crate::rules::OwnFamilies;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Exchanges after which the search gives up (estimate: beds that can be laid out take a hundredth).
const MOST_EXCHANGES: usize = 1_000_000;
/// A loss that is taken with likelihood 1/e; a forbidden break cut short counts as one (estimate).
const WARMTH: f64 = 0.25;
/// What a discouraged break cut short counts.
pub(super) const DISCOURAGED: f64 = 0.01;
/// Counted beyond this, some break is cut short that must not be.
pub(super) const NOT_YET: f64 = 0.9;

struct Search<'a> {
    season: &'a Season,
    bed: BedId,
    own: OwnFamilies,
    /// The group of each strip.
    groups: Vec<GroupId>,
    /// For each strip its candidates in order of time.
    years: Vec<Vec<CandidateId>>,
}

/// Strip-years with these counts (candidate, strips), or none if none were found. Discouraged breaks
/// are kept where that comes easily.
pub fn exchange(
    season: &Season,
    bed: BedId,
    counts: &[(CandidateId, u32)],
) -> Option<Vec<Vec<CandidateId>>> {
    let mut groups = vec![0; season.beds[bed].strips as usize];
    for (g, group) in season.groups.iter().enumerate() {
        if group.bed == bed {
            for &strip in &group.strips {
                groups[strip as usize] = g;
            }
        }
    }
    let mut search = Search {
        season,
        bed,
        own: OwnFamilies::of(season),
        years: vec![Vec::new(); groups.len()],
        groups,
    };
    search.begin(counts)?;
    search.run().then_some(search.years)
}

impl<'a> Search<'a> {
    fn candidate(&self, candidate: CandidateId) -> &'a Candidate {
        &self.season.candidates[candidate]
    }

    /// Each planting in order of time on the strip whose breaks it cuts short least, and of these on
    /// the one cleared last; `None` where they overlap anyhow.
    fn begin(&mut self, counts: &[(CandidateId, u32)]) -> Option<()> {
        let mut items: Vec<CandidateId> = (counts.iter())
            .flat_map(|&(candidate, strips)| std::iter::repeat_n(candidate, strips as usize))
            .collect();
        items.sort_by_key(|&c| {
            let it = self.candidate(c);
            (it.standing.is_none(), it.start, it.end, c)
        });
        for item in items {
            let it = self.candidate(item);
            let free = |s: &usize| {
                let stands = self.season.groups[self.groups[*s]].standing;
                match self.years[*s].last() {
                    Some(&last) => it.standing.is_none() && self.candidate(last).end <= it.start,
                    None => it.standing == stands,
                }
            };
            let cost = |s: usize| {
                let mut year = self.years[s].clone();
                year.push(item);
                self.cost(s, &year)
            };
            let freed = |s: usize| self.years[s].last().map_or(0, |&c| self.candidate(c).end);
            let to = (0..self.years.len()).filter(free).min_by(|&a, &b| {
                let by_cost = cost(a).total_cmp(&cost(b));
                by_cost.then(freed(b).cmp(&freed(a))).then(a.cmp(&b))
            })?;
            self.years[to].push(item);
        }
        Some(())
    }

    /// Breaks cut short on a strip with that year: forbidden ones count 1.
    fn cost(&self, strip: usize, year: &[CandidateId]) -> f64 {
        let group = &self.season.groups[self.groups[strip]];
        let rotation = &self.season.beds[self.bed].rotation;
        let mut cost = 0.0;
        for (n, &next) in year.iter().enumerate() {
            let next = self.candidate(next);
            for used in &next.families {
                let (weeks, count) = match rotation[used.family] {
                    Rotation::Forbid { weeks } => (weeks, 1.0),
                    Rotation::Discourage { weeks, .. } => (weeks, DISCOURAGED),
                    Rotation::Off => continue,
                };
                // Where the family itself stands, its own window covers its history; what stands was
                // there before the plan.
                if next.standing.is_none()
                    && group.release[used.family] > used.from
                    && !self.own.holds(group.standing, used.family)
                {
                    cost += count;
                }
                for &before in &year[..n] {
                    let earlier = self.candidate(before).families.iter();
                    let short =
                        earlier.filter(|f| f.family == used.family && f.until + weeks > used.from);
                    cost += count * short.count() as f64;
                }
            }
        }
        cost
    }

    /// Whether every forbidden break is kept in the end.
    fn run(&mut self) -> bool {
        let mut random = ChaCha8Rng::seed_from_u64(1);
        let mut costs: Vec<f64> = (0..self.years.len())
            .map(|s| self.cost(s, &self.years[s]))
            .collect();
        for _ in 0..MOST_EXCHANGES {
            let wrong: Vec<usize> = (0..costs.len()).filter(|&s| costs[s] > NOT_YET).collect();
            if wrong.is_empty() {
                return true;
            }
            let one = wrong[random.random_range(0..wrong.len())];
            let other = random.random_range(0..costs.len());
            if one == other {
                continue;
            }
            let Some((first, second)) = self.exchanged(one, other, &mut random) else {
                continue;
            };
            let (now, then) = (self.cost(one, &first), self.cost(other, &second));
            let loss = now + then - costs[one] - costs[other];
            if loss <= 0.0 || random.random::<f64>() < (-loss / WARMTH).exp() {
                (self.years[one], self.years[other]) = (first, second);
                (costs[one], costs[other]) = (now, then);
            }
        }
        false
    }

    /// The years of two strips with some plantings on end exchanged, or all from some week on; `None`
    /// where they would overlap.
    fn exchanged(
        &self,
        one: usize,
        other: usize,
        random: &mut ChaCha8Rng,
    ) -> Option<(Vec<CandidateId>, Vec<CandidateId>)> {
        let (a, b) = (&self.years[one], &self.years[other]);
        let to_the_end = random.random_bool(0.5);
        let mut part = |year: &[CandidateId]| {
            let stands = year
                .first()
                .is_some_and(|&c| self.candidate(c).standing.is_some());
            let first = random.random_range(usize::from(stands)..=year.len());
            let last = match to_the_end {
                true => year.len(),
                false => random.random_range(first..=year.len()),
            };
            (first, last)
        };
        let ((a0, a1), (b0, b1)) = (part(a), part(b));
        let joined = |x: &[CandidateId], y: &[CandidateId], z: &[CandidateId]| {
            let year = [x, y, z].concat();
            let fits =
                |pair: &[CandidateId]| self.candidate(pair[0]).end <= self.candidate(pair[1]).start;
            year.windows(2).all(fits).then_some(year)
        };
        Some((
            joined(&a[..a0], &b[b0..b1], &a[a1..])?,
            joined(&b[..b0], &a[a0..a1], &b[b1..])?,
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::candidates::FamilyUse;
    use crate::test_answers::greedy;
    use crate::test_season::full_season;
    use std::collections::BTreeMap;

    fn counted(years: &[Vec<CandidateId>]) -> Vec<(CandidateId, u32)> {
        let mut counts: BTreeMap<CandidateId, u32> = BTreeMap::new();
        for &candidate in years.iter().flatten() {
            *counts.entry(candidate).or_default() += 1;
        }
        counts.into_iter().collect()
    }

    /// Whether a strip keeps everything that is forbidden, told from the season alone.
    fn keeps(season: &Season, bed: BedId, strip: u32, year: &[CandidateId]) -> bool {
        let mut groups = season.groups.iter().filter(|g| g.bed == bed);
        let group = groups.find(|g| g.strips.contains(&strip)).expect("a group");
        let stands: Vec<usize> = (year.iter())
            .filter_map(|&c| season.candidates[c].standing)
            .collect();
        let weeks_of = |f: &FamilyUse| match season.beds[bed].rotation[f.family] {
            Rotation::Forbid { weeks } => Some(weeks),
            _ => None,
        };
        let history_kept = (year.iter().map(|&c| &season.candidates[c]))
            .filter(|c| c.standing.is_none() && group.standing.is_none())
            .flat_map(|c| &c.families)
            .all(|f| weeks_of(f).is_none() || group.release[f.family] <= f.from);
        let apart = |a: &Candidate, b: &Candidate| {
            let breaks_kept = a.families.iter().all(|old| {
                let again = b.families.iter().filter(|new| new.family == old.family);
                again
                    .into_iter()
                    .all(|new| weeks_of(old).is_none_or(|weeks| old.until + weeks <= new.from))
            });
            a.end <= b.start && breaks_kept
        };
        let all_apart = (0..year.len()).all(|n| {
            year[..n]
                .iter()
                .all(|&a| apart(&season.candidates[a], &season.candidates[year[n]]))
        });
        stands == group.standing.into_iter().collect::<Vec<_>>() && history_kept && all_apart
    }

    #[test]
    fn what_was_laid_out_once_is_laid_out_again() {
        for seed in 1..4 {
            let season = full_season(seed);
            for (bed, years) in greedy(&season).strips.iter().enumerate() {
                let counts = counted(years);
                let found = exchange(&season, bed, &counts).expect("there is a layout");
                assert_eq!(counted(&found), counts);
                for (strip, year) in (0..).zip(&found) {
                    assert!(keeps(&season, bed, strip, year), "bed {bed}, strip {strip}");
                }
            }
        }
    }

    #[test]
    fn more_than_the_ground_holds_is_refused() {
        let season = full_season(1);
        let planted = |c: &CandidateId| season.candidates[*c].standing.is_none();
        let any = (0..season.candidates.len())
            .find(planted)
            .expect("a planting");
        let strips = season.beds[0].strips;
        assert_eq!(exchange(&season, 0, &[(any, strips + 1)]), None);
    }
}
