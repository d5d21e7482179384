//! Lays the plantings of a group of rings out: first where each is least in the way of the others, then by
//! exchanging spans of weeks between rings, or years of one ring, until nothing overlaps and every break is kept.
//! For groups that are too full for the exhaustive search.

use super::exchange::{DISCOURAGED, NOT_YET};
use super::rings::{Circle, Ring, empty_rings, longest_first, years};
use crate::candidates::{CandidateId, Cycle, GroupId, Season};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Exchanges after which the search gives up (estimate: groups that can be laid out take a tenth).
const MOST_EXCHANGES: usize = 500_000;
/// Exchanges by which discouraged breaks are lengthened once all others are kept (estimate).
const MOST_TO_LENGTHEN: usize = 50_000;
/// A loss that is taken with likelihood 1/e; a forbidden break cut short counts as one (estimate).
const WARMTH: f64 = 0.22;
/// What two plantings on the same ground count, and each week of it besides (estimates).
const OVERLAP: f64 = 0.7;
const OVERLAP_WEEK: f64 = 0.3;

/// A planting and the year of its ring in which it is begun.
type Item = (CandidateId, usize);

struct Search<'a> {
    season: &'a Season,
    circle: Circle<'a>,
    rings: Vec<Ring>,
}

/// Plantings of all years of each ring, in order of time, with these counts (candidate of a ring's first year,
/// strips), or none if none were found. Discouraged breaks are kept where that comes easily.
pub fn exchange(
    season: &Season,
    cycle: &Cycle,
    group: GroupId,
    counts: &[(CandidateId, u32)],
) -> Option<Vec<Vec<CandidateId>>> {
    let mut search = Search {
        season,
        circle: Circle::of(season, group),
        rings: empty_rings(season, group, group),
    };
    search.begin(counts);
    search.run().then(|| years(season, cycle, &search.rings))
}

impl Search<'_> {
    /// Each planting, the longest first, where it is least in the way.
    fn begin(&mut self, counts: &[(CandidateId, u32)]) {
        for candidate in longest_first(self.season, counts) {
            let places = (0..self.rings.len())
                .flat_map(|ring| (0..self.rings[ring].years).map(move |year| (ring, year)));
            let cost = |&(ring, year): &(usize, usize)| {
                let there = self.rings[ring].planted.iter();
                let pairs = there.map(|&other| self.pair((candidate, year), other));
                pairs.sum::<f64>()
            };
            let best = places.min_by(|a, b| cost(a).total_cmp(&cost(b)));
            let (ring, year) = best.expect("a group has strips");
            self.rings[ring].planted.push((candidate, year));
        }
    }

    /// What two plantings count that are in each other's way.
    fn pair(&self, one: Item, other: Item) -> f64 {
        let meeting = self.circle.meeting(one, other);
        let overlap = match meeting.weeks {
            0 => 0.0,
            weeks => OVERLAP + OVERLAP_WEEK * weeks as f64,
        };
        overlap + meeting.broken as f64 + DISCOURAGED * meeting.discouraged as f64
    }

    /// What a ring counts: 1 for a forbidden break cut short, and for want of a turn of the year to cut it open.
    fn cost(&self, ring: &Ring) -> f64 {
        let mut cost = match ring.free_turn(self.season) {
            Some(_) => 0.0,
            None => 1.0,
        };
        for (n, &one) in ring.planted.iter().enumerate() {
            let before = ring.planted[..n].iter();
            cost += before.map(|&other| self.pair(other, one)).sum::<f64>();
        }
        cost
    }

    /// Whether nothing is in the way of anything in the end. Discouraged breaks are lengthened for a while after.
    fn run(&mut self) -> bool {
        let mut random = ChaCha8Rng::seed_from_u64(1);
        let mut costs: Vec<f64> = self.rings.iter().map(|ring| self.cost(ring)).collect();
        let above = |costs: &[f64], cost: f64| -> Vec<usize> {
            (0..costs.len()).filter(|&r| costs[r] > cost).collect()
        };
        let mut lengthened = 0;
        for _ in 0..MOST_EXCHANGES {
            let mut wrong = above(&costs, NOT_YET);
            let laid_out = wrong.is_empty();
            if laid_out {
                wrong = above(&costs, 0.0);
                lengthened += 1;
            }
            if wrong.is_empty() || lengthened > MOST_TO_LENGTHEN {
                return true;
            }
            let one = wrong[random.random_range(0..wrong.len())];
            let other = random.random_range(0..costs.len());
            let Some(changed) = self.exchanged(one, other, &mut random) else {
                continue;
            };
            let then: Vec<f64> = changed.iter().map(|ring| self.cost(ring)).collect();
            let at = &[one, other][..changed.len()];
            let now: f64 = at.iter().map(|&r| costs[r]).sum();
            let loss = then.iter().sum::<f64>() - now;
            let mut taken = || random.random::<f64>() < (-loss / WARMTH).exp();
            if loss <= 0.0 || (!laid_out && taken()) {
                for ((&r, ring), cost) in at.iter().zip(changed).zip(then) {
                    (self.rings[r], costs[r]) = (ring, cost);
                }
            }
        }
        above(&costs, NOT_YET).is_empty()
    }

    /// Two rings with what is begun in a span of weeks exchanged, the span some years later in the second one; one
    /// ring with two spans of its own exchanged where both are the same. `None` where these overlap.
    fn exchanged(&self, one: usize, other: usize, random: &mut ChaCha8Rng) -> Option<Vec<Ring>> {
        let (a, b) = (&self.rings[one], &self.rings[other]);
        let begun = |&(c, year): &Item| self.circle.place(year, self.season.candidates[c].start);
        let ended = |&(c, year): &Item| self.circle.place(year, self.season.candidates[c].end);
        // From where one planting begins until where one ends.
        let from = begun(&a.planted[random.random_range(0..a.planted.len())]);
        let to = ended(&a.planted[random.random_range(0..a.planted.len())]);
        let weeks = self.circle.after(from, to).max(1);
        let later = random.random_range(0..a.years);
        let shifted = later * self.season.weeks;
        let inside = |item: &Item, from: usize| self.circle.after(from, begun(item)) < weeks;
        let first = |item: &Item| inside(item, from);
        let second = |item: &Item| inside(item, (from + shifted) % self.circle.weeks);
        let forth = |&(c, year): &Item| (c, (year + later) % a.years);
        let back = |&(c, year): &Item| (c, (year + a.years - later) % a.years);
        if one == other {
            let apart = shifted.min(self.circle.weeks - shifted);
            if later == 0 || apart < weeks {
                return None;
            }
            let moved = a.planted.iter().map(|item| match item {
                it if first(it) => forth(it),
                it if second(it) => back(it),
                it => *it,
            });
            return Some(vec![a.with(moved.collect())]);
        }
        let stays = |it: &&Item| !first(it);
        let comes = b.planted.iter().filter(|it| second(it)).map(back);
        let into_a = a.planted.iter().filter(stays).copied().chain(comes);
        let goes = a.planted.iter().filter(|it| first(it)).map(forth);
        let stays = |it: &&Item| !second(it);
        let into_b = b.planted.iter().filter(stays).copied().chain(goes);
        Some(vec![a.with(into_a.collect()), b.with(into_b.collect())])
    }
}
