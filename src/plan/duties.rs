//! What a plan asks week by week: covers, shelf space and work, and what is to be bought.

use super::classes::{Classes, cut};
use super::names::pieces_of;
use super::plantings::Use;
use super::year::{CoverSpell, Purchase, ShelfWeek, WorkWeek};
use crate::candidates::{BARE, CoverState, Season};
use crate::domain::{CoverId, Scenario};
use crate::units::Week;
use std::collections::BTreeMap;

/// The cover log, bed by bed.
pub fn cover_spells(
    scenario: &Scenario,
    season: &Season,
    covers: &[Vec<CoverState>],
) -> Vec<CoverSpell> {
    let mut spells = Vec::new();
    for (ground, states) in season.beds.iter().zip(covers) {
        if season.cycle.is_some() {
            spells.extend(round_spells(scenario, &ground.name, states));
            continue;
        }
        let mut week = 0;
        while week < states.len() {
            let state = states[week];
            let length = states[week..].iter().take_while(|&&s| s == state).count();
            if state != BARE {
                spells.push(CoverSpell {
                    bed: ground.name.clone(),
                    cover: scenario.covers[usize::from(state) - 1].name.clone(),
                    placed: scenario.week(week),
                    removed: scenario.week(week + length),
                    before: week == 0 && ground.state_before == state,
                    stays: week + length == states.len(),
                });
            }
            week += length;
        }
    }
    spells
}

/// The log of a bed in a standing year: what is placed in it, taken off in it or in the next one. What is never
/// taken off lies there before and stays.
fn round_spells(scenario: &Scenario, bed: &str, states: &[CoverState]) -> Vec<CoverSpell> {
    let weeks = states.len();
    let at = |week: usize| states[week % weeks];
    let changes = |&week: &usize| at(week) != at(week + weeks - 1);
    let always = states[0] != BARE && !(0..weeks).any(|week| changes(&week));
    let begins =
        (0..weeks).filter(|week| at(*week) != BARE && (always && *week == 0 || changes(week)));
    begins
        .map(|week| {
            let length = (week..week + weeks)
                .take_while(|&w| at(w) == at(week))
                .count();
            CoverSpell {
                bed: bed.to_string(),
                cover: scenario.covers[usize::from(at(week)) - 1].name.clone(),
                placed: scenario.week(week),
                removed: scenario.week(week + length),
                before: always,
                stays: always,
            }
        })
        .collect()
}

/// Minutes of moving covers, by kind of cover and week.
pub fn cover_minutes(season: &Season, covers: &[Vec<CoverState>]) -> Vec<Vec<f64>> {
    let mut minutes = vec![vec![0.0; season.weeks]; season.covers.len()];
    for (bed, states) in covers.iter().enumerate() {
        let mut before = season.state_before(bed, states);
        for (week, &state) in states.iter().enumerate() {
            if state != before {
                if let Some(cover) = cover_of(before) {
                    minutes[cover][week] += season.covers[cover].remove_minutes;
                }
                if let Some(cover) = cover_of(state) {
                    minutes[cover][week] += season.covers[cover].place_minutes;
                }
            }
            before = state;
        }
    }
    minutes
}

fn cover_of(state: CoverState) -> Option<CoverId> {
    usize::from(state).checked_sub(1)
}

/// Work by week.
pub fn work(
    scenario: &Scenario,
    season: &Season,
    uses: &[Use],
    covers: &[Vec<CoverState>],
    classes: &Classes,
) -> Vec<WorkWeek> {
    let mut weeks: Vec<WorkWeek> = (0..season.weeks)
        .map(|w| WorkWeek {
            week: scenario.week(w),
            ground: 0.0,
            harvest: 0.0,
            covers: 0.0,
        })
        .collect();
    for used in uses {
        for &(week, minutes) in &season.candidates[used.candidate].work {
            weeks[week].ground += minutes * used.strips.len() as f64;
        }
    }
    for (key, class) in classes {
        for (&week, units) in &class.eaten {
            weeks[week % season.weeks].harvest +=
                units * season.products[key.product].minutes_per_unit;
        }
    }
    for kind in cover_minutes(season, covers) {
        for (week, minutes) in weeks.iter_mut().zip(kind) {
            week.covers += minutes;
        }
    }
    for week in &mut weeks {
        week.ground = cut(week.ground);
        week.harvest = cut(week.harvest);
        week.covers = cut(week.covers);
    }
    weeks
}

/// Shelf space taken, the weeks in which there is any.
pub fn shelf(scenario: &Scenario, season: &Season, uses: &[Use]) -> Vec<ShelfWeek> {
    let mut taken: BTreeMap<usize, [f64; 2]> = BTreeMap::new();
    for used in uses {
        for stay in &season.candidates[used.candidate].shelf {
            let part = usize::from(!stay.lit);
            taken.entry(stay.week).or_default()[part] += stay.m2 * used.strips.len() as f64;
        }
    }
    taken
        .into_iter()
        .map(|(week, [lit, unlit])| ShelfWeek {
            week: scenario.week(week),
            lit_m2: cut(lit),
            unlit_m2: cut(unlit),
        })
        .collect()
}

/// What is to be bought, by crop.
pub fn buying(scenario: &Scenario, season: &Season, uses: &[Use]) -> Vec<Purchase> {
    let mut lines: BTreeMap<(usize, &'static str), (f64, f64, Week)> = BTreeMap::new();
    for used in uses {
        let area_m2 = scenario.beds[used.bed].strip_m2() * used.strips.len() as f64;
        for member in &season.candidates[used.candidate].members {
            // What is on the shelf at the start has been bought; a standing year has none.
            let new = scenario.repeats || member.sown >= scenario.start;
            let Some(raising) = member.raising.filter(|_| new) else {
                continue;
            };
            let raising = &scenario.crops[member.crop].raisings[raising];
            let pieces =
                raising.plants_per_m2 * area_m2 * member.plant_share * raising.seeds_per_plant;
            let sown = scenario.week_within(member.sown);
            let line = lines
                .entry((member.crop, pieces_of(raising.method)))
                .or_insert((0.0, 0.0, sown));
            line.0 += pieces;
            line.1 += pieces * raising.seed_money;
            line.2 = line.2.min(sown);
        }
    }
    lines
        .into_iter()
        .map(|((crop, what), (pieces, money, needed))| Purchase {
            crop: scenario.crops[crop].name.clone(),
            what: what.to_string(),
            pieces: cut(pieces),
            money: cut(money),
            needed,
        })
        .collect()
}
