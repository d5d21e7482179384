//! Which strip of a bed gets which year.
//!
//! Strips of one group start alike, so their years may change places freely. Neighbours should
//! carry the same plantings, for then a planting is one piece of ground.

use crate::candidates::{CandidateId, Season};

/// The years of every bed's strips, rearranged within each group.
pub fn arrange(season: &Season, strips: &[Vec<Vec<CandidateId>>]) -> Vec<Vec<Vec<CandidateId>>> {
    let mut arranged = strips.to_vec();
    for group in &season.groups {
        let mut years: Vec<Vec<CandidateId>> = group
            .strips
            .iter()
            .map(|&s| strips[group.bed][s as usize].clone())
            .collect();
        years.sort();
        for (&strip, year) in group.strips.iter().zip(chain(season, &years)) {
            arranged[group.bed][strip as usize] = year;
        }
    }
    arranged
}

/// The years in an order in which neighbours share most: from each possible first year, always
/// the one that shares most with the last; the best of these orders.
fn chain(season: &Season, years: &[Vec<CandidateId>]) -> Vec<Vec<CandidateId>> {
    let shared: Vec<Vec<usize>> = years
        .iter()
        .map(|a| years.iter().map(|b| shared_weeks(season, a, b)).collect())
        .collect();
    let best = (0..years.len())
        .map(|first| follow(&shared, first))
        .rev() // of equal ones, max_by_key takes the last
        .max_by_key(|(_, total)| *total)
        .map(|(order, _)| order)
        .unwrap_or_default();
    best.into_iter().map(|i| years[i].clone()).collect()
}

/// The greedy order from `first`, and the weeks that its neighbours share.
fn follow(shared: &[Vec<usize>], first: usize) -> (Vec<usize>, usize) {
    let (mut order, mut total) = (vec![first], 0);
    let mut open: Vec<usize> = (0..shared.len()).filter(|&i| i != first).collect();
    while !open.is_empty() {
        let last = order[order.len() - 1];
        let (at, &next) = open
            .iter()
            .enumerate()
            .rev()
            .max_by_key(|(_, i)| shared[last][**i])
            .expect("some are open");
        total += shared[last][next];
        order.push(next);
        open.remove(at);
    }
    (order, total)
}

/// Weeks in which both years hold the same planting.
fn shared_weeks(season: &Season, a: &[CandidateId], b: &[CandidateId]) -> usize {
    a.iter()
        .filter(|id| b.contains(id))
        .map(|&id| season.candidates[id].end - season.candidates[id].start)
        .sum()
}
