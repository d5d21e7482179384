//! Shelf space, work by week, and what is to be bought.

use super::names::{Stand, index};
use super::sums::{differ, exceeds, say};
use super::{Check, Facts, Findings};
use crate::domain::{Method, Raising};
use crate::plan::pieces_of;
use std::collections::BTreeMap;

pub fn check(facts: &Facts, found: &mut Findings) {
    shelf(facts, found);
    work(facts, found);
    buying(facts, found);
}

/// How a new planting is raised, and how many plants it has.
fn raised<'a>(facts: &'a Facts, stand: &Stand) -> Option<(&'a Raising, f64)> {
    let raising = &facts.scenario.crops[stand.crop].raisings[stand.raising?];
    let plants = raising.plants_per_m2 * stand.area_m2 * stand.plan.plant_share;
    Some((raising, plants))
}

/// Seeds, sets or the like that are bought for a planting, and their price: none for what was sown
/// before the start.
pub fn pieces(facts: &Facts, stand: &Stand) -> (f64, f64) {
    if !facts.scenario.repeats && stand.plan.sown < facts.scenario.start {
        return (0.0, 0.0);
    }
    raised(facts, stand).map_or((0.0, 0.0), |(raising, plants)| {
        let pieces = plants * raising.seeds_per_plant;
        (pieces, pieces * raising.seed_money)
    })
}

/// Minutes of work on the ground by week of the horizon: sowing, planting out, clearing.
pub fn ground_minutes(facts: &Facts, stand: &Stand) -> Vec<(usize, f64)> {
    let scenario = facts.scenario;
    let crop = &scenario.crops[stand.crop];
    let mut minutes = Vec::new();
    if let Some((raising, _)) = raised(facts, stand) {
        if let Some(week) = index(scenario, scenario.week_within(stand.plan.sown)) {
            minutes.push((week, raising.sow_minutes_per_m2 * stand.area_m2));
        }
        minutes.push((
            scenario.within(stand.from),
            raising.plant_minutes_per_m2 * stand.area_m2,
        ));
    }
    let stays = match scenario.repeats {
        true => stand.standing.is_some(),
        false => stand.until >= scenario.horizon(),
    };
    if !stays {
        minutes.push((
            scenario.within(stand.until),
            crop.clear_minutes_per_m2 * stand.area_m2,
        ));
    }
    minutes
}

/// Every week's plants fit on the shelf, under lamps and without.
fn shelf(facts: &Facts, found: &mut Findings) {
    let scenario = facts.scenario;
    let mut taken = vec![[0.0; 2]; scenario.horizon()];
    for stand in facts.stands {
        let Some((raising, plants)) = raised(facts, stand) else {
            continue;
        };
        let modules = raising.method == Method::Modules;
        let said = stand.plan.shelf.as_ref();
        if modules != said.is_some() {
            found.add(
                Check::Shelf,
                format!(
                    "{} is wrongly said to be on the shelf or not",
                    stand.called()
                ),
            );
        }
        for (what, said, is) in [
            ("plants", stand.plan.plants, plants),
            ("pieces", stand.plan.seeds, plants * raising.seeds_per_plant),
        ] {
            if said.is_none_or(|said| differ(said, is)) {
                found.add(
                    Check::Buying,
                    format!("{} needs {} {what}", stand.called(), say(is)),
                );
            }
        }
        let Some(stay) = said.filter(|_| modules) else {
            continue;
        };
        let m2 = plants / raising.plants_per_shelf_m2;
        if differ(stay.m2, m2) {
            found.add(
                Check::Shelf,
                format!(
                    "{} takes {} m² of shelf, not {}",
                    stand.called(),
                    say(m2),
                    say(stay.m2)
                ),
            );
        }
        let weeks = match scenario.repeats {
            true => usize::try_from(stand.plan.planted.since(stand.plan.sown)).unwrap_or(0),
            false => {
                stand.from
                    - index(scenario, stand.plan.sown)
                        .unwrap_or(0)
                        .min(stand.from)
            }
        };
        for back in 1..=weeks {
            // In a standing year what was sown in the year before stands for what is sown in this one.
            let week = (stand.from + scenario.horizon() - back) % scenario.horizon();
            taken[week][usize::from(!stay.lit)] += m2;
        }
    }
    let mut told: Vec<_> = facts.plan.shelf.iter().map(|s| s.week).collect();
    told.dedup();
    if told.len() != facts.plan.shelf.len()
        || told.iter().any(|week| index(scenario, *week).is_none())
    {
        found.add(
            Check::Shelf,
            "the shelf has a week twice, or outside the plan",
        );
    }
    for (w, [lit, unlit]) in taken.into_iter().enumerate() {
        let date = scenario.week(w);
        for (part, m2, space) in [
            ("lit", lit, scenario.shelf.lit_m2),
            ("unlit", unlit, scenario.shelf.unlit_m2),
        ] {
            let closed = scenario.shelf_closed(part == "lit", date, date.plus(1));
            let space = if closed { 0.0 } else { space };
            if exceeds(m2, space) {
                found.add(
                    Check::Shelf,
                    format!(
                        "{} m² of {part} shelf are taken in {date}, there are {}",
                        say(m2),
                        say(space)
                    ),
                );
            }
        }
        let said = facts.plan.shelf.iter().find(|s| s.week == date);
        let (said_lit, said_unlit) = said.map_or((0.0, 0.0), |s| (s.lit_m2, s.unlit_m2));
        if differ(said_lit, lit) || differ(said_unlit, unlit) {
            found.add(
                Check::Shelf,
                format!(
                    "the shelf in {date} holds {} m² lit and {} m² unlit, the plan says {} and {}",
                    say(lit),
                    say(unlit),
                    say(said_lit),
                    say(said_unlit)
                ),
            );
        }
    }
}

