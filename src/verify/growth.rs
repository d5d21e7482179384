//! Dates and yields, asked again of the growth model with each planting's own dates and the
//! covers that lie on its bed.

use super::names::{Stand, index};
use super::sums::{exceeds, say};
use super::{Check, Facts, Findings, start};
use crate::climate::Place;
use crate::domain::{Way, WayKind};
use crate::growth::{Beginning, Course, Failure, Grower};
use crate::units::Week;
use std::collections::BTreeMap;

pub fn check(facts: &Facts, found: &mut Findings) {
    let grower = Grower::new(facts.scenario);
    for stand in facts.stands {
        if let Err(reason) = grows(facts, &grower, stand) {
            found.add(Check::Growth, format!("{}: {reason}", stand.called()));
        }
        if let Err(reason) = stays(facts, &grower, stand) {
            found.add(Check::Standing, format!("{}: {reason}", stand.called()));
        }
    }
}

/// Its course up to `until`, with the bed's covers up to `log_until` and none after.
pub fn course(
    facts: &Facts,
    grower: &Grower,
    stand: &Stand,
    log_until: usize,
    until: Week,
) -> Result<Course, Failure> {
    let scenario = facts.scenario;
    let bed = &scenario.beds[stand.bed];
    let place = |week: Week| {
        let cover = match usize::try_from(week.since(scenario.start)) {
            Ok(w) if w < log_until => facts.log.on(stand.bed, w),
            Ok(_) => None,
            Err(_) => scenario.covered_before(stand.bed, week),
        };
        Place {
            inside: scenario.inside(stand.bed, week),
            cover,
            exposure: bed.exposure,
        }
    };
    let beginning = Beginning {
        crop: stand.crop,
        raising: stand.raising,
        lit: match stand.standing {
            Some(id) => scenario.raised_lit(id),
            None => stand.plan.shelf.as_ref().is_some_and(|s| s.lit),
        },
        sown: stand.plan.sown,
        planted: stand.plan.planted,
        ready_by: (stand.standing).and_then(|id| scenario.standing[id].ready_by),
    };
    match stand.way {
        Some(way) => grower.course(&beginning, way, &place, until),
        None => grower.stand(&beginning, &place, until),
    }
}

/// Its lots are no more, no earlier and no later than what growth gives while it stands.
fn grows(facts: &Facts, grower: &Grower, stand: &Stand) -> Result<(), String> {
    let lots = &stand.plan.lots;
    let to_hand = stand.standing.is_some() || start::shelf_entry(facts, stand).is_some();
    if !to_hand && !facts.scenario.repeats && stand.plan.sown < facts.scenario.start {
        return Err(format!(
            "sown in {}, before the plan starts, and not on the shelf",
            stand.plan.sown
        ));
    }
    if let (Some(_), true) = (stand.standing, lots.is_empty()) {
        return Ok(());
    }
    let asked = course(facts, grower, stand, stand.until, stand.plan.cleared);
    let course = asked.map_err(|failure| failure.to_string())?;
    let Some(way) = stand.way.map(|w| &facts.scenario.crops[stand.crop].ways[w]) else {
        return match lots.first() {
            Some(lot) => Err(format!(
                "gives {} without a way of harvest",
                say(lot.amount)
            )),
            None => Ok(()),
        };
    };
    windows(facts, stand, way)?;
    first_and_last(stand)?;
    let share = stand.plan.yield_share * left(facts, stand, way, &course) * stand.area_m2;
    match way.kind {
        WayKind::Picking { .. } => picked(stand, &course, share),
        WayKind::Standing { .. } => lifted(facts, stand, &course, share, course.last),
        WayKind::Clearing => {
            if lots.iter().any(|lot| lot.fresh_until != lot.from) {
                return Err("is cleared at once, yet stands after its first harvest".into());
            }
            lifted(facts, stand, &course, share, course.last)
        }
    }
}

/// Lots lie within the plan and keep no longer than the crop does.
fn windows(facts: &Facts, stand: &Stand, way: &Way) -> Result<(), String> {
    let keeps = i32::try_from(way.keeps_weeks).unwrap_or(i32::MAX / 2);
    let end = facts.scenario.week(facts.scenario.horizon());
    for lot in &stand.plan.lots {
        let ends = facts.scenario.repeats || lot.until < end;
        let inside = index(facts.scenario, lot.from).is_some() && ends;
        if !inside || lot.fresh_until < lot.from || lot.until < lot.fresh_until {
            return Err(format!("its lot of {} has impossible weeks", lot.from));
        }
        if lot.until > lot.fresh_until.plus(keeps) {
            return Err(format!(
                "its lot of {} is eaten until {}, it keeps {} weeks",
                lot.from, lot.until, way.keeps_weeks
            ));
        }
        if lot.fresh_until >= stand.plan.cleared {
            return Err(format!(
                "its lot of {} is taken until {}, it is cleared in {}",
                lot.from, lot.fresh_until, stand.plan.cleared
            ));
        }
        if exceeds(0.0, lot.amount) {
            return Err(format!("its lot of {} is {}", lot.from, say(lot.amount)));
        }
    }
    Ok(())
}

