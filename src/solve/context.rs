//! What every part of the search needs at hand: the season with its classes, terrains and family
//! windows, and the pricing of strip-years over all groups on both cores.

use super::room::Raisings;
use super::wants::Portions;
use crate::candidates::{Candidate, CandidateId, CoverState, FamilyUse, GroupId, Rotation, Season};
use crate::domain::BedId;
use crate::strips::{
    Arc, LotClasses, Moves, Path, PathFinder, Prices, Strip, Terrains, Values, VarietyRows,
};
use std::collections::BTreeMap;

/// A season, prepared.
pub struct Context<'a> {
    pub season: &'a Season,
    pub classes: LotClasses,
    pub variety: VarietyRows,
    pub terrains: Terrains,
    /// Distinct lists of family windows.
    pub uses: Vec<Vec<FamilyUse>>,
    /// Groups of each bed.
    pub groups_of: Vec<Vec<GroupId>>,
    /// Seed and work (not harvest, not covers) of each candidate, money per strip.
    pub plain: Vec<f64>,
    /// What a strip of each candidate brings to the table.
    pub portions: Portions,
    /// What a strip of each candidate takes of the shelf.
    pub raisings: Raisings,
    /// The candidates as arcs, worth nothing yet.
    arcs: Vec<Arc>,
    /// Whether each asks for the same in all its weeks.
    steady: Vec<bool>,
    /// Whether any bed discourages a break.
    pub discourages: bool,
    /// Candidates left out of the search (proven needless); all false at first.
    pub excluded: Vec<bool>,
}

/// What lies on each bed in each week, where that is decided.
pub type Masks = Vec<Vec<CoverState>>;

