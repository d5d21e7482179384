//! A repair that clears what is kept in the week in which it was to be cleared, unless another one brings more.
//!
//! Clearing in another week has no price (docs/method/programme.md, "Plantings decided on"), and of the many
//! repairs that are worth the same the search finds any. Whoever works by the plan reads a line for each
//! clearing that has moved.

use super::places::in_place;
use crate::candidates::{Beginning, Candidate, CandidateId, Decided, Rotation, Season};
use crate::domain::{BedId, StandingId};
use crate::solve::{self, Answer, Given, Watch};
use crate::strips::{LotClasses, Prices, Values, VarietyRows};
use crate::units::Week;
use std::collections::{BTreeMap, VecDeque};

/// Divisions of a year's supply that are tried (estimate: on a holding of 42 beds one takes 0.2 s, and with so
/// many all but a few of some 200 clearings find out whether they may stay).
const TRIES: usize = 32;
/// What the last digits of a division may take from the worth, share of it.
const ROUNDING_SHARE: f64 = 1e-7;

/// A planting of a strip's year, and another ending for it.
#[derive(Clone, Copy)]
struct Swap {
    bed: BedId,
    strip: usize,
    /// Its place in the strip's year.
    at: usize,
    to: CandidateId,
}

/// What stands, or how each member begins.
pub(super) type Begun = (Option<StandingId>, Vec<Beginning>);
/// Plantings that begin alike: strip, place in its year, candidate.
type Alike = Vec<(usize, usize, CandidateId)>;

/// The answer with the clearings of `decided` where that costs it nothing: ground and covers stay as they are, and
/// the worth is no less. All are tried together, then by halves, until `limit`, seconds by the watch; `prices` tell
/// which are likely to cost nothing. Then strips of a bed change the ends of their years, so that as much as can
/// be is where it was meant to be.
pub fn steady(
    season: &Season,
    answer: Answer,
    decided: &Decided,
    prices: Option<&Prices>,
    (limit, watch): (Option<f64>, &dyn Watch),
) -> Answer {
    let late = || limit.is_some_and(|limit| watch.seconds() >= limit);
    let least = answer.worth - ROUNDING_SHARE * answer.worth.abs();
    let mut open = VecDeque::from([swaps(season, &answer, decided, prices)]);
    let mut answer = answer;
    for _ in 0..TRIES {
        let next = open.pop_front().filter(|swaps| !swaps.is_empty());
        let Some(swaps) = next else { break };
        if watch.interrupted() || late() {
            break;
        }
        match swapped(season, &answer, &swaps, watch) {
            Some(found) if found.worth >= least => answer = found,
            _ if swaps.len() == 1 => {}
            _ => {
                let (likely, rest) = swaps.split_at(swaps.len() / 2);
                open.extend([likely.to_vec(), rest.to_vec()]);
            }
        }
    }
    let strips = in_place(season, &answer.strips, decided);
    match divided(season, &answer, &strips, watch) {
        Some(found) if found.worth >= least => found,
        _ => answer,
    }
}

/// The answer with other endings, its supply divided anew; `None` where a limit is broken.
fn swapped(season: &Season, answer: &Answer, swaps: &[Swap], watch: &dyn Watch) -> Option<Answer> {
    let mut strips = answer.strips.clone();
    for swap in swaps {
        strips[swap.bed][swap.strip][swap.at] = swap.to;
    }
    divided(season, answer, &strips, watch)
}

/// The answer with those strip-years, its supply divided anew; `None` where a limit is broken.
fn divided(
    season: &Season,
    answer: &Answer,
    strips: &[Vec<Vec<CandidateId>>],
    watch: &dyn Watch,
) -> Option<Answer> {
    let given = Given {
        strips,
        covers: &answer.covers,
    };
    let found = solve::evaluate(season, given, watch)?;
    Some(Answer {
        bound: answer.bound.max(found.worth),
        work: answer.work,
        status: answer.status,
        ..found
    })
}

