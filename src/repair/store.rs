//! What has been harvested and is not eaten yet; and how much of what stands has been taken.

use super::ground::outlived;
use super::live::Live;
use super::roster::find;
use crate::domain::{InStore, Scenario};
use crate::plan::{Draws, PlantingLot, YearPlan};
use crate::units::Week;
use std::collections::BTreeMap;

/// Amounts below this are none, units of the food.
const CRUMB: f64 = 1e-6;

/// Crop, way, in store at the start, and weeks: what tells one class of lots from another.
type Key<'a> = (&'a str, &'a str, bool, Week, Week, Week);

/// What is used of each class before `date`, as a share of what it holds.
pub struct Used<'a> {
    shares: BTreeMap<Key<'a>, f64>,
}

impl<'a> Used<'a> {
    /// What `plan` uses before `date`.
    pub fn before(date: Week, base: &Scenario, plan: &'a YearPlan) -> Used<'a> {
        let share = |d: &Draws| {
            let loss = weekly_loss(base, &d.crop, &d.way);
            let used: f64 = d
                .eaten
                .range(..date)
                .map(|(week, units)| units * used_per_unit(loss, week.since(d.fresh_until)))
                .sum();
            (used / d.amount.max(CRUMB)).min(1.0)
        };
        let key = |d: &'a Draws| {
            let (crop, way) = (d.crop.as_str(), d.way.as_str());
            (crop, way, d.in_store, d.from, d.fresh_until, d.until)
        };
        Used {
            shares: plan.draws.iter().map(|d| (key(d), share(d))).collect(),
        }
    }

    fn of(&self, key: Key) -> f64 {
        self.shares.get(&key).copied().unwrap_or(0.0)
    }

    /// The share of a planting's lot that is used.
    pub fn of_lot(&self, crop: &str, way: &str, lot: &PlantingLot) -> f64 {
        self.of((crop, way, false, lot.from, lot.fresh_until, lot.until))
    }
}

/// Units used up of a lot per unit eaten so many weeks after it was taken.
fn used_per_unit(loss: f64, weeks: i32) -> f64 {
    (1.0 - loss).powi(-weeks.max(0))
}

fn weekly_loss(base: &Scenario, crop: &str, way: &str) -> f64 {
    (base.crops.iter().find(|c| c.name == crop))
        .and_then(|c| c.ways.iter().find(|w| w.name == way))
        .map_or(0.0, |w| w.weekly_loss)
}

/// Food in store on the Monday of `date`: what the plan has harvested by then and not eaten, as
/// events and records (by planting, in the order of the plan) correct it.
pub fn in_store(
    old: &Scenario,
    plan: &YearPlan,
    base: &Scenario,
    all: &[Live],
    recorded: &BTreeMap<usize, f64>,
    date: Week,
) -> Result<Vec<InStore>, String> {
    let used = Used::before(date, base, plan);
    // By crop, way and the last week in which it could be taken from the ground.
    let mut kept: BTreeMap<(usize, usize, Week), f64> = BTreeMap::new();
    for (index, planting) in plan.plantings.iter().enumerate() {
        let (live, Some(way)) = (&all[index], &planting.way) else {
            continue;
        };
        if live.dropped {
            continue;
        }
        let way_id = find(&base.crops[live.crop].ways, |w| &w.name, "way", way)?;
        let loss = base.crops[live.crop].ways[way_id].weekly_loss;
        // What is not followed further is picked as far as it is ready.
        let picked = outlived(all, index, date) && live.planted.is_some_and(|week| week < date);
        let taken = |lot: &&PlantingLot| {
            let late = live.late.max(0);
            lot.fresh_until.plus(late) < date || picked && lot.from.plus(late) < date
        };
        let forecast: f64 = (planting.lots.iter().filter(taken)).map(|l| l.amount).sum();
        let on_record = recorded
            .get(&index)
            .map(|units| units / forecast.max(CRUMB));
        for lot in planting.lots.iter().filter(taken) {
            let share = on_record.unwrap_or_else(|| live.left_since(lot.fresh_until));
            let left = (share - used.of_lot(&planting.crop, way, lot)).max(0.0) * lot.amount;
            if lot.until >= date {
                let harvested = lot.fresh_until.min(date.plus(-1));
                let now = left / used_per_unit(loss, date.since(lot.fresh_until));
                *kept.entry((live.crop, way_id, harvested)).or_default() += now;
            }
        }
    }
    for stored in &old.in_store {
        let crop = &old.crops[stored.crop];
        let way = &crop.ways[stored.way];
        let keeps = i32::try_from(way.keeps_weeks).unwrap_or(i32::MAX / 2);
        let last = old.week(old.horizon()).plus(-1);
        let until = stored.harvested.plus(keeps).min(last);
        let key = (
            crop.name.as_str(),
            way.name.as_str(),
            true,
            old.start,
            old.start,
            until,
        );
        let weeks = date.since(old.start);
        let left = (1.0 - used.of(key)).max(0.0) * stored.amount;
        if until >= date {
            let crop_id = find(&base.crops, |c| &c.name, "crop", &crop.name)?;
            let way_id = find(&base.crops[crop_id].ways, |w| &w.name, "way", &way.name)?;
            *kept.entry((crop_id, way_id, stored.harvested)).or_default() +=
                left / used_per_unit(way.weekly_loss, weeks);
        }
    }
    let mut list: Vec<InStore> = kept
        .into_iter()
        .filter(|(_, amount)| *amount > CRUMB)
        .map(|((crop, way, harvested), amount)| InStore {
            name: format!(
                "{} {} of {harvested}",
                base.crops[crop].name, base.crops[crop].ways[way].name
            ),
            crop,
            way,
            amount,
            harvested,
        })
        .collect();
    list.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(list)
}