/// First and last harvest and the harvest by week agree with the lots.
fn first_and_last(stand: &Stand) -> Result<(), String> {
    let plan = stand.plan;
    let first = plan.lots.iter().map(|l| l.from).min();
    let last = plan.lots.iter().map(|l| l.fresh_until).max();
    if (plan.first_harvest, plan.last_harvest) != (first, last) {
        return Err("its first and last harvest are not those of its lots".into());
    }
    let weeks = first.zip(last);
    if let Some((week, _)) = plan.harvest.first_key_value()
        && weeks.is_none_or(|(first, _)| *week < first)
    {
        return Err(format!("is harvested in {week}, before its first harvest"));
    }
    let lots: f64 = plan.lots.iter().map(|l| l.amount).sum();
    let harvest: f64 = plan.harvest.values().sum();
    if exceeds(harvest, lots) {
        return Err(format!(
            "gives {}, its harvest adds up to {}",
            say(lots),
            say(harvest)
        ));
    }
    Ok(())
}

/// What part of the model's harvest is still there of a standing planting.
fn left(facts: &Facts, stand: &Stand, way: &Way, course: &Course) -> f64 {
    let Some(standing) = stand.standing.map(|s| &facts.scenario.standing[s]) else {
        return 1.0;
    };
    match way.kind {
        WayKind::Standing { .. } | WayKind::Clearing => 1.0 - standing.taken,
        WayKind::Picking { .. } => {
            let start = facts.scenario.start;
            let before: f64 = (course.harvest.iter())
                .filter(|(week, _)| *week < start)
                .map(|(_, amount)| amount)
                .sum();
            let by_model = before / way.yield_per_m2.usual;
            if standing.taken > by_model {
                (1.0 - standing.taken) / (1.0 - by_model)
            } else {
                1.0
            }
        }
    }
}

/// Picked week by week.
fn picked(stand: &Stand, course: &Course, share: f64) -> Result<(), String> {
    let mut given: BTreeMap<Week, f64> = BTreeMap::new();
    for (week, amount) in &course.harvest {
        *given.entry(*week).or_default() += amount * share;
    }
    let mut taken: BTreeMap<Week, f64> = BTreeMap::new();
    for lot in &stand.plan.lots {
        if lot.fresh_until != lot.from {
            return Err(format!(
                "the picking of {} does not stay on the plant",
                lot.from
            ));
        }
        *taken.entry(lot.from).or_default() += lot.amount;
    }
    for (week, amount) in taken {
        let most = given.get(&week).copied().unwrap_or(0.0);
        if exceeds(amount, most) {
            return Err(format!(
                "{} is picked in {week}, it gives {}",
                say(amount),
                say(most)
            ));
        }
    }
    Ok(())
}

/// Ready at once, lifted from the first to the last week it is good.
fn lifted(
    facts: &Facts,
    stand: &Stand,
    course: &Course,
    share: f64,
    last: Week,
) -> Result<(), String> {
    let first = course.first.max(facts.scenario.start);
    for lot in &stand.plan.lots {
        if lot.from < first || lot.fresh_until > last {
            return Err(format!(
                "is lifted from {} to {}, it is ready from {first} to {last}",
                lot.from, lot.fresh_until
            ));
        }
    }
    let most: f64 = course
        .harvest
        .iter()
        .map(|(_, amount)| amount * share)
        .sum();
    let amount: f64 = stand.plan.lots.iter().map(|l| l.amount).sum();
    if exceeds(amount, most) {
        return Err(format!(
            "gives {}, growth allows {}",
            say(amount),
            say(most)
        ));
    }
    Ok(())
}

/// What is to be kept stays to its natural end, if there is one to wait for.
fn stays(facts: &Facts, grower: &Grower, stand: &Stand) -> Result<(), String> {
    let scenario = facts.scenario;
    let Some(standing) = stand.standing.map(|s| &scenario.standing[s]) else {
        return Ok(());
    };
    if !standing.keep {
        return Ok(());
    }
    let crop = &scenario.crops[stand.crop];
    let end = scenario.week(scenario.horizon());
    let ways: Vec<Option<usize>> = match standing.way {
        Some(way) => vec![Some(way)],
        None if crop.ways.is_empty() => vec![None],
        None if stand.way.is_some() => vec![stand.way],
        None => (0..crop.ways.len()).map(Some).collect(),
    };
    // How long it lasts may hang on what lies on the bed after it: either reading will do.
    let mut reasons = Vec::new();
    for way in ways {
        let kept = Stand {
            way,
            strips: stand.strips.clone(),
            ..*stand
        };
        for log_until in [stand.until, scenario.horizon()] {
            let Ok(course) = course(facts, grower, &kept, log_until, end) else {
                return Ok(());
            };
            let kind = way.map(|w| crop.ways[w].kind);
            let last = match kind {
                _ if crop.perennial.is_some() => course.last,
                Some(WayKind::Picking { .. }) => {
                    (course.harvest.last()).map_or(course.last, |h| h.0)
                }
                Some(WayKind::Clearing) => course.first,
                Some(WayKind::Standing { .. }) | None => course.last,
            };
            if stand.plan.cleared > last || last < scenario.start {
                return Ok(());
            }
            reasons.push(last);
        }
    }
    let last = reasons.iter().min().copied().unwrap_or(end);
    Err(format!(
        "is to be kept, lasts to {last} and is cleared in {}",
        stand.plan.cleared
    ))
}
