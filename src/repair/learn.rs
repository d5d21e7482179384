//! What harvest records teach: yields and times to the first harvest, between the book's figure
//! and the record's.

use super::live::Live;
use super::roster::find;
use crate::climate::Place;
use crate::domain::*;
use crate::growth::{Beginning, Grower};
use crate::plan::{Planting, YearPlan};
use crate::units::Week;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Forecasts below this are none, units of the food.
const CRUMB: f64 = 1e-6;
/// A record may put the growth to the first harvest between these parts of the book value; what
/// lies beyond is taken for a slip or a choice (estimate).
const READY_RATIOS: (f64, f64) = (0.5, 2.0);

/// Book, record and what is used from now on, of one crop's way of harvest.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Learned {
    pub crop: String,
    pub way: String,
    pub unit: String,
    /// Yield per m²: usual by the book, by the record, and used.
    pub book_per_m2: f64,
    pub recorded_per_m2: f64,
    pub used_per_m2: f64,
    /// Plantings whose yield is on record, and entries of the record.
    pub plantings: u32,
    pub records: u32,
    /// Growth units to the first harvest, likewise.
    pub book_ready_units: f64,
    pub recorded_ready_units: f64,
    pub used_ready_units: f64,
    /// Plantings whose first harvest is on record.
    pub first_harvests: u32,
}

/// What a diary's records come to.
#[derive(Debug, Default)]
pub struct Lessons {
    /// What was harvested of plantings that are cleared at once, by index in the plan.
    pub recorded: BTreeMap<usize, f64>,
    /// New experience alone; crops are those of the base.
    pub experience: Vec<Experience>,
    pub learned: Vec<Learned>,
}

/// A planting on record.
#[derive(Clone, Copy, Debug)]
struct Record {
    amount: f64,
    first: Week,
}

/// Compares the records with what the plan forecast.
pub fn learn(
    old: &Scenario,
    plan: &YearPlan,
    base: &Scenario,
    live: &[Live],
    diary: &Diary,
    date: Week,
) -> Result<Lessons, String> {
    let mut lessons = Lessons::default();
    let Some(kept_since) = diary.harvests.iter().map(|h| h.week).min() else {
        return Ok(lessons);
    };
    let records = by_planting(plan, diary);
    let ends = last_harvests(plan, diary);
    let grower = Grower::new(old);
    let mut groups: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
    for &index in records.keys() {
        if let Some(way) = live[index].way {
            let crop = live[index].crop;
            groups.entry((crop, way)).or_default().push(index);
            if matches!(base.crops[crop].ways[way].kind, WayKind::Clearing) {
                lessons.recorded.insert(index, records[&index].amount);
            }
        }
    }
    for ((crop, way), members) in groups {
        let kind = &base.crops[crop].ways[way];
        let known = known(old, &base.crops[crop].name, &kind.name);
        let mut seen = Experience {
            crop,
            way,
            yield_ratio: 1.0,
            plantings: 0,
            records: 0,
            ready_ratio: 1.0,
            first_harvests: 0,
        };
        let (mut forecast, mut taken) = (0.0, 0.0);
        let mut stands: BTreeSet<(&str, Week)> = BTreeSet::new();
        let mut readies: BTreeMap<(&str, Week), f64> = BTreeMap::new();
        for &index in &members {
            let planting = &plan.plantings[index];
            let record = records[&index];
            let over = ends.get(&index).is_some_and(|week| *week < date);
            let expected = expected(planting, &live[index], kind, kept_since, (date, over));
            if expected > CRUMB {
                forecast += expected;
                taken += record.amount;
                stands.insert((&planting.bed, planting.sown));
            }
            let standing_way = matches!(kind.kind, WayKind::Standing { .. });
            let watched = planting
                .first_harvest
                .is_some_and(|week| kept_since <= week);
            if !standing_way && watched && planting.standing.is_none() {
                let ratio = ready_ratio(old, plan, &grower, planting, record.first)?;
                readies.extend(ratio.map(|ratio| ((planting.bed.as_str(), planting.sown), ratio)));
            }
        }
        let of_these = diary.harvests.iter().map(|harvest| &harvest.plantings);
        seen.records = of_these
            .filter(|those| those.iter().any(|p| members.contains(p)))
            .count() as u32;
        if forecast > CRUMB {
            seen.plantings = stands.len() as u32;
            seen.yield_ratio = taken / forecast * known.map_or(1.0, |k| k.yield_factor());
        }
        if !readies.is_empty() {
            seen.first_harvests = readies.len() as u32;
            let mean = readies.values().sum::<f64>() / readies.len() as f64;
            seen.ready_ratio = mean * known.map_or(1.0, |k| k.ready_factor());
        }
        if seen.plantings + seen.first_harvests == 0 {
            continue;
        }
        let before = known_in(base, crop, way);
        let all = before.map_or(seen, |before| before.with(&seen));
        let book_yield = kind.yield_per_m2.usual / before.map_or(1.0, |k| k.yield_factor());
        let book_ready = kind.ready_units / before.map_or(1.0, |k| k.ready_factor());
        lessons.learned.push(Learned {
            crop: base.crops[crop].name.clone(),
            way: kind.name.clone(),
            unit: base.foods[kind.food].unit.symbol().to_string(),
            book_per_m2: book_yield,
            recorded_per_m2: book_yield * all.yield_ratio,
            used_per_m2: book_yield * all.yield_factor(),
            plantings: all.plantings,
            records: all.records,
            book_ready_units: book_ready,
            recorded_ready_units: book_ready * all.ready_ratio,
            used_ready_units: book_ready * all.ready_factor(),
            first_harvests: all.first_harvests,
        });
        lessons.experience.push(seen);
    }
    Ok(lessons)
}

