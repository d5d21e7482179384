//! What stands in the way of a candidate in a plan: strip by strip, the plantings that hold the
//! ground, the covers, the rotation, the shelf and the work.

use super::obstacle::Obstacle;
use crate::candidates::{BARE, CoverState, Rotation, Season};
use crate::domain::{BedId, FamilyId, Scenario};
use crate::plan::YearPlan;
use crate::units::Week;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Minutes in an hour.
const HOUR_MINUTES: f64 = 60.0;
/// Space or minutes below this do not matter.
const SLIGHT: f64 = 1e-6;

/// One obstacle on a strip, and what it is made of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct InTheWay {
    pub obstacle: Obstacle,
    /// The plantings, beds or weeks, in words.
    pub by: Vec<String>,
}

/// The planting that least stands in the way of.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Easiest {
    pub bed: String,
    /// Strips of that bed with the same in the way.
    pub strips: usize,
    pub sown: Week,
    pub planted: Week,
    pub cleared: Week,
    /// Nothing: the plan has room for it, so that it does not pay.
    pub in_the_way: Vec<InTheWay>,
}

/// A planting on a strip, weeks counted from the start.
struct Standing {
    from: usize,
    until: usize,
    family: FamilyId,
    words: String,
}

/// A plan's ground as it is filled.
pub struct Ground<'p> {
    scenario: &'p Scenario,
    /// By bed and strip.
    strips: Vec<Vec<Vec<Standing>>>,
    /// By bed and week.
    covers: Vec<Vec<CoverState>>,
    /// Shelf taken, unlit and lit, m², and minutes of work, by week.
    shelf: Vec<[f64; 2]>,
    work: Vec<f64>,
    only: Option<BedId>,
}

/// Obstacles and plantings in the way, the candidate, its bed, and what is in the way there.
type Found = ((usize, usize), usize, BedId, Vec<InTheWay>);

impl<'p> Ground<'p> {
    pub fn of(scenario: &'p Scenario, plan: &YearPlan) -> Ground<'p> {
        let weeks = scenario.horizon();
        let index =
            |week: Week| usize::try_from(week.since(scenario.start).max(0)).expect("not negative");
        let bed_of: BTreeMap<&str, BedId> = (scenario.beds.iter().enumerate())
            .map(|(id, bed)| (bed.name.as_str(), id))
            .collect();
        let mut strips: Vec<Vec<Vec<Standing>>> = (scenario.beds.iter())
            .map(|bed| (0..bed.strips).map(|_| Vec::new()).collect())
            .collect();
        for planting in &plan.plantings {
            let (Some(&bed), Some(crop)) = (
                bed_of.get(planting.bed.as_str()),
                scenario.crops.iter().find(|c| c.name == planting.crop),
            ) else {
                continue;
            };
            for &strip in &planting.strips {
                strips[bed][strip as usize - 1].push(Standing {
                    from: index(planting.planted),
                    until: index(planting.cleared),
                    family: crop.family,
                    words: format!(
                        "{} ({} to {})",
                        planting.crop, planting.planted, planting.cleared
                    ),
                });
            }
        }
        let mut covers = vec![vec![BARE; weeks]; scenario.beds.len()];
        for spell in &plan.covers {
            let cover = scenario.covers.iter().position(|c| c.name == spell.cover);
            if let (Some(&bed), Some(cover)) = (bed_of.get(spell.bed.as_str()), cover) {
                let state = CoverState::try_from(cover + 1).expect("kinds of cover are few");
                let until = index(spell.removed).min(weeks);
                covers[bed][index(spell.placed).min(until)..until].fill(state);
            }
        }
        let mut shelf = vec![[0.0; 2]; weeks];
        for week in &plan.shelf {
            if let Some(slot) = shelf.get_mut(index(week.week)) {
                *slot = [week.unlit_m2, week.lit_m2];
            }
        }
        Ground {
            scenario,
            strips,
            covers,
            shelf,
            work: (plan.work.iter())
                .map(|w| w.ground + w.harvest + w.covers)
                .collect(),
            only: None,
        }
    }

    /// The same with one bed looked at only.
    pub fn only(mut self, bed: Option<BedId>) -> Ground<'p> {
        self.only = bed;
        self
    }

    /// The candidate and strip with least in the way: fewest obstacles, then fewest plantings.
    pub fn easiest(&self, season: &Season, members: &[usize]) -> Option<Easiest> {
        let mut best: Option<Found> = None;
        for &c in members {
            for bed in 0..season.beds.len().min(self.strips.len()) {
                if !season.allowed(c, bed) || self.only.is_some_and(|only| only != bed) {
                    continue;
                }
                let shared = self.shared(season, c, bed);
                for strip in 0..self.strips[bed].len() {
                    let way = self.in_the_way(season, c, bed, strip, &shared);
                    let size = (way.len(), way.iter().map(|w| w.by.len()).sum::<usize>());
                    if best.as_ref().is_none_or(|(least, ..)| size < *least) {
                        best = Some((size, c, bed, way));
                    }
                }
            }
        }
        let (_, c, bed, in_the_way) = best?;
        let shared = self.shared(season, c, bed);
        let same = (0..self.strips[bed].len())
            .filter(|&strip| self.in_the_way(season, c, bed, strip, &shared) == in_the_way)
            .count();
        let member = &season.candidates[c].members[0];
        Some(Easiest {
            bed: self.scenario.beds[bed].name.clone(),
            strips: same,
            sown: member.sown,
            planted: member.planted,
            cleared: member.cleared,
            in_the_way,
        })
    }

