//! The scenario as it stands in a later week of a plan.

use super::closed;
use super::ground::{self, Ground};
use super::learn::{self, Learned};
use super::live::live;
use super::needs;
use super::rests;
use super::roster::{end_of, find};
use super::store::{self, Used};
use crate::domain::*;
use crate::plan::YearPlan;
use crate::units::Week;
use std::collections::BTreeMap;

/// A plan carried on.
#[derive(Clone, Debug)]
pub struct CarriedOn {
    /// From the new start to the old plan's end.
    pub scenario: Scenario,
    /// Numbers in the old plan, by the names of standing and planned plantings; of what stands by
    /// strip, counted from 0, too.
    pub ids: BTreeMap<(String, Option<u32>), String>,
    /// What cannot go on as planned, in sentences.
    pub notes: Vec<String>,
    /// What the records taught.
    pub learned: Vec<Learned>,
}

/// The scenario on the Monday of `date`, which lies in the weeks of `plan`.
///
/// `old` is the scenario that the plan was made for; `base` the one that beds, covers, crops,
/// needs and prices are taken from: the same, or one that was edited since.
///
/// # Errors
/// Why the plan cannot be carried on so.
pub fn carry_on(
    old: &Scenario,
    plan: &YearPlan,
    base: &Scenario,
    diary: &Diary,
    date: Week,
) -> Result<CarriedOn, String> {
    let (start, end) = (plan.scenario.start, end_of(plan));
    let last = start.plus(i32::try_from(plan.scenario.weeks).expect("horizons are short"));
    if date < start || date >= last {
        return Err(format!(
            "{date} lies outside the planned weeks, {start} to {}",
            last.plus(-1)
        ));
    }
    let base_end = base.week(base.horizon());
    if base.start > date || base_end < end {
        return Err(format!(
            "the scenario is for {} to {}, the rest of the plan for {date} to {}",
            base.start,
            base_end.plus(-1),
            end.plus(-1)
        ));
    }
    let weeks = usize::try_from(end.since(date)).expect("positive");
    let mut closed = closed::beds(old, base, diary);
    let live = live(old, plan, base, diary, &closed, date)?;
    let lessons = learn::learn(old, plan, base, &live, diary, date)?;
    let used = Used::before(date, base, plan);
    closed.retain(|c| c.to >= date);
    let ground = ground::ground(base, &live, &used, (date, end), &closed);

    let mut scenario = base.clone();
    scenario.start = date;
    scenario.weeks = usize::try_from(last.since(date)).expect("positive");
    scenario.tail = weeks - scenario.weeks;
    scenario.foods = needs::foods(base, diary, date, weeks);
    scenario.level = needs::level(base, diary, date, weeks);
    scenario.directives = needs::directives(base, &ground, date);
    scenario.in_store = store::in_store(old, plan, base, &live, &lessons.recorded, date)?;
    covers(old, plan, diary, date, &mut scenario)?;
    scenario.carried.covers_meant = covers_meant(plan, date, &scenario)?;
    history(old, &ground, date, &mut scenario)?;
    scenario.carried.closed_beds = closed;
    scenario.carried.closed_shelf = closed::shelf(old, diary, date);
    let Ground {
        standing,
        meant,
        mut on_shelf,
        mut planned,
        ids,
        notes,
        ..
    } = ground;
    let mut order: Vec<usize> = (0..standing.len()).collect();
    order.sort_by(|&a, &b| standing[a].name.cmp(&standing[b].name));
    scenario.standing = order.iter().map(|&i| standing[i].clone()).collect();
    scenario.carried.meant = order
        .iter()
        .enumerate()
        .flat_map(|(new, &old)| {
            let here = meant.iter().filter(move |m| m.standing == old);
            here.map(move |m| Meant {
                standing: new,
                ..m.clone()
            })
        })
        .collect();
    on_shelf.sort_by(|a, b| a.name.cmp(&b.name));
    planned.sort_by(|a, b| a.name.cmp(&b.name));
    scenario.on_shelf = on_shelf;
    scenario.planned = planned;
    forget_broken(&mut scenario, diary);
    rests::keep(old, &mut scenario);
    learn::apply(&mut scenario, &lessons);
    Ok(CarriedOn {
        scenario,
        ids,
        notes,
        learned: lessons.learned,
    })
}