/// Every week's work is what the plan says and within what is to hand.
fn work(facts: &Facts, found: &mut Findings) {
    let scenario = facts.scenario;
    let mut minutes = vec![[0.0; 3]; scenario.horizon()];
    for stand in facts.stands {
        for (week, amount) in ground_minutes(facts, stand) {
            if let Some(week) = minutes.get_mut(week) {
                week[0] += amount;
            }
        }
    }
    // What is in store was harvested before the plan.
    for class in facts.classes.iter().filter(|class| !class.in_store) {
        let way = &scenario.crops[class.crop].ways[class.way];
        for &(week, units) in &class.eaten {
            if let Some(week) = minutes.get_mut(scenario.within(week)) {
                week[1] += units * way.harvest_minutes_per_unit;
            }
        }
    }
    for cover in 0..scenario.covers.len() {
        for (week, amount) in facts.log.minutes(scenario, cover).into_iter().enumerate() {
            minutes[week][2] += amount;
        }
    }
    if facts.plan.work.len() != scenario.horizon() {
        let weeks = facts.plan.work.len();
        found.add(Check::Work, format!("the work of {weeks} weeks is told"));
    }
    for (w, [ground, harvest, covers]) in minutes.into_iter().enumerate() {
        let date = scenario.week(w);
        let said = facts.plan.work.iter().find(|s| s.week == date);
        let agrees = said.is_some_and(|s| {
            !differ(s.ground, ground) && !differ(s.harvest, harvest) && !differ(s.covers, covers)
        });
        if !agrees {
            found.add(
                Check::Work,
                format!(
                    "the work of {date} is {} minutes on the ground, {} of harvest, {} with covers",
                    say(ground),
                    say(harvest),
                    say(covers)
                ),
            );
        }
        if let Some(hours) = scenario.work.hours_per_week
            && exceeds(ground + harvest + covers, hours * 60.0)
        {
            found.add(
                Check::Work,
                format!(
                    "{date} takes {} minutes of work, {} are to hand",
                    say(ground + harvest + covers),
                    say(hours * 60.0)
                ),
            );
        }
    }
}

/// The buying list holds what the plantings need.
fn buying(facts: &Facts, found: &mut Findings) {
    let mut needed: BTreeMap<(&str, &str), (f64, f64)> = BTreeMap::new();
    for stand in facts.stands {
        let Some((raising, _)) = raised(facts, stand) else {
            continue;
        };
        let (pieces, money) = pieces(facts, stand);
        if pieces == 0.0 {
            continue;
        }
        let line = (needed.entry((&stand.plan.crop, pieces_of(raising.method)))).or_default();
        line.0 += pieces;
        line.1 += money;
    }
    for line in &facts.plan.buying {
        let first = (facts.stands.iter())
            .filter(|s| s.plan.crop == line.crop)
            .filter(|s| facts.scenario.repeats || s.plan.sown >= facts.scenario.start)
            .filter(|s| raised(facts, s).is_some_and(|(r, _)| pieces_of(r.method) == line.what))
            .map(|s| facts.scenario.week_within(s.plan.sown))
            .min();
        if first != Some(line.needed) {
            found.add(
                Check::Buying,
                format!(
                    "{}, {} is not first needed in {}",
                    line.crop, line.what, line.needed
                ),
            );
        }
        let sum = needed.entry((&line.crop, &line.what)).or_default();
        sum.0 -= line.pieces;
        sum.1 -= line.money;
    }
    for ((crop, what), (pieces, money)) in needed {
        if differ(pieces, 0.0) || differ(money, 0.0) {
            found.add(
                Check::Buying,
                format!(
                    "the buying list of {crop}, {what}, is off by {} pieces",
                    say(pieces)
                ),
            );
        }
    }
}
