//! A plan under construction: a strip-year for every strip, covers decided, always feasible; and its
//! worth kept up to date as single strips change.

use super::context::{Context, Masks};
use super::larder::{Larder, band};
use super::rotation::rotation_cost;
use super::supply::{Before, Supply};
use crate::candidates::{CandidateId, CoverState, GroupId, Season};
use crate::domain::BedId;

/// How far beyond a limit a sum may be for want of a last digit, in its unit.
const SLACK: f64 = 1e-7;

/// A plan under construction.
#[derive(Clone)]
pub struct Draft {
    /// For each group, one strip-year a strip.
    pub years: Vec<Vec<Vec<CandidateId>>>,
    pub masks: Masks,
    pub supply: Supply,
    /// Shelf space taken by part (unlit, lit) and week, m².
    pub shelf: [Vec<f64>; 2],
    /// Plants taken of those on the shelf at the start.
    pub plants: Vec<f64>,
    /// Units begun of what is counted on, by entry of [`Season::always`](crate::candidates::Season).
    pub always: Vec<f64>,
    /// Minutes of work other than harvest and covers, by week.
    work: Vec<f64>,
    /// Seed, work (not harvest) and discouraged breaks, money.
    pub cost: f64,
    /// Moves of covers, money and minutes by week.
    moves: Vec<f64>,
}

/// A strip: its group, and its place there.
pub type Place = (GroupId, usize);

/// Years for some strips.
pub type Years = Vec<(Place, Vec<CandidateId>)>;

/// Years that were replaced, with all that is needed to put them back.
pub struct Replaced {
    old: Years,
    cost: f64,
    supply: Before,
}

impl Draft {
    /// Its years as they lie: for each bed and strip, candidates in order of time.
    pub fn laid_out(&self, season: &Season) -> Vec<Vec<Vec<CandidateId>>> {
        let beds = season.beds.iter();
        let mut strips: Vec<_> = beds.map(|b| vec![Vec::new(); b.strips as usize]).collect();
        for (group, years) in season.groups.iter().zip(&self.years) {
            for (&strip, year) in group.strips.iter().zip(years) {
                strips[group.bed][strip as usize].clone_from(year);
            }
        }
        strips
    }

    /// Every strip idle (or what stands there treated as little as possible) under the masks.
    pub fn idle(context: &Context, larder: &Larder, masks: Masks) -> Draft {
        let season = context.season;
        let mut draft = Draft {
            years: vec![Vec::new(); season.groups.len()],
            moves: move_minutes(context, &masks),
            masks,
            supply: Supply::none(context),
            shelf: [vec![0.0; season.weeks], vec![0.0; season.weeks]],
            plants: vec![0.0; season.on_shelf.len()],
            always: vec![0.0; season.always.len()],
            work: vec![0.0; season.weeks],
            cost: 0.0,
        };
        if !context.classes.in_store.is_empty() {
            let stored = &context.classes.in_store;
            draft.supply.change(context, larder, stored);
        }
        for group in 0..season.groups.len() {
            let mask = &draft.masks[season.groups[group].bed];
            let year = idle_year(context, group, Some(mask))
                .expect("masks are chosen so that what stands can be treated somehow");
            for strip in 0..context.count(group) {
                draft.years[group].push(Vec::new());
                draft.replace(context, larder, group, strip, year.clone());
            }
        }
        draft
    }

    /// Whether shelf, plants to hand and work suffice, harvest left out: what is too much to harvest is
    /// left.
    pub fn has_room(&self, context: &Context) -> bool {
        let season = context.season;
        let space = [season.shelf_unlit_m2, season.shelf_lit_m2];
        let on_shelf = |part: usize| self.shelf[part].iter().all(|&m2| m2 <= space[part] + SLACK);
        let mut plants = season.on_shelf.iter().zip(&self.plants);
        let limit = season.minutes_per_week.unwrap_or(f64::INFINITY);
        on_shelf(0)
            && on_shelf(1)
            && plants.all(|(there, &taken)| taken <= there.plants + SLACK)
            && (0..season.weeks).all(|week| self.other_minutes(week) <= limit + SLACK)
    }