/// What lay on the beds so far, what lies there now, and how many covers are to hand.
fn covers(
    old: &Scenario,
    plan: &YearPlan,
    diary: &Diary,
    date: Week,
    scenario: &mut Scenario,
) -> Result<(), String> {
    let mut log: Vec<Covered> = Vec::new();
    // Before the plan: what its scenario knew.
    for (bed, ground) in old.beds.iter().enumerate() {
        let bed_now = find(&scenario.beds, |b| &b.name, "bed", &ground.name)?;
        let known: Vec<Covered> = match (&old.carried.covered, ground.covered_by) {
            (Some(log), _) => log.iter().filter(|c| c.bed == bed).copied().collect(),
            (None, Some(cover)) => old
                .covered_since(bed)
                .map(|from| Covered {
                    bed,
                    cover,
                    from,
                    until: old.start,
                })
                .into_iter()
                .collect(),
            (None, None) => Vec::new(),
        };
        for spell in known {
            let name = &old.covers[spell.cover].name;
            log.push(Covered {
                bed: bed_now,
                cover: find(&scenario.covers, |c| &c.name, "cover", name)?,
                ..spell
            });
        }
    }
    for spell in plan.covers.iter().filter(|s| s.placed < date) {
        log.push(Covered {
            bed: find(&scenario.beds, |b| &b.name, "bed", &spell.bed)?,
            cover: find(&scenario.covers, |c| &c.name, "cover", &spell.cover)?,
            from: spell.placed,
            until: spell.removed.min(date),
        });
    }
    // What breaks on this very Monday lay there until now.
    let mut breaks_now: Vec<(BedId, CoverId)> = Vec::new();
    for event in &diary.events {
        match event.happening {
            Happening::CoverBroken { cover, count, bed } => {
                breaks_now.extend(bed.filter(|_| event.week == date).map(|bed| (bed, cover)));
                let kind = &mut scenario.covers[cover];
                kind.count = kind.count.saturating_sub(count);
                for spell in &mut log {
                    let lay = spell.from <= event.week && event.week < spell.until;
                    if bed == Some(spell.bed) && spell.cover == cover && lay {
                        spell.until = event.week;
                    }
                }
            }
            Happening::CoverBought { cover, count } => {
                let kind = &mut scenario.covers[cover];
                kind.count = kind.count.saturating_add(count);
            }
            _ => {}
        }
    }
    log.retain(|c| c.from < c.until);
    for (bed, ground) in scenario.beds.iter_mut().enumerate() {
        let now = log.iter().find(|c| c.bed == bed && c.until == date);
        ground.covered_by = now
            .map(|c| c.cover)
            .filter(|&cover| !breaks_now.contains(&(bed, cover)));
    }
    // Broken while it lay on no bed in particular: the last beds do without.
    for cover in 0..scenario.covers.len() {
        let mut lying = 0;
        for bed in &mut scenario.beds {
            lying += u32::from(bed.covered_by == Some(cover));
            if lying > scenario.covers[cover].count && bed.covered_by == Some(cover) {
                bed.covered_by = None;
            }
        }
    }
    scenario.carried.covered = Some(log);
    Ok(())
}

/// What the plan lays on the beds from `date` on.
fn covers_meant(plan: &YearPlan, date: Week, scenario: &Scenario) -> Result<Vec<Covered>, String> {
    let later = plan.covers.iter().filter(|s| s.removed > date);
    later
        .map(|spell| {
            Ok(Covered {
                bed: find(&scenario.beds, |b| &b.name, "bed", &spell.bed)?,
                cover: find(&scenario.covers, |c| &c.name, "cover", &spell.cover)?,
                from: spell.placed.max(date),
                until: spell.removed,
            })
        })
        .collect()
}

/// What was meant to lie on a bed whose cover is broken lies there no more.
fn forget_broken(scenario: &mut Scenario, diary: &Diary) {
    for event in &diary.events {
        let Happening::CoverBroken {
            cover,
            bed: Some(bed),
            ..
        } = event.happening
        else {
            continue;
        };
        // From the event on until it was to be taken off; a later stretch may use another one.
        let broken = (scenario.carried.covers_meant.iter())
            .filter(|c| c.bed == bed && c.cover == cover)
            .map(|c| (c.from, c.until))
            .min();
        let Some((from, until)) = broken.filter(|(from, _)| *from == scenario.start) else {
            continue;
        };
        let stays = |u: &PlannedCover| u.cover != cover || u.until < from || u.from >= until;
        (scenario.carried.covers_meant)
            .retain(|c| c.bed != bed || c.cover != cover || c.from != from);
        let here: Vec<bool> = scenario.standing.iter().map(|s| s.bed == bed).collect();
        for meant in &mut scenario.carried.meant {
            if here[meant.standing] {
                meant.under.retain(stays);
            }
        }
        for planned in scenario.planned.iter_mut().filter(|p| p.bed == bed) {
            planned.under.retain(stays);
        }
    }
}

/// What grew before, up to now.
fn history(
    old: &Scenario,
    ground: &Ground,
    date: Week,
    scenario: &mut Scenario,
) -> Result<(), String> {
    for bed in &mut scenario.beds {
        bed.history.clear();
    }
    for bed in &old.beds {
        let now = find(&scenario.beds, |b| &b.name, "bed", &bed.name)?;
        for past in &bed.history {
            let name = &old.families[past.family].name;
            // A family that no crop in use belongs to binds nothing.
            let Ok(family) = find(&scenario.families, |f| &f.name, "family", name) else {
                continue;
            };
            let past = PastCrop {
                family,
                ..past.clone()
            };
            scenario.beds[now].history.push(past);
        }
    }
    for (bed, past) in &ground.history {
        debug_assert!(past.cleared < date);
        scenario.beds[*bed].history.push(past.clone());
    }
    for bed in &mut scenario.beds {
        bed.history
            .sort_by_key(|past| (past.cleared, past.family, past.strips));
        bed.history.dedup();
    }
    Ok(())
}