/// The endings that were meant, for plantings of the same beginning in the same bed that end otherwise; those
/// that gain most at the prices first.
fn swaps(
    season: &Season,
    answer: &Answer,
    decided: &Decided,
    prices: Option<&Prices>,
) -> Vec<Swap> {
    let mut found = Vec::new();
    for bed in 0..season.beds.len() {
        let mut meant = alike(season, &decided.strips[bed]);
        for (begun, mut now) in alike(season, &answer.strips[bed]) {
            let Some(meant) = meant.get_mut(&begun) else {
                continue;
            };
            // Those that end as one was meant to.
            now.retain(|&(_, _, id)| {
                let same = |&(_, _, other): &(usize, usize, CandidateId)| {
                    cleared(season, other).eq(cleared(season, id))
                };
                let place = meant.iter().position(same);
                place.map(|place| meant.remove(place)).is_none()
            });
            for (strip, at, _) in now {
                // What was meant for the very strip comes first.
                meant.sort_by_key(|&(other, at, id)| (other != strip, other, at, id));
                let ends = meant.iter().enumerate();
                let mut fitting = ends.filter_map(|(place, &(_, _, like))| {
                    Some((place, ending(season, answer, (bed, strip, at), like)?))
                });
                if let Some((place, to)) = fitting.next() {
                    meant.remove(place);
                    found.push(Swap { bed, strip, at, to });
                }
            }
        }
    }
    if let Some(prices) = prices {
        let values = Values::of(
            season,
            &LotClasses::of(season),
            &VarietyRows::of(season),
            prices,
        );
        let gain = |swap: &Swap| {
            let was = answer.strips[swap.bed][swap.strip][swap.at];
            let covers = values.covers[swap.to] - values.covers[was];
            values.bare[swap.to]
                - values.bare[was]
                - covers / f64::from(season.beds[swap.bed].strips)
        };
        found.sort_by(|a, b| gain(b).total_cmp(&gain(a)));
    }
    found
}

fn alike(season: &Season, years: &[Vec<CandidateId>]) -> BTreeMap<Begun, Alike> {
    let mut found: BTreeMap<Begun, Alike> = BTreeMap::new();
    for (strip, year) in years.iter().enumerate() {
        for (at, &id) in year.iter().enumerate() {
            let begun = begun(&season.candidates[id]);
            found.entry(begun).or_default().push((strip, at, id));
        }
    }
    found
}

pub(super) fn begun(candidate: &Candidate) -> Begun {
    let members = candidate.members.iter().filter_map(|m| {
        Some(Beginning {
            crop: m.crop,
            raising: m.raising?,
            lit: m.lit,
            sown: m.sown,
            planted: Some(m.planted),
        })
    });
    (candidate.standing, members.collect())
}

fn cleared(season: &Season, id: CandidateId) -> impl Iterator<Item = Week> {
    season.candidates[id].members.iter().map(|m| m.cleared)
}

/// The planting there with the ending of `like`, harvested as now where that can be, if strip and covers
/// leave room for it.
fn ending(
    season: &Season,
    answer: &Answer,
    (bed, strip, at): (BedId, usize, usize),
    like: CandidateId,
) -> Option<CandidateId> {
    let year = &answer.strips[bed][strip];
    let mask = &answer.covers[bed];
    let now = &season.candidates[year[at]];
    let next = (year.get(at + 1)).map_or(season.weeks, |&c| season.candidates[c].start);
    // What stands to the end of the plan is cleared after it: that work is saved, whatever was meant.
    let minutes = |c: &Candidate| c.work.iter().map(|(_, minutes)| minutes).sum::<f64>();
    let saved = |c: &Candidate| now.end == season.weeks && minutes(now) < minutes(c);
    let begun_now = begun(now);
    let fits = |&id: &CandidateId| {
        let c = &season.candidates[id];
        c.end <= next
            && cleared(season, id).eq(cleared(season, like))
            && begun(c) == begun_now
            && !saved(c)
            && season.allowed(id, bed)
            && mask[c.start..c.end] == c.states[..]
            && rested(season, bed, &year[at + 1..], c)
    };
    let ways = |c: &Candidate| c.members.iter().map(|m| m.way).collect::<Vec<_>>();
    (0..season.candidates.len())
        .filter(fits)
        .min_by_key(|&id| (ways(&season.candidates[id]) != ways(now), id != like, id))
}

/// Whether what comes after it keeps its forbidden breaks.
fn rested(season: &Season, bed: BedId, later: &[CandidateId], candidate: &Candidate) -> bool {
    later.iter().all(|&later| {
        season.candidates[later].families.iter().all(|next| {
            let Rotation::Forbid { weeks } = season.beds[bed].rotation[next.family] else {
                return true;
            };
            (candidate.families.iter())
                .all(|used| used.family != next.family || used.until + weeks <= next.from)
        })
    })
}