    /// Worth of the plan, money; `None` where a limit on shelf, plants or work other than harvest is broken.
    ///
    /// Harvest beyond the limit on work is not done: of a week's food as large a share is taken for lost.
    /// [`finish`](super::finish) leaves out what is worth least, so that this is rather too little.
    pub fn worth(&self, context: &Context) -> Option<f64> {
        if !self.has_room(context) {
            return None;
        }
        Some(self.supply.worth(context) - self.fixed_cost(context) - self.not_harvested(context))
    }

    /// Worth of what there is no time to harvest, money.
    fn not_harvested(&self, context: &Context) -> f64 {
        let Some(limit) = context.season.minutes_per_week else {
            return 0.0;
        };
        (0..context.season.weeks)
            .map(|week| {
                let harvest = self.supply.harvest[week];
                let beyond = self.other_minutes(week) + harvest - limit;
                if beyond <= SLACK {
                    return 0.0;
                }
                let (_, _, below) = band(context, week);
                (1.0 + below) * self.supply.total[week] * (beyond / harvest).min(1.0)
            })
            .sum()
    }

    /// All that is paid whatever is eaten: seed, work of sowing to clearing, breaks cut short, moves of
    /// covers, what is missing of what is counted on; money.
    pub fn fixed_cost(&self, context: &Context) -> f64 {
        let season = context.season;
        let missing: f64 = season
            .always
            .iter()
            .zip(&self.always)
            .map(|(rule, begun)| (rule.units - begun).max(0.0) * rule.missing_money)
            .sum();
        let moves: f64 = self.moves.iter().sum::<f64>() * season.minute_money;
        self.cost + missing + moves - season.given_back
    }

    /// Minutes of work in a week other than harvest.
    pub fn other_minutes(&self, week: usize) -> f64 {
        self.work[week] + self.moves[week]
    }

    /// Puts another year on a strip; what is needed to take it back. The worth may get worse or be
    /// `None`.
    pub fn replace(
        &mut self,
        context: &Context,
        larder: &Larder,
        group: GroupId,
        strip: usize,
        year: Vec<CandidateId>,
    ) -> Replaced {
        self.replace_all(context, larder, vec![((group, strip), year)])
    }

    /// The same for several strips at once.
    pub fn replace_all(&mut self, context: &Context, larder: &Larder, years: Years) -> Replaced {
        let changes = self.changes(context, &years);
        let (old, cost) = self.put(context, years);
        let supply = self.supply.change(context, larder, &changes);
        Replaced { old, cost, supply }
    }

    /// The same unless a limit would be broken, or the worth cannot rise by `least` (which may be below 0), money, at
    /// the prices of the present division: then nothing changes.
    pub fn replace_for(
        &mut self,
        context: &Context,
        larder: &Larder,
        years: Years,
        least: f64,
    ) -> Option<Replaced> {
        // At best there is time again for all that is not harvested.
        let missed = self.fixed_cost(context) + self.not_harvested(context);
        let changes = self.changes(context, &years);
        let (old, cost) = self.put(context, years);
        let at_most = || self.supply.at_most(context, larder, &changes);
        if !self.has_room(context) || at_most() + missed - self.fixed_cost(context) < least {
            self.put(context, old);
            self.cost = cost;
            return None;
        }
        let supply = self.supply.change(context, larder, &changes);
        Some(Replaced { old, cost, supply })
    }

    /// What other years for some strips change in what is grown: (class, units).
    fn changes(&self, context: &Context, years: &Years) -> Vec<(u32, f64)> {
        let mut changes = Vec::new();
        let mut count = |candidates: &[CandidateId], sign: f64| {
            for &c in candidates {
                for &(class, units) in &context.classes.of_candidate[c] {
                    changes.push((class, sign * units));
                }
            }
        };
        for ((group, strip), year) in years {
            count(&self.years[*group][*strip], -1.0);
            count(year, 1.0);
        }
        merge(&mut changes);
        changes
    }