    /// What is the same for all strips of a bed: covers, shelf, work.
    fn shared(&self, season: &Season, c: usize, bed: BedId) -> Vec<InTheWay> {
        let mut found = Vec::new();
        let mut add = |obstacle, by: BTreeSet<String>| {
            if !by.is_empty() {
                let by = by.into_iter().collect();
                found.push(InTheWay { obstacle, by });
            }
        };
        add(Obstacle::Covers, self.covers_short(season, c, bed));
        add(Obstacle::Shelf, self.shelf_full(season, c));
        add(Obstacle::Work, self.work_full(season, c));
        found
    }

    fn covers_short(&self, season: &Season, c: usize, bed: BedId) -> BTreeSet<String> {
        let candidate = &season.candidates[c];
        let mut by = BTreeSet::new();
        for (offset, &state) in candidate.states.iter().enumerate() {
            let week = candidate.start + offset;
            let here = self.covers[bed][week];
            if here == state {
                continue;
            }
            let name = |state: CoverState| &self.scenario.covers[usize::from(state) - 1].name;
            // What lies there may be changed unless it serves another planting of the bed.
            let served = self.strips[bed]
                .iter()
                .flatten()
                .any(|s| s.from <= week && week < s.until);
            if here != BARE && served {
                by.insert(format!(
                    "{} lies on the bed for what grows there",
                    name(here)
                ));
            } else if here == BARE && served && state != BARE {
                by.insert("the bed is bare for what grows there".to_string());
            }
            if state != BARE {
                let lying = self.covers.iter().filter(|bed| bed[week] == state).count();
                let count = self.scenario.covers[usize::from(state) - 1].count;
                if lying >= count as usize {
                    by.insert(format!("all {count} of {} lie on other beds", name(state)));
                }
            }
        }
        by
    }

    fn shelf_full(&self, season: &Season, c: usize) -> BTreeSet<String> {
        let shelf = &self.scenario.shelf;
        let space = [shelf.unlit_m2, shelf.lit_m2];
        let full = season.candidates[c].shelf.iter().filter(|stay| {
            let part = usize::from(stay.lit);
            self.shelf[stay.week][part] + stay.m2 > space[part] + SLIGHT
        });
        full.map(|stay| {
            let part = if stay.lit { "lit" } else { "unlit" };
            format!(
                "the {part} shelf is full in {}",
                self.scenario.week(stay.week)
            )
        })
        .collect()
    }

    fn work_full(&self, season: &Season, c: usize) -> BTreeSet<String> {
        let Some(hours) = self.scenario.work.hours_per_week else {
            return BTreeSet::new();
        };
        let work = season.candidates[c].work.iter();
        work.filter(|(week, minutes)| self.work[*week] + minutes > hours * HOUR_MINUTES + SLIGHT)
            .map(|(week, _)| format!("no time is left in {}", self.scenario.week(*week)))
            .collect()
    }

    fn in_the_way(
        &self,
        season: &Season,
        c: usize,
        bed: BedId,
        strip: usize,
        shared: &[InTheWay],
    ) -> Vec<InTheWay> {
        let candidate = &season.candidates[c];
        let mut ground = BTreeSet::new();
        let mut rotation = BTreeSet::new();
        for standing in &self.strips[bed][strip] {
            let overlaps = standing.from < candidate.end && candidate.start < standing.until;
            if overlaps {
                ground.insert(standing.words.clone());
                continue;
            }
            for used in &candidate.families {
                let weeks = break_of(season.beds[bed].rotation[used.family]);
                let apart =
                    used.from >= standing.until + weeks || standing.from >= used.until + weeks;
                if weeks > 0 && used.family == standing.family && !apart {
                    rotation.insert(standing.words.clone());
                }
            }
        }
        let number = u32::try_from(strip).expect("strips are few");
        let group = season
            .groups
            .iter()
            .find(|g| g.bed == bed && g.strips.contains(&number));
        for used in &candidate.families {
            let forbids = break_of(season.beds[bed].rotation[used.family]) > 0;
            let release = group.map_or(0, |g| g.release[used.family]);
            if forbids && used.from < release {
                rotation.insert(format!(
                    "{} grew there before (free from {})",
                    season.family_names[used.family],
                    self.scenario
                        .start
                        .plus(i32::try_from(release).expect("breaks are short"))
                ));
            }
        }
        let mut found = Vec::new();
        for (obstacle, by) in [(Obstacle::Ground, ground), (Obstacle::Rotation, rotation)] {
            if !by.is_empty() {
                let by = by.into_iter().collect();
                found.push(InTheWay { obstacle, by });
            }
        }
        found.extend_from_slice(shared);
        found
    }
}

/// Weeks of a forbidden break; 0 where it is only discouraged, or off.
fn break_of(rotation: Rotation) -> usize {
    match rotation {
        Rotation::Forbid { weeks } => weeks,
        _ => 0,
    }
}
