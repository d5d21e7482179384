//! Strip-years sought anew: take a strip's year out (of a ring one of its years), price what the table then lacks, put
//! the best year for that in, keep it if the plan's exact worth is not less.

use super::context::Context;
use super::draft::Draft;
use super::improve::{Guide, Improver};
use super::room::Room;
use super::rotation::keeps_rotation;
use crate::candidates::{CandidateId, FamilyUse, GroupId, Rotation};
use crate::strips::{Arc, Moves, PathFinder};
use rand::Rng;
use std::ops::Range;

impl Improver<'_, '_> {
    /// Gives one strip a new year if the plan gains by it, or a ring all of its years one by one; the worth after.
    pub fn renew_all(
        &mut self,
        draft: &mut Draft,
        group: GroupId,
        strip: usize,
        mut worth: f64,
        guide: Option<&Guide>,
        noise: f64,
    ) -> f64 {
        for year in 0..self.years(group) {
            let weeks = self.weeks_of_year(year);
            worth = self.renew(draft, (group, strip), weeks, worth, guide, noise);
        }
        worth
    }

    /// Years of a group's strips: more than one in the rings of a standing year.
    fn years(&self, group: GroupId) -> usize {
        self.context.season.groups[group].weeks / self.context.season.weeks
    }

    fn weeks_of_year(&self, year: usize) -> Range<usize> {
        let weeks = self.context.season.weeks;
        year * weeks..(year + 1) * weeks
    }

    /// Gives any strip a new year, or a ring one of its years.
    pub fn renew_any(
        &mut self,
        draft: &mut Draft,
        worth: f64,
        guide: Option<&Guide>,
        noise: f64,
    ) -> f64 {
        let (group, strip) = self.random_strip();
        let year = match self.years(group) {
            1 => 0,
            years => self.random.random_range(0..years),
        };
        let weeks = self.weeks_of_year(year);
        self.renew(draft, (group, strip), weeks, worth, guide, noise)
    }

    /// Seeks plantings of a strip that begin in these weeks anew and keeps them if the plan gains; the worth after.
    fn renew(
        &mut self,
        draft: &mut Draft,
        (group, strip): (GroupId, usize),
        weeks: Range<usize>,
        worth: f64,
        guide: Option<&Guide>,
        noise: f64,
    ) -> f64 {
        let season = self.context.season;
        let start = |c: &CandidateId| season.candidates[*c].start;
        let (left, kept): (Vec<CandidateId>, Vec<CandidateId>) =
            (draft.years[group][strip].iter()).partition(|c| weeks.contains(&start(c)));
        let out = draft.replace(self.context, self.larder, group, strip, kept.clone());
        let Some(mut year) = self.better(draft, group, (&kept, &left), weeks, guide, noise) else {
            draft.restore(self.context, self.larder, out);
            return worth;
        };
        year.extend(&kept);
        year.sort_by_key(start);
        // What is sought knows nothing of the next round of a standing year.
        while season.cycle.is_some() && !year.is_empty() && !keeps_rotation(season, group, &year) {
            year.pop();
        }
        let tried = draft.replace(self.context, self.larder, group, strip, year);
        match draft.worth(self.context) {
            Some(new) if new >= worth => new,
            _ => {
                draft.restore(self.context, self.larder, tried);
                draft.restore(self.context, self.larder, out);
                worth
            }
        }
    }