    /// Puts years on strips and tallies them; the years that were there and the cost before.
    fn put(&mut self, context: &Context, years: Years) -> (Years, f64) {
        let cost = self.cost;
        let put = |((group, strip), year): (Place, Vec<CandidateId>)| {
            let old = std::mem::take(&mut self.years[group][strip]);
            self.tally(context, group, &old, -1.0);
            self.tally(context, group, &year, 1.0);
            self.years[group][strip] = year;
            ((group, strip), old)
        };
        (years.into_iter().map(put).collect(), cost)
    }

    /// Takes the last replacement back.
    pub fn restore(&mut self, context: &Context, larder: &Larder, replaced: Replaced) {
        self.put(context, replaced.old);
        self.cost = replaced.cost;
        self.supply.restore(larder, replaced.supply);
    }

    fn tally(&mut self, context: &Context, group: GroupId, candidates: &[CandidateId], sign: f64) {
        let season = context.season;
        let bed = season.groups[group].bed;
        let terrain = &context.terrains.list[context.terrains.of_bed[bed]];
        self.cost += sign
            * (candidates.iter().map(|&c| context.plain[c]).sum::<f64>()
                + match context.discourages {
                    true => rotation_cost(season, group, candidates),
                    false => 0.0,
                });
        for &c in candidates {
            let candidate = &season.candidates[c];
            for &(week, minutes) in &candidate.work {
                self.work[week] += sign * minutes;
            }
            for s in &candidate.shelf {
                self.shelf[usize::from(s.lit)][s.week] += sign * s.m2;
            }
            for p in &candidate.plants {
                self.plants[p.of] += sign * p.plants;
            }
            for a in terrain.served(c) {
                let units = season.always[a].per_strip(&season.kinds[terrain.kind]);
                self.always[a] += sign * units;
            }
        }
    }

    /// Divides every food again, in rounds, since the band ties foods together.
    pub fn refresh(&mut self, context: &Context, larder: &Larder, rounds: usize) {
        for _ in 0..rounds {
            for food in 0..context.season.foods.len() {
                self.supply.divide(context, larder, food);
            }
        }
    }

    /// Sets another mask for a bed; its strips must fit it already or be changed by the caller.
    pub fn set_mask(&mut self, context: &Context, bed: usize, mask: Vec<u8>) {
        self.masks[bed] = mask;
        self.moves = move_minutes(context, &self.masks);
    }
}

/// Adds up changes of one class.
fn merge(changes: &mut Vec<(u32, f64)>) {
    changes.sort_by_key(|change| change.0);
    changes.dedup_by(|next, kept| {
        let same = next.0 == kept.0;
        if same {
            kept.1 += next.1;
        }
        same
    });
    changes.retain(|change| change.1 != 0.0);
}

/// Minutes of placing and removing covers, by week.
pub fn move_minutes(context: &Context, masks: &Masks) -> Vec<f64> {
    let season = context.season;
    let mut minutes = vec![0.0; season.weeks];
    for (bed, mask) in masks.iter().enumerate() {
        let mut before = season.state_before(bed, mask);
        for (week, &state) in mask[..season.weeks].iter().enumerate() {
            if state != before {
                if before > 0 {
                    minutes[week] += season.covers[usize::from(before) - 1].remove_minutes;
                }
                if state > 0 {
                    minutes[week] += season.covers[usize::from(state) - 1].place_minutes;
                }
            }
            before = state;
        }
    }
    minutes
}

/// Whether all that stands on the bed at the start can be treated somehow under the mask.
pub fn treatable(context: &Context, bed: BedId, mask: &[CoverState]) -> bool {
    let here = &context.groups_of[bed];
    here.iter()
        .all(|&group| idle_year(context, group, Some(mask)).is_some())
}

/// The least that can be done with a strip of a group: nothing, or what stands there cleared as soon
/// as the mask lets it.
pub fn idle_year(
    context: &Context,
    group: GroupId,
    mask: Option<&[CoverState]>,
) -> Option<Vec<CandidateId>> {
    if context.season.groups[group].standing.is_none() {
        return Some(Vec::new());
    }
    context.terrains.alternatives[group]
        .iter()
        .copied()
        .filter(|&c| mask.is_none_or(|m| context.fits_mask(c, m)))
        .min_by_key(|&c| (context.season.candidates[c].end, c))
        .map(|c| vec![c])
}
