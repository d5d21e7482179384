//! The plantings of a plan: equal strips of a bed taken together, one entry per crop.

use super::classes::{ClassKey, Classes, cut};
use super::names::raising_name;
use super::year::{ByWeek, Planting, PlantingLot, ShelfStay, Under};
use crate::candidates::{BARE, Candidate, CandidateId, CoverState, Lot, Member, Season};
use crate::domain::{BedId, Method, Scenario};
use std::collections::BTreeMap;

/// A candidate on some strips of a bed.
#[derive(Clone, Debug)]
pub struct Use {
    pub bed: BedId,
    pub candidate: CandidateId,
    /// Counted from 0, ascending.
    pub strips: Vec<u32>,
}

/// The candidates used, strips taken together, in order of bed, start and first strip.
pub fn uses(season: &Season, strips: &[Vec<Vec<CandidateId>>]) -> Vec<Use> {
    let mut found: BTreeMap<(BedId, CandidateId), Vec<u32>> = BTreeMap::new();
    for (bed, years) in strips.iter().enumerate() {
        for (strip, year) in years.iter().enumerate() {
            for &candidate in year {
                let strip = u32::try_from(strip).expect("strips are few");
                found.entry((bed, candidate)).or_default().push(strip);
            }
        }
    }
    let mut uses: Vec<Use> = found
        .into_iter()
        .map(|((bed, candidate), strips)| Use {
            bed,
            candidate,
            strips,
        })
        .collect();
    uses.sort_by_key(|u| {
        let c = &season.candidates[u.candidate];
        (u.bed, c.start, u.strips[0], u.candidate)
    });
    uses
}

/// The name of the recipe that the members of a candidate follow.
pub fn recipe_name(scenario: &Scenario, members: &[Member]) -> Option<String> {
    let [first, second] = members else {
        return None;
    };
    scenario
        .recipes
        .iter()
        .find(|r| {
            [(first, &r.first), (second, &r.second)]
                .iter()
                .all(|(m, p)| {
                    m.crop == p.crop && m.raising == Some(p.raising) && m.way == Some(p.way)
                })
        })
        .map(|r| r.name.clone())
}

/// All plantings, numbered in order.
pub fn plantings(
    scenario: &Scenario,
    season: &Season,
    uses: &[Use],
    covers: &[Vec<CoverState>],
    classes: &Classes,
) -> Vec<Planting> {
    let mut plantings: Vec<Planting> = Vec::new();
    for used in uses {
        let candidate = &season.candidates[used.candidate];
        let first_id = plantings.len() + 1;
        let recipe = recipe_name(scenario, &candidate.members);
        for (i, member) in candidate.members.iter().enumerate() {
            let mut planting = planting(scenario, season, used, member, classes);
            planting.id = id(first_id + i);
            planting.recipe = recipe.clone();
            planting.partner = (candidate.members.len() == 2).then(|| id(first_id + 1 - i));
            planting.under = under(scenario, candidate, member, &covers[used.bed]);
            plantings.push(planting);
        }
    }
    plantings
}

/// The name of a planting.
pub fn id(number: usize) -> String {
    format!("P{number:03}")
}

