//! Which lyings a cover row should count by: those by which what is given counts for least.

use super::compact::Relaxed;
use super::context::Context;
use crate::candidates::{BARE, CandidateId, CoverState, Season};
use crate::domain::BedId;
use crate::strips::{Gives, Lying, state_of};
use std::collections::{BTreeMap, BTreeSet};

/// Shares of beds on which each lying holds in a relaxed plan.
pub struct Lyings<'l> {
    season: &'l Season,
    standing_beds: &'l BTreeMap<usize, Vec<BedId>>,
    share: BTreeMap<Lying, f64>,
}

impl<'l> Lyings<'l> {
    /// Of a relaxed plan. On a bed that no row speaks of yet there lies what most of something that stands there asks for.
    pub fn of(
        context: &Context<'l>,
        point: &Relaxed,
        standing_beds: &'l BTreeMap<usize, Vec<BedId>>,
    ) -> Lyings<'l> {
        let season = context.season;
        let mut strips: BTreeMap<usize, f64> = BTreeMap::new();
        for (g, group) in season.groups.iter().enumerate() {
            if let Some(standing) = group.standing {
                *strips.entry(standing).or_default() += context.count(g) as f64;
            }
        }
        let mut of_planting: BTreeMap<(usize, usize, CoverState), f64> = BTreeMap::new();
        for (c, candidate) in season.candidates.iter().enumerate() {
            let Some(standing) = candidate.standing.filter(|_| point.strips[c] > 0.0) else {
                continue;
            };
            for (week, &state) in (candidate.start..candidate.end).zip(&candidate.states) {
                let share = point.strips[c] / strips[&standing];
                *of_planting.entry((standing, week, state)).or_default() += share;
            }
        }
        let mut share: BTreeMap<Lying, f64> = BTreeMap::new();
        for ((standing, week, state), there) in of_planting {
            for &bed in &standing_beds[&standing] {
                let known = share.entry(Lying { bed, week, state }).or_default();
                *known = known.max(there);
            }
        }
        for (&(bed, week), all) in &point.lies {
            let mut bare = 1.0;
            for &(state, there) in all {
                share.insert(Lying { bed, week, state }, there);
                bare -= there;
            }
            let state = BARE;
            share.insert(Lying { bed, week, state }, bare);
        }
        Lyings {
            season,
            standing_beds,
            share,
        }
    }

    /// Lyings by which what plantings give counts for less, ascending, and what all counts for then, in the food's unit.
    pub fn choose(&self, gives: &Gives, point: &Relaxed) -> (Vec<Lying>, f64) {
        const IN_USE: f64 = 1e-6; // strips
        // Lyings of one planting in a row: few more save anything (measured, docs/decisions/34).
        const MOST: usize = 3;
        let season = self.season;
        let mut counts = 0.0;
        let mut standing: BTreeMap<usize, Vec<(CandidateId, f64)>> = BTreeMap::new();
        for &(c, units) in gives
            .units
            .iter()
            .filter(|(c, _)| point.strips[*c] > IN_USE)
        {
            let units = units * point.strips[c];
            counts += units;
            if let Some(planting) = season.candidates[c].standing {
                standing.entry(planting).or_default().push((c, units));
            }
        }
        let mut chosen: BTreeSet<Lying> = BTreeSet::new();
        for (planting, mut given) in standing {
            for _ in 0..MOST {
                let Some((saved, week, state, fresh)) = self.best(planting, &given, &chosen, gives)
                else {
                    break;
                };
                counts -= saved;
                chosen.extend(fresh);
                given.retain(|&(c, _)| state_of(season, c, week) != Some(state));
            }
        }
        (chosen.into_iter().collect(), counts)
    }

    /// The week and state by which what a planting gives counts for least, what that saves, and the lyings that are not
    /// chosen yet.
    fn best(
        &self,
        planting: usize,
        given: &[(CandidateId, f64)],
        chosen: &BTreeSet<Lying>,
        gives: &Gives,
    ) -> Option<(f64, usize, CoverState, Vec<Lying>)> {
        const LEAST_SAVED: f64 = 1e-4; // share of what is asked for, estimate
        let mut under: BTreeMap<(usize, CoverState), f64> = BTreeMap::new();
        for &(c, units) in given {
            let candidate = &self.season.candidates[c];
            for (week, &state) in (candidate.start..candidate.end).zip(&candidate.states) {
                *under.entry((week, state)).or_default() += units;
            }
        }
        let mut best: Option<(f64, usize, CoverState, Vec<Lying>)> = None;
        for ((week, state), units) in under {
            let beds = self.standing_beds[&planting].iter();
            let fresh: Vec<Lying> = beds
                .map(|&bed| Lying { bed, week, state })
                .filter(|lying| !chosen.contains(lying))
                .collect();
            let share = |lying: &Lying| self.share.get(lying).copied().unwrap_or(0.0);
            let saved = units - gives.most * fresh.iter().map(share).sum::<f64>();
            if best.as_ref().is_none_or(|(most, ..)| saved > *most) {
                best = Some((saved, week, state, fresh));
            }
        }
        best.filter(|(saved, ..)| *saved > LEAST_SAVED * gives.most)
    }

    /// Beds and weeks in which more would have to lie than can: more than one thing on a bed, or more covers than there
    /// are; of weeks one after another in which it is the same cover the first of those in which it is most.
    pub fn broken(&self) -> Vec<(BedId, usize)> {
        const BROKEN: f64 = 1e-2; // share of a bed, estimate
        let season = self.season;
        let mut found: BTreeSet<(BedId, usize)> = BTreeSet::new();
        let mut on_bed: BTreeMap<(BedId, usize), f64> = BTreeMap::new();
        let mut covers = vec![vec![0.0; season.weeks]; season.covers.len()];
        for (lying, share) in &self.share {
            *on_bed.entry((lying.bed, lying.week)).or_default() += share;
            if lying.state != BARE {
                covers[usize::from(lying.state) - 1][lying.week] += share;
            }
        }
        let over = |sum: f64, most: f64| sum > most + BROKEN;
        for (&(bed, week), &sum) in &on_bed {
            let before = week.checked_sub(1).and_then(|w| on_bed.get(&(bed, w)));
            let after = on_bed.get(&(bed, week + 1));
            if over(sum, 1.0) && peak(sum, before.copied(), after.copied()) {
                found.insert((bed, week));
            }
        }
        for (cover, sums) in covers.iter().enumerate() {
            let most = f64::from(season.covers[cover].count);
            for (week, &sum) in sums.iter().enumerate() {
                let before = week.checked_sub(1).map(|w| sums[w]);
                let after = sums.get(week + 1).copied();
                if over(sum, most) && peak(sum, before, after) {
                    let there = self.share.iter().filter(|(l, share)| {
                        l.week == week && usize::from(l.state) == cover + 1 && **share > BROKEN
                    });
                    found.extend(there.map(|(l, _)| (l.bed, l.week)));
                }
            }
        }
        found.into_iter().collect()
    }
}

/// Whether a number is above the one before it and not below the one after it.
fn peak(it: f64, before: Option<f64>, after: Option<f64>) -> bool {
    const SAME: f64 = 1e-6;
    before.is_none_or(|before| it > before + SAME) && after.is_none_or(|after| it >= after - SAME)
}
