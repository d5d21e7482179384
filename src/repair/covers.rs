//! Covers that fill a hole: what is kept and gives more, or sooner, under a cover that lay elsewhere in the
//! plan left as it is.

use super::compare::LostWeek;
use crate::domain::Scenario;
use crate::plan::{Planting, YearPlan};
use crate::units::Week;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Amounts below this are none, units of the food.
const CRUMB: f64 = 1e-3;
/// Areas nearer than this are the same, m²: they are rounded in plans.
const SAME_M2: f64 = 1e-6;

/// A cover put on, or left on longer, over what is kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CoverFiller {
    /// Its name; where several kinds are new over the bed, all of them.
    pub cover: String,
    pub bed: String,
    /// The first week in which it lies there and would not.
    pub placed: Week,
    pub crop: String,
    /// What is under it, in the repaired plan.
    pub plantings: Vec<String>,
    /// What is ready by that week and can be eaten in the weeks of the loss, above what there would be,
    /// in the food's unit.
    pub more: f64,
    pub by: Week,
}

/// Plantings of a bed that are the same in both plans but for covers and clearing: standing planting or none,
/// crop, raising, way, sown, planted.
type Key<'p> = (
    &'p str,
    Option<&'p str>,
    &'p str,
    Option<&'p str>,
    Option<&'p str>,
    (Week, Week),
);

/// The plantings of a plan that give a food, those that are the same together; recipes left out, for there
/// the other crop counts as well.
fn alike<'p>(
    plan: &'p YearPlan,
    scenario: &Scenario,
    food: usize,
) -> BTreeMap<Key<'p>, Vec<&'p Planting>> {
    let mut found: BTreeMap<Key, Vec<&Planting>> = BTreeMap::new();
    for p in &plan.plantings {
        let crop = scenario.crops.iter().find(|c| c.name == p.crop);
        let way = crop.and_then(|c| c.ways.iter().find(|w| Some(&w.name) == p.way.as_ref()));
        if p.partner.is_some() || way.is_none_or(|way| way.food != food) {
            continue;
        }
        let key: Key = (
            &p.bed,
            p.standing.as_deref(),
            &p.crop,
            p.raising.as_deref(),
            p.way.as_deref(),
            (p.sown, p.planted),
        );
        found.entry(key).or_default().push(p);
    }
    found
}

/// The covers to which it is owed that what is kept gives more of a food in the weeks of a loss. Only where
/// nothing else can be the reason: the same area of the same plantings, harvested in the same way, none of it
/// standing longer.
pub(super) fn fillers(
    as_it_is: &YearPlan,
    repaired: &YearPlan,
    scenario: &Scenario,
    food: usize,
    weeks: &[LostWeek],
) -> Vec<CoverFiller> {
    let (Some(first), Some(last)) = (weeks.first(), weeks.last()) else {
        return Vec::new();
    };
    let (first, last) = (first.week, last.week);
    let before = alike(as_it_is, scenario, food);
    let mut found = Vec::new();
    for (key, now) in alike(repaired, scenario, food) {
        let Some(before) = before.get(&key) else {
            continue;
        };
        let area = |plantings: &[&Planting], week: Week| -> f64 {
            let there = plantings.iter().filter(|p| p.cleared > week);
            there.map(|p| p.area_m2).sum()
        };
        let start = scenario.start;
        let same = (area(&now, start) - area(before, start)).abs() < SAME_M2;
        let mut all = (0..=last.since(start)).map(|w| start.plus(w));
        let longer = all.any(|week| area(&now, week) > area(before, week) + SAME_M2);
        let covered = |plantings: &[&Planting]| -> BTreeSet<(Week, String)> {
            let spells = plantings.iter().flat_map(|p| &p.under);
            let weeks = spells.flat_map(|u| {
                let weeks = (0..=u.until.since(u.from)).map(|w| u.from.plus(w));
                weeks.map(|week| (week, u.cover.clone()))
            });
            weeks.filter(|(week, _)| *week <= last).collect()
        };
        let known = covered(before);
        let new: Vec<(Week, String)> = (covered(&now).into_iter())
            .filter(|there| !known.contains(there))
            .collect();
        let Some(&(placed, _)) = new.first() else {
            continue;
        };
        let ready = |plantings: &[&Planting], by: Week| -> f64 {
            let lots = plantings.iter().flat_map(|p| &p.lots);
            let useful = lots.filter(|lot| lot.from <= by && lot.until >= first);
            useful.map(|lot| lot.amount).sum()
        };
        let more = weeks.iter().map(|w| {
            let by = w.week;
            (ready(&now, by) - ready(before, by), by)
        });
        // The greatest, of equals the earliest.
        let most = more.reduce(|a, b| if b.0 > a.0 { b } else { a });
        let Some((more, by)) = most.filter(|(more, _)| *more > CRUMB && same && !longer) else {
            continue;
        };
        let kinds: BTreeSet<&str> = new.iter().map(|(_, cover)| cover.as_str()).collect();
        found.push(CoverFiller {
            cover: kinds.into_iter().collect::<Vec<_>>().join(", "),
            bed: key.0.into(),
            placed,
            crop: key.2.into(),
            plantings: now.iter().map(|p| p.id.clone()).collect(),
            more,
            by,
        });
    }
    found.sort_by(|a, b| {
        (a.placed, &a.bed, &a.crop, &a.plantings).cmp(&(b.placed, &b.bed, &b.crop, &b.plantings))
    });
    found
}