impl<'a> Context<'a> {
    /// Prepares a season.
    pub fn new(season: &'a Season) -> Context<'a> {
        let mut index: BTreeMap<Vec<(usize, usize, usize)>, u32> = BTreeMap::new();
        let mut uses = Vec::new();
        let uses_of: Vec<u32> = season
            .candidates
            .iter()
            .map(|c| {
                let key = c
                    .families
                    .iter()
                    .map(|u| (u.family, u.from, u.until))
                    .collect();
                *index.entry(key).or_insert_with(|| {
                    uses.push(c.families.clone());
                    u32::try_from(uses.len() - 1).expect("few distinct windows")
                })
            })
            .collect();
        let arcs = (season.candidates.iter().enumerate())
            .map(|(id, candidate)| arc(id, candidate, uses_of[id]))
            .collect();
        let classes = LotClasses::of(season);
        let mut groups_of = vec![Vec::new(); season.beds.len()];
        for (g, group) in season.groups.iter().enumerate() {
            groups_of[group.bed].push(g);
        }
        Context {
            season,
            raisings: Raisings::of(season),
            portions: Portions::of(season, &classes),
            classes,
            arcs,
            steady: (season.candidates.iter())
                .map(|c| c.states.windows(2).all(|pair| pair[0] == pair[1]))
                .collect(),
            variety: VarietyRows::of(season),
            terrains: Terrains::of(season),
            uses,
            groups_of,
            plain: season
                .candidates
                .iter()
                .map(|c| c.cost + c.work.iter().map(|(_, m)| m).sum::<f64>() * season.minute_money)
                .collect(),
            discourages: season
                .beds
                .iter()
                .flat_map(|b| &b.rotation)
                .any(|r| matches!(r, Rotation::Discourage { .. })),
            excluded: vec![false; season.candidates.len()],
        }
    }

    /// Cover states that exist, bare included.
    pub fn states(&self) -> usize {
        self.season.covers.len() + 1
    }

    /// Strips of a group, or rings of them in a standing year.
    pub fn count(&self, group: GroupId) -> usize {
        self.season.groups[group].strips.len()
    }

    /// Whether the candidate asks in every week for what the mask says.
    pub fn fits_mask(&self, candidate: CandidateId, mask: &[CoverState]) -> bool {
        let c = &self.season.candidates[candidate];
        c.states[..] == mask[c.start..c.end]
    }

    /// Those of the candidates that fit a mask, in their order.
    pub fn all_fitting(&self, candidates: &[CandidateId], mask: &[CoverState]) -> Vec<CandidateId> {
        // Up to where what lies there stays the same, by week.
        let mut same: Vec<usize> = (1..=mask.len()).collect();
        for week in (1..mask.len()).rev() {
            if mask[week - 1] == mask[week] {
                same[week - 1] = same[week];
            }
        }
        let fits = |&c: &CandidateId| {
            let arc = &self.arcs[c];
            let (start, end) = (usize::from(arc.start), usize::from(arc.end));
            match self.steady[c] && start < end {
                true => mask[start] == arc.first && end <= same[start],
                false => self.fits_mask(c, mask),
            }
        };
        candidates.iter().copied().filter(fits).collect()
    }

    /// Cost of cover moves between plantings for a strip of a bed with `strips` strips.
    pub fn moves(&self, strips: u32) -> Moves {
        let share = |minutes: f64| minutes * self.season.minute_money / f64::from(strips);
        let place: Vec<f64> = self
            .season
            .covers
            .iter()
            .map(|c| share(c.place_minutes))
            .collect();
        let remove: Vec<f64> = self
            .season
            .covers
            .iter()
            .map(|c| share(c.remove_minutes))
            .collect();
        Moves::of(&place, &remove)
    }

    /// An arc for a candidate at a value.
    pub fn arc(&self, candidate: CandidateId, value: f64) -> Arc {
        Arc {
            value,
            ..self.arcs[candidate]
        }
    }

    /// The arcs worth taking: of those alike in weeks, families and end states only the best.
    pub fn arcs(
        &self,
        candidates: &[CandidateId],
        mask: Option<&[CoverState]>,
        value: impl Fn(CandidateId) -> f64,
    ) -> Vec<Arc> {
        let mut arcs: Vec<Arc> = candidates
            .iter()
            .filter(|&&c| !self.excluded[c] && mask.is_none_or(|m| self.fits_mask(c, m)))
            .map(|&c| self.arc(c, value(c)))
            .filter(|arc| arc.value > LEAST)
            .collect();
        arcs.sort_by(|a, b| {
            (key(a).cmp(&key(b)))
                .then(b.value.total_cmp(&a.value))
                .then(a.candidate.cmp(&b.candidate))
        });
        arcs.dedup_by_key(|a| key(a));
        arcs
    }

    /// Of arcs worth nothing yet, in the order of [`key`], those worth taking, as [`arcs`](Context::arcs) finds them.
    pub fn worth_taking(
        all: impl Iterator<Item = Arc>,
        value: impl Fn(CandidateId) -> f64,
    ) -> Vec<Arc> {
        let mut arcs: Vec<Arc> = Vec::new();
        for arc in all {
            let value = value(arc.candidate);
            if value <= LEAST {
                continue;
            }
            match arcs.last_mut() {
                Some(last) if key(last) == key(&arc) => {
                    if value > last.value {
                        *last = Arc { value, ..arc };
                    }
                }
                _ => arcs.push(Arc { value, ..arc }),
            }
        }
        arcs
    }

    /// Best (or merely good) strip-year of every group at these prices; with masks, only what
    /// agrees with them, and covers and their moves are taken as paid.
    pub fn price(&self, prices: &Prices, masks: Option<&Masks>, exact: bool) -> Vec<Path> {
        let values = Values::of(self.season, &self.classes, &self.variety, prices);
        match masks {
            None => {
                let usual = |&bed: &BedId| values.costs.is_usual(bed);
                let mut beds: Vec<Vec<BedId>> = Vec::new();
                for terrain in &self.terrains.list {
                    let (alike, others): (Vec<BedId>, Vec<BedId>) =
                        terrain.beds.iter().partition(|bed| usual(bed));
                    beds.extend((!alike.is_empty()).then_some(alike));
                    beds.extend(others.into_iter().map(|bed| vec![bed]));
                }
                let jobs: Vec<&[BedId]> = beds.iter().map(|b| &b[..]).collect();
                self.price_jobs(&jobs, prices, &values, None, exact)
            }
            Some(_) => {
                let beds: Vec<[BedId; 1]> = (0..self.season.beds.len()).map(|b| [b]).collect();
                let jobs: Vec<&[BedId]> = beds.iter().map(|b| &b[..]).collect();
                self.price_jobs(&jobs, prices, &values, masks, exact)
            }
        }
    }

    fn price_jobs(
        &self,
        jobs: &[&[BedId]],
        prices: &Prices,
        values: &Values,
        masks: Option<&Masks>,
        exact: bool,
    ) -> Vec<Path> {
        let empty = Path {
            value: 0.0,
            candidates: Vec::new(),
        };
        let mut all = vec![empty; self.season.groups.len()];
        let run = |offset: usize| -> Vec<(GroupId, Path)> {
            let mut found = Vec::new();
            for beds in jobs.iter().skip(offset).step_by(THREADS) {
                self.price_beds(beds, prices, values, masks, exact, &mut found);
            }
            found
        };
        let run = &run;
        let results: Vec<Vec<(GroupId, Path)>> = std::thread::scope(|scope| {
            let handles: Vec<_> = (0..THREADS).map(|o| scope.spawn(move || run(o))).collect();
            handles
                .into_iter()
                .map(|h| h.join().expect("pricing does not panic"))
                .collect()
        });
        for (group, path) in results.into_iter().flatten() {
            all[group] = path;
        }
        all
    }

    fn price_beds(
        &self,
        beds: &[BedId],
        prices: &Prices,
        values: &Values,
        masks: Option<&Masks>,
        exact: bool,
        found: &mut Vec<(GroupId, Path)>,
    ) {
        let terrain = &self.terrains.list[self.terrains.of_bed[beds[0]]];
        let mask = masks.map(|m| &m[beds[0]][..]);
        let value = |c: CandidateId| match mask {
            None => values.directed(self.season, prices, terrain, beds[0], c),
            Some(_) => values.plain(self.season, prices, terrain, c),
        };
        let arcs = self.arcs(&terrain.candidates, mask, value);
        let moves = if mask.is_some() {
            Moves::free()
        } else {
            self.moves(terrain.strips)
        };
        let mut finder = PathFinder::new(
            self.season.ground_weeks(),
            self.states(),
            &arcs,
            &self.uses,
            &moves,
        );
        for &bed in beds {
            for &group in &self.groups_of[bed] {
                let standing = self.standing_arcs(group, mask, &|c| match mask {
                    None => value(c) - values.costs.lids(self.season, group, c),
                    Some(_) => value(c),
                });
                let strip = self.strip(group, standing.as_deref());
                let path = if exact {
                    finder.best(&strip)
                } else {
                    finder.good(&strip)
                };
                found.push((group, path));
            }
        }
    }

    /// The alternatives of what stands in a group as arcs; `None` where nothing stands.
    pub fn standing_arcs(
        &self,
        group: GroupId,
        mask: Option<&[CoverState]>,
        value: &impl Fn(CandidateId) -> f64,
    ) -> Option<Vec<Arc>> {
        self.season.groups[group].standing?;
        Some(
            self.terrains.alternatives[group]
                .iter()
                .filter(|&&c| !self.excluded[c] && mask.is_none_or(|m| self.fits_mask(c, m)))
                .map(|&c| self.arc(c, value(c)))
                .collect(),
        )
    }

    /// A group's strip as the path finder needs it.
    pub fn strip<'s>(&'s self, group: GroupId, standing: Option<&'s [Arc]>) -> Strip<'s> {
        let bed = &self.season.beds[self.season.groups[group].bed];
        Strip {
            rules: &bed.rotation,
            release: &self.season.groups[group].release,
            // What lies there before a standing year is what lies there at its end.
            state_before: self.season.cycle.is_none().then_some(bed.state_before),
            weeks: self.season.groups[group].weeks,
            standing,
        }
    }
}

/// Money: a planting worth no more is left out of a strip-year.
const LEAST: f64 = 1e-9;

/// Arcs of the same key differ in their worth alone.
pub fn key(arc: &Arc) -> (u16, u16, CoverState, CoverState, u32) {
    (arc.start, arc.end, arc.first, arc.last, arc.uses)
}

/// Threads that price at once; the result does not depend on it.
const THREADS: usize = 2;

fn arc(id: CandidateId, candidate: &Candidate, uses: u32) -> Arc {
    let week = |w: usize| u16::try_from(w).expect("horizons are short");
    Arc {
        candidate: id,
        start: week(candidate.start),
        end: week(candidate.end),
        first: candidate.states.first().copied().unwrap_or(0),
        last: candidate.states.last().copied().unwrap_or(0),
        uses,
        value: 0.0,
    }
}