/// One member of a use; number, recipe and covers are the caller's.
fn planting(
    scenario: &Scenario,
    season: &Season,
    used: &Use,
    member: &Member,
    classes: &Classes,
) -> Planting {
    let candidate = &season.candidates[used.candidate];
    let crop = &scenario.crops[member.crop];
    let strips = used.strips.len() as f64;
    let area_m2 = scenario.beds[used.bed].strip_m2() * strips;
    let raising = member.raising.map(|r| &crop.raisings[r]);
    let plants = raising.map(|r| r.plants_per_m2 * area_m2 * member.plant_share);
    let lots: Vec<&Lot> = candidate
        .lots
        .iter()
        .filter(|lot| season.products[lot.product].crop == member.crop)
        .collect();
    Planting {
        id: String::new(),
        crop: crop.name.clone(),
        bed: scenario.beds[used.bed].name.clone(),
        strips: used.strips.iter().map(|s| s + 1).collect(),
        area_m2: cut(area_m2),
        standing: candidate
            .standing
            .map(|s| scenario.standing[s].name.clone()),
        recipe: None,
        partner: None,
        raising: member.raising.map(|r| raising_name(crop, r)),
        on_shelf: shelf_entry(scenario, member),
        shelf: raising
            .filter(|r| r.method == Method::Modules)
            .zip(plants)
            .map(|(r, plants)| ShelfStay {
                lit: member.lit,
                m2: cut(plants / r.plants_per_shelf_m2),
            }),
        way: member.way.map(|w| crop.ways[w].name.clone()),
        sown: member.sown,
        planted: member.planted,
        cleared: member.cleared,
        first_harvest: lots.iter().map(|l| l.from).min().map(|w| scenario.week(w)),
        last_harvest: (lots.iter().map(|l| l.fresh_until).max()).map(|w| scenario.week(w)),
        under: Vec::new(),
        yield_share: member.yield_share,
        plant_share: member.plant_share,
        plants: plants.map(cut),
        seeds: (raising.zip(plants)).map(|(r, plants)| cut(plants * r.seeds_per_plant)),
        lots: lots
            .iter()
            .map(|lot| PlantingLot {
                from: scenario.week(lot.from),
                fresh_until: scenario.week(lot.fresh_until),
                until: scenario.week(lot.until),
                amount: cut(lot.amount * strips),
            })
            .collect(),
        harvest: harvest(scenario, season, &lots, strips, classes),
    }
}

/// The plants on the shelf at the start that a planting is made of.
fn shelf_entry(scenario: &Scenario, member: &Member) -> Option<String> {
    let mut entries = scenario.on_shelf.iter().filter(|entry| {
        (entry.crop, Some(entry.raising), entry.lit, entry.sown)
            == (member.crop, member.raising, member.lit, member.sown)
    });
    entries.next().map(|entry| entry.name.clone())
}

/// Harvest by week: a lot that is ripe in one week is taken in it; one that stands until needed
/// gives its share of what is eaten of its class, at the latest in its last week in the ground.
fn harvest(
    scenario: &Scenario,
    season: &Season,
    lots: &[&Lot],
    strips: f64,
    classes: &Classes,
) -> ByWeek {
    let mut weeks: BTreeMap<usize, f64> = BTreeMap::new();
    for lot in lots {
        if lot.from == lot.fresh_until {
            *weeks.entry(lot.from).or_default() += lot.amount * strips;
            continue;
        }
        let key = ClassKey::of(lot);
        let class = &classes[&key];
        if class.amount <= 0.0 {
            continue;
        }
        let share = lot.amount * strips / class.amount;
        for (&week, units) in &class.eaten {
            let lifted = week.min(key.fresh_until);
            *weeks.entry(lifted).or_default() += units * key.used_per_unit(season, week) * share;
        }
    }
    weeks
        .into_iter()
        .map(|(week, amount)| (scenario.week(week), cut(amount)))
        .filter(|(_, amount)| *amount > 0.0)
        .collect()
}

/// The stretches of the planting's time in the bed that a cover lies over.
fn under(
    scenario: &Scenario,
    candidate: &Candidate,
    member: &Member,
    covers: &[CoverState],
) -> Vec<Under> {
    let mut found: Vec<Under> = Vec::new();
    let mut last = BARE;
    for week in candidate.start..candidate.end {
        let lies = covers[scenario.within(week)];
        let now = scenario.week(week);
        let state = if member.planted <= now && now < member.cleared {
            lies
        } else {
            BARE
        };
        if state != BARE {
            if state == last {
                let spell = found.last_mut().expect("a spell is open");
                spell.until = now;
            } else {
                found.push(Under {
                    cover: scenario.covers[usize::from(state) - 1].name.clone(),
                    from: now,
                    until: now,
                });
            }
        }
        last = state;
    }
    found
}
