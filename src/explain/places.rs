//! Which strip of a bed has which plantings: the search finds any of many ways to lay a bed out that are worth the
//! same, and to whoever reads the chart of a bed each strip that is not as it was looks like a change.

use super::steady::{Begun, begun};
use crate::candidates::{CandidateId, Decided, GroupId, Season};
use crate::solve::{keeps_rotation, rotation_cost};
use std::collections::BTreeMap;

/// Times that the strips of a bed are gone over (estimate: two or three find all).
const ROUNDS: usize = 8;
/// Differences between prices of breaks below this are none, money.
const NOTHING: f64 = 1e-9;

/// The strip-years with the ends of years changed between strips of one bed wherever more of what is kept comes to
/// stand where `decided` has it. Ground, breaks and their price leave room for it; all else goes by bed.
pub(super) fn in_place(
    season: &Season,
    strips: &[Vec<Vec<CandidateId>>],
    decided: &Decided,
) -> Vec<Vec<Vec<CandidateId>>> {
    let mut placed = strips.to_vec();
    for (bed, years) in placed.iter_mut().enumerate() {
        let mut group_of = vec![0; years.len()];
        for (g, group) in season
            .groups
            .iter()
            .enumerate()
            .filter(|(_, g)| g.bed == bed)
        {
            for &strip in &group.strips {
                group_of[strip as usize] = g;
            }
        }
        let begun = (years.iter().chain(&decided.strips[bed]).flatten())
            .map(|&id| (id, begun(&season.candidates[id])))
            .collect();
        let layout = Layout {
            season,
            group_of,
            meant: &decided.strips[bed],
            begun,
        };
        for _ in 0..ROUNDS {
            if !layout.better(years) {
                break;
            }
        }
    }
    placed
}

/// A bed whose strips are laid out.
struct Layout<'s> {
    season: &'s Season,
    /// By strip.
    group_of: Vec<GroupId>,
    meant: &'s [Vec<CandidateId>],
    /// How what is on the bed, or was meant to be, begins.
    begun: BTreeMap<CandidateId, Begun>,
}

impl Layout<'_> {
    /// Changes ends of years between two strips at a time while that makes the bed more like what was meant;
    /// whether anything was changed.
    fn better(&self, years: &mut [Vec<CandidateId>]) -> bool {
        let mut changed = false;
        for one in 0..years.len() {
            for other in one + 1..years.len() {
                if years[one] == self.meant[one] || years[other] == self.meant[other] {
                    continue;
                }
                if let Some((a, b)) = self.exchanged(one, &years[one], other, &years[other]) {
                    (years[one], years[other]) = (a, b);
                    changed = true;
                }
            }
        }
        changed
    }

    /// The best exchange of ends between two years that makes them more like what was meant.
    fn exchanged(
        &self,
        one: usize,
        a: &[CandidateId],
        other: usize,
        b: &[CandidateId],
    ) -> Option<(Vec<CandidateId>, Vec<CandidateId>)> {
        let alike = self.likeness(one, a) + self.likeness(other, b);
        let price = self.breaks(one, a)? + self.breaks(other, b)?;
        let alike_strips = self.group_of[one] == self.group_of[other];
        let mut best = None;
        for i in self.first(a)..=a.len() {
            for j in self.first(b)..=b.len() {
                let mixed = ([&a[..i], &b[j..]].concat(), [&b[..j], &a[i..]].concat());
                let turned = (mixed.1.clone(), mixed.0.clone());
                // What stands may change places only with what is the same.
                let ways = [Some(mixed), alike_strips.then_some(turned)];
                for (new_a, new_b) in ways.into_iter().flatten() {
                    let new = self.likeness(one, &new_a) + self.likeness(other, &new_b);
                    let better = best.as_ref().map_or(alike, |&(known, _)| known);
                    if new <= better {
                        continue;
                    }
                    let paid = (self.breaks(one, &new_a)).zip(self.breaks(other, &new_b));
                    if paid.is_some_and(|(p, q)| p + q <= price + NOTHING) {
                        best = Some((new, (new_a, new_b)));
                    }
                }
            }
        }
        best.map(|(_, years)| years)
    }

    /// The first place that may change: what stands stays where it stands.
    fn first(&self, year: &[CandidateId]) -> usize {
        let stands = |&id: &CandidateId| self.season.candidates[id].standing.is_some();
        usize::from(year.first().is_some_and(stands))
    }

    /// Weeks in which a planting is on a strip where one that begins alike was meant to be; twice where it ends
    /// alike as well.
    fn likeness(&self, strip: usize, year: &[CandidateId]) -> usize {
        let meant = &self.meant[strip];
        let weeks = |id: &CandidateId| {
            let candidate = &self.season.candidates[*id];
            let begun = meant.iter().any(|m| self.begun[m] == self.begun[id]);
            let same = begun && meant.contains(id);
            (candidate.end - candidate.start) * (usize::from(begun) + usize::from(same))
        };
        year.iter().map(weeks).sum()
    }

    /// What a year pays for breaks cut short, money; `None` where it has no room or breaks what is forbidden.
    fn breaks(&self, strip: usize, year: &[CandidateId]) -> Option<f64> {
        let (season, group) = (self.season, self.group_of[strip]);
        let apart = |pair: &[CandidateId]| {
            season.candidates[pair[0]].end <= season.candidates[pair[1]].start
        };
        let kept = year.windows(2).all(apart) && keeps_rotation(season, group, year);
        kept.then(|| rotation_cost(season, group, year))
    }
}