    /// Plantings of one strip that begin in these weeks, beside those that are kept and better than those that left,
    /// by what the table still wants; a guide's prices count for a random share of it.
    fn better(
        &mut self,
        draft: &Draft,
        group: GroupId,
        (kept, left): (&[CandidateId], &[CandidateId]),
        weeks: Range<usize>,
        guide: Option<&Guide>,
        noise: f64,
    ) -> Option<Vec<CandidateId>> {
        let context = self.context;
        let season = context.season;
        let bed = season.groups[group].bed;
        let terrain = &context.terrains.list[context.terrains.of_bed[bed]];
        self.wants.look(context, &draft.supply);
        let wants = &self.wants;
        let room = Room::of(context, draft);
        let share = match guide {
            Some(_) => self.random.random_range(0.0..0.7),
            None => 0.0,
        };
        let taste: Vec<f64> = season
            .foods
            .iter()
            .map(|_| 1.0 + noise * self.random.random_range(-1.0..1.0))
            .collect();
        let value = |c: CandidateId| {
            if !room.takes(context, c) {
                return f64::NEG_INFINITY;
            }
            let own = wants.gain(context, c) * taste[context.portions.food(c)] - context.plain[c]
                + room.directed(context, terrain, c);
            match guide {
                Some(guide) if share > 0.0 => (1.0 - share) * own + share * guide.value(c),
                _ => own,
            }
        };
        let all = self.fitting[bed].arcs.iter().copied();
        let arcs = match season.cycle {
            None => Context::worth_taking(all, value),
            Some(_) => {
                let gap = Gap::of(context, group, kept, weeks);
                Context::worth_taking(all.filter(|arc| gap.takes(context, arc)), value)
            }
        };
        let moves = Moves::free();
        let mut finder = PathFinder::new(
            season.ground_weeks(),
            context.states(),
            &arcs,
            &context.uses,
            &moves,
        );
        let standing = context.standing_arcs(group, Some(&draft.masks[bed]), &value);
        let known = match context.discourages {
            true => f64::NEG_INFINITY,
            false => left.iter().map(|&c| value(c)).sum(),
        };
        let strip = context.strip(group, standing.as_deref());
        Some(finder.good_above(&strip, known)?.candidates)
    }
}

/// What may stand in one year of a ring beside what is kept of the others.
struct Gap<'r> {
    /// Weeks in which it begins.
    begin: Range<usize>,
    /// Week by which it has ended.
    end: usize,
    /// By family: the week from which it may stand, and that by which its break must be over.
    breaks: Vec<Range<usize>>,
    rules: &'r [Rotation],
    /// Weeks of the ring: a planting needs a break before it comes round.
    round: usize,
}

impl<'r> Gap<'r> {
    /// For plantings that begin in these weeks.
    fn of(
        context: &Context<'r>,
        group: GroupId,
        kept: &[CandidateId],
        weeks: Range<usize>,
    ) -> Gap<'r> {
        let season = context.season;
        let rules = &season.beds[season.groups[group].bed].rotation;
        let round = season.groups[group].weeks;
        let first = weeks.start;
        let mut gap = Gap {
            begin: weeks,
            end: round,
            breaks: vec![0..usize::MAX; rules.len()],
            rules,
            round,
        };
        for &c in kept {
            let candidate = &season.candidates[c];
            let before = candidate.start < first;
            match before {
                true => gap.begin.start = gap.begin.start.max(candidate.end),
                false => gap.end = gap.end.min(candidate.start),
            }
            for used in &candidate.families {
                let Rotation::Forbid { weeks } = rules[used.family] else {
                    continue;
                };
                let over = used.until + weeks;
                let (over, next) = match before {
                    true => (over, used.from + round),
                    false => (over.saturating_sub(round), used.from),
                };
                let own = &mut gap.breaks[used.family];
                *own = own.start.max(over)..own.end.min(next);
            }
        }
        gap
    }

    /// Whether a planting meets none of those that are kept, and keeps all breaks beside them.
    fn takes(&self, context: &Context, arc: &Arc) -> bool {
        let keeps = |used: &FamilyUse| {
            let Rotation::Forbid { weeks } = self.rules[used.family] else {
                return true;
            };
            let free = &self.breaks[used.family];
            let over = used.until + weeks;
            free.start <= used.from && over <= free.end && over <= used.from + self.round
        };
        self.begin.contains(&usize::from(arc.start))
            && usize::from(arc.end) <= self.end
            && context.uses[arc.uses as usize].iter().all(keeps)
    }
}

/// A year, or a ring's plantings, with one more where it meets none of them and all breaks are kept.
pub fn put_beside(
    context: &Context,
    group: GroupId,
    candidate: CandidateId,
    others: &[CandidateId],
) -> Option<Vec<CandidateId>> {
    let season = context.season;
    let new = &season.candidates[candidate];
    let apart = |&other: &CandidateId| {
        let old = &season.candidates[other];
        new.end <= old.start || old.end <= new.start
    };
    if new.end > season.groups[group].weeks || !others.iter().all(apart) {
        return None;
    }
    let mut all = others.to_vec();
    let place = others.partition_point(|&c| season.candidates[c].end <= new.start);
    all.insert(place, candidate);
    keeps_rotation(season, group, &all).then_some(all)
}
