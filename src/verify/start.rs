//! What the plan says of its start: food in store, plants on the shelf, and what became of the
//! plantings decided on.

use super::ledger::{Lines, add};
use super::names::Stand;
use super::sums::{differ, exceeds, say};
use super::{Check, Facts, Findings};
use crate::domain::{CropId, OnShelf, Planned};
use crate::plan::{Fate, Rule};
use crate::units::Week;
use std::collections::BTreeMap;

pub fn check(facts: &Facts, found: &mut Findings) {
    in_store(facts, found);
    plants(facts, found);
    changes(facts, found);
}

/// What is said to be in store is what the scenario says.
fn in_store(facts: &Facts, found: &mut Findings) {
    let scenario = facts.scenario;
    let right = (facts.plan.in_store.iter().zip(&scenario.in_store)).all(|(said, is)| {
        let crop = &scenario.crops[is.crop];
        let way = &crop.ways[is.way];
        let food = &scenario.foods[way.food];
        let kept = said.until.since(is.harvested);
        (&said.name, &said.crop, &said.way, &said.food)
            == (&is.name, &crop.name, &way.name, &food.name)
            && said.unit == food.unit.symbol()
            && said.harvested == is.harvested
            && u32::try_from(kept) == Ok(way.keeps_weeks)
            && !differ(said.amount, is.amount)
    });
    if !right || facts.plan.in_store.len() != scenario.in_store.len() {
        found.add(
            Check::Start,
            "what is in store at the start is not what the scenario says",
        );
    }
}

/// The plants on the shelf that a planting must be made of, having been sown before the start.
pub fn shelf_entry<'a>(facts: &Facts<'a>, stand: &Stand) -> Option<&'a OnShelf> {
    let lit = stand.plan.shelf.as_ref().is_some_and(|stay| stay.lit);
    let mut entries = facts.scenario.on_shelf.iter();
    entries.find(|entry| {
        stand.standing.is_none()
            && entry.crop == stand.crop
            && Some(entry.raising) == stand.raising
            && entry.lit == lit
            && entry.sown == stand.plan.sown
    })
}

/// Plantings sown before the start are made of plants that are there, and of no more of them.
fn plants(facts: &Facts, found: &mut Findings) {
    let mut taken: BTreeMap<&str, f64> = BTreeMap::new();
    for stand in facts.stands {
        let entry = shelf_entry(facts, stand);
        if stand.plan.on_shelf.as_deref() != entry.map(|entry| entry.name.as_str()) {
            found.add(
                Check::Start,
                format!("{} is not made of the plants it names", stand.called()),
            );
        }
        if let (Some(entry), Some(raising)) = (entry, stand.raising) {
            let raising = &facts.scenario.crops[stand.crop].raisings[raising];
            let plants = raising.plants_per_m2 * stand.area_m2 * stand.plan.plant_share;
            *taken.entry(&entry.name).or_default() += plants;
        }
    }
    for entry in &facts.scenario.on_shelf {
        let taken = taken.get(entry.name.as_str()).copied().unwrap_or(0.0);
        if exceeds(taken, entry.plants) {
            found.add(
                Check::Start,
                format!(
                    "{} plants of {} are planted out, {} are there",
                    say(taken),
                    entry.name,
                    say(entry.plants)
                ),
            );
        }
    }
}

/// How a planting begins: crop, raising, lit, sown, planted, of one or two.
type Begun = Vec<(CropId, usize, bool, Week, Week)>;
/// The same wherever and whenever it goes into the ground.
type Sowing = Vec<(CropId, usize, bool, Week)>;

fn sowing(begun: &Begun) -> Sowing {
    let members = begun
        .iter()
        .map(|&(crop, raising, lit, sown, _)| (crop, raising, lit, sown));
    members.collect()
}

fn decided(planned: &Planned) -> Begun {
    let members = planned.members.iter();
    members
        .map(|m| (m.crop, m.raising, m.lit, m.sown, m.planted))
        .collect()
}

/// The new plantings, a recipe's two as one under the id of its first part.
fn new<'a>(facts: &Facts<'a>) -> Vec<(&'a str, usize, f64, Begun)> {
    let begun = |stand: &Stand| {
        let lit = stand.plan.shelf.as_ref().is_some_and(|stay| stay.lit);
        let raising = stand.raising?;
        Some((
            stand.crop,
            raising,
            lit,
            stand.plan.sown,
            stand.plan.planted,
        ))
    };
    let mut found = Vec::new();
    for (i, stand) in facts.stands.iter().enumerate() {
        let partner = stand.partner.map(|p| (p, &facts.stands[p]));
        if partner.is_some_and(|(p, _)| p < i) {
            continue;
        }
        let members: Option<Begun> = std::iter::once(stand)
            .chain(partner.map(|(_, partner)| partner))
            .map(begun)
            .collect();
        if let Some(members) = members {
            found.push((stand.plan.id.as_str(), stand.bed, stand.area_m2, members));
        }
    }
    found
}