/// Puts what was learned into the scenario's crops.
pub fn apply(scenario: &mut Scenario, lessons: &Lessons) {
    for seen in &lessons.experience {
        let at =
            (scenario.experience.iter()).position(|e| (e.crop, e.way) == (seen.crop, seen.way));
        let before = at.map(|i| scenario.experience[i]);
        let all = before.map_or(*seen, |before| before.with(seen));
        let change = |new: f64, old: Option<f64>| new / old.unwrap_or(1.0);
        let yields = change(all.yield_factor(), before.map(|b| b.yield_factor()));
        let ready = change(all.ready_factor(), before.map(|b| b.ready_factor()));
        let way = &mut scenario.crops[seen.crop].ways[seen.way];
        way.yield_per_m2.low *= yields;
        way.yield_per_m2.usual *= yields;
        way.yield_per_m2.high *= yields;
        way.ready_units *= ready;
        match at {
            Some(i) => scenario.experience[i] = all,
            None => scenario.experience.push(all),
        }
    }
    scenario.experience.sort_by_key(|e| (e.crop, e.way));
}

fn known<'a>(old: &'a Scenario, crop: &str, way: &str) -> Option<&'a Experience> {
    (old.experience.iter()).find(|e| {
        let known = &old.crops[e.crop];
        known.name == crop && known.ways[e.way].name == way
    })
}

fn known_in(base: &Scenario, crop: CropId, way: usize) -> Option<&Experience> {
    (base.experience.iter()).find(|e| (e.crop, e.way) == (crop, way))
}

/// Records by planting; one that speaks of several is divided by what they were to give.
fn by_planting(plan: &YearPlan, diary: &Diary) -> BTreeMap<usize, Record> {
    let mut records: BTreeMap<usize, Record> = BTreeMap::new();
    for harvest in &diary.harvests {
        let gives = |p: usize| -> f64 {
            let all: f64 = plan.plantings[p].lots.iter().map(|lot| lot.amount).sum();
            all.max(CRUMB)
        };
        let all: f64 = harvest.plantings.iter().map(|&p| gives(p)).sum();
        for &p in &harvest.plantings {
            let record = records.entry(p).or_insert(Record {
                amount: 0.0,
                first: harvest.week,
            });
            record.amount += harvest.amount * gives(p) / all;
        }
    }
    records
}

/// For each planting on record the last harvest of all those that its records speak of: which of them gave what is
/// known only then.
fn last_harvests(plan: &YearPlan, diary: &Diary) -> BTreeMap<usize, Week> {
    let mut ends: BTreeMap<usize, Week> = BTreeMap::new();
    for harvest in &diary.harvests {
        let those = harvest.plantings.iter();
        let Some(last) = (those.filter_map(|&p| plan.plantings[p].last_harvest)).max() else {
            continue;
        };
        for &p in &harvest.plantings {
            let end = ends.entry(p).or_insert(last);
            *end = last.max(*end);
        }
    }
    ends
}

/// What a planting was to give in the time on record, as events have left it; none where that
/// cannot be told yet: what is lifted as needed shows its yield when it is over, with all that its records speak of.
fn expected(
    planting: &Planting,
    live: &Live,
    way: &Way,
    kept_since: Week,
    (date, over): (Week, bool),
) -> f64 {
    if matches!(way.kind, WayKind::Standing { .. }) {
        let whole = planting
            .first_harvest
            .is_some_and(|week| kept_since <= week);
        if !over || !whole {
            return 0.0;
        }
    }
    let on_record = |lot: &&crate::plan::PlantingLot| lot.from >= kept_since && lot.from < date;
    (planting.lots.iter().filter(on_record))
        .map(|lot| lot.amount * live.left_since(lot.from))
        .sum()
}

/// Growth units by the week of the first harvest, in parts of what the scenario asks for.
fn ready_ratio(
    old: &Scenario,
    plan: &YearPlan,
    grower: &Grower,
    planting: &Planting,
    first: Week,
) -> Result<Option<f64>, String> {
    if Some(first) == planting.first_harvest {
        return Ok(Some(1.0));
    }
    let crop = find(&old.crops, |c| &c.name, "crop", &planting.crop)?;
    let bed = find(&old.beds, |b| &b.name, "bed", &planting.bed)?;
    let way = planting.way.as_ref();
    let Some(way) = way.and_then(|w| old.crops[crop].ways.iter().find(|x| x.name == *w)) else {
        return Ok(None);
    };
    let place = |week: Week| Place {
        inside: old.inside(bed, week),
        cover: if week < old.start {
            old.covered_before(bed, week)
        } else {
            let spell = (plan.covers.iter())
                .find(|s| s.bed == planting.bed && s.placed <= week && week < s.removed);
            spell.and_then(|s| old.covers.iter().position(|c| c.name == s.cover))
        },
        exposure: old.beds[bed].exposure,
    };
    let raising = planting.raising.as_ref();
    let beginning = Beginning {
        crop,
        raising: raising.and_then(|r| crate::plan::raising_named(&old.crops[crop], r)),
        lit: planting.shelf.as_ref().is_some_and(|s| s.lit),
        sown: planting.sown,
        planted: planting.planted,
        // It is the model's word that is compared with the record.
        ready_by: None,
    };
    // By the end of the week of the first harvest.
    let Ok(units) = grower.units_by(&beginning, &place, first.plus(1)) else {
        return Ok(None);
    };
    if way.ready_units <= 0.0 || units <= 0.0 {
        return Ok(None);
    }
    Ok(Some(
        (units / way.ready_units).clamp(READY_RATIOS.0, READY_RATIOS.1),
    ))
}