/// m² and money by what became of them.
fn totals(facts: &Facts) -> BTreeMap<Fate, (f64, f64)> {
    let scenario = facts.scenario;
    let prices = &scenario.changes;
    let mut totals = BTreeMap::new();
    if scenario.planned.is_empty() {
        return totals;
    }
    // By sowing: decided on, its dearest price of leaving out, planted.
    let mut sowings: BTreeMap<Sowing, (f64, f64, f64)> = BTreeMap::new();
    let mut places: BTreeMap<(usize, Begun), (f64, f64)> = BTreeMap::new();
    for planned in &scenario.planned {
        let m2 = scenario.beds[planned.bed].strip_m2() * planned.strips.len() as f64;
        let begun = decided(planned);
        let sum = sowings.entry(sowing(&begun)).or_default();
        sum.0 += m2;
        sum.1 = sum.1.max(scenario.drop_money(planned));
        places.entry((planned.bed, begun)).or_default().0 += m2;
    }
    let mut all_new = 0.0;
    for (_, bed, m2, begun) in new(facts) {
        all_new += m2;
        if let Some(sum) = sowings.get_mut(&sowing(&begun)) {
            sum.2 += m2;
        }
        if let Some(place) = places.get_mut(&(bed, begun)) {
            place.1 += m2;
        }
    }
    let mut count = |fate, m2: f64, price: f64| {
        let sum: &mut (f64, f64) = totals.entry(fate).or_default();
        sum.0 += m2;
        sum.1 += m2 * price;
    };
    let mut planted_as_decided = 0.0;
    for (sown, (wanted, drop, there)) in &sowings {
        let kept: f64 = (places.iter())
            .filter(|((_, begun), _)| sowing(begun) == *sown)
            .map(|(_, (wanted, there))| wanted.min(*there))
            .sum();
        let anywhere = wanted.min(*there);
        planted_as_decided += anywhere;
        let moving = prices.move_money_per_m2.min(drop + prices.add_money_per_m2);
        count(Fate::Kept, kept, 0.0);
        count(Fate::Moved, anywhere - kept, moving);
        count(Fate::LeftOut, wanted - anywhere, *drop);
    }
    count(
        Fate::Added,
        all_new - planted_as_decided,
        prices.add_money_per_m2,
    );
    totals
}

/// The lines about changes in the ledger.
pub fn ledger(facts: &Facts, lines: &mut Lines) {
    for (fate, (m2, money)) in totals(facts) {
        add(lines, Rule::Changes, fate.name(), m2, -money);
    }
}

/// Every planting decided on is told of once, every new planting too, and rightly.
fn changes(facts: &Facts, found: &mut Findings) {
    let scenario = facts.scenario;
    let told = &facts.plan.changes;
    if scenario.planned.is_empty() {
        if !told.is_empty() {
            found.add(Check::Start, "changes are told of, nothing was decided on");
        }
        return;
    }
    let plantings = new(facts);
    let mut totals = totals(facts);
    // What is decided on (true) and what is planted may have the same names.
    let mut open: BTreeMap<(bool, &str), f64> = BTreeMap::new();
    for planned in &scenario.planned {
        let m2 = scenario.beds[planned.bed].strip_m2() * planned.strips.len() as f64;
        open.insert((true, &planned.name), m2);
    }
    for (id, _, m2, _) in &plantings {
        open.insert((false, id), *m2);
    }
    for line in told {
        let sum = totals.entry(line.change).or_default();
        sum.0 -= line.m2;
        sum.1 -= line.money;
        let planned =
            (line.planned.as_ref()).map(|name| scenario.planned.iter().find(|p| p.name == *name));
        let planting =
            (line.planting.as_ref()).map(|id| plantings.iter().find(|(it, ..)| it == id));
        let right = match (line.change, planned, planting) {
            (Fate::Kept, Some(Some(planned)), Some(Some((_, bed, _, begun)))) => {
                planned.bed == *bed && decided(planned) == *begun
            }
            (Fate::Moved, Some(Some(planned)), Some(Some((.., begun)))) => {
                sowing(&decided(planned)) == sowing(begun)
            }
            (Fate::LeftOut, Some(Some(_)), None) | (Fate::Added, None, Some(Some(_))) => true,
            _ => false,
        };
        if !right || exceeds(0.0, line.m2) {
            let what = line.planned.as_ref().or(line.planting.as_ref());
            let what = what.map_or("a planting", String::as_str);
            let fate = line.change.name();
            found.add(Check::Start, format!("{what} is not {fate} as told"));
        }
        let planned = line.planned.iter().map(|name| (true, name.as_str()));
        let planting = line.planting.iter().map(|id| (false, id.as_str()));
        for key in planned.chain(planting) {
            *open.entry(key).or_default() -= line.m2;
        }
    }
    for ((_, name), m2) in open {
        if differ(m2, 0.0) {
            found.add(
                Check::Start,
                format!("the changes of {name} leave {} m² untold", say(m2)),
            );
        }
    }
    for (fate, (m2, money)) in totals {
        if differ(m2, 0.0) || differ(money, 0.0) {
            let fate = fate.name();
            found.add(
                Check::Start,
                format!(
                    "what is {fate} is off by {} m², {} of money",
                    say(m2),
                    say(money)
                ),
            );
        }
    }
}
