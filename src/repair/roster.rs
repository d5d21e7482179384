//! A plan as far as events speak of it.

use super::closed::beds_before;
use crate::domain::{Covered, Roster, RosterEntry, Scenario};
use crate::plan::{YearPlan, raising_named};
use crate::units::Week;

/// The plantings and covers of a plan, in its order, that was made for `old`; `known` are the sentences of
/// the events that it and the plans before it were made with. `scenario` is the one that events name things of.
///
/// # Errors
/// Names that the scenario does not have.
pub fn roster(
    old: &Scenario,
    scenario: &Scenario,
    plan: &YearPlan,
    known: Vec<String>,
) -> Result<Roster, String> {
    let plantings = plan.plantings.iter().map(|p| {
        let crop = find(&scenario.crops, |c| &c.name, "crop", &p.crop)?;
        let bed = find(&scenario.beds, |b| &b.name, "bed", &p.bed)?;
        Ok(RosterEntry {
            id: p.id.clone(),
            name: p.standing.clone().filter(|name| *name != p.id),
            crop,
            raising: (p.raising.as_ref()).and_then(|r| raising_named(&scenario.crops[crop], r)),
            bed,
            strips: p.strips.iter().map(|s| s - 1).collect(),
            sown: p.sown,
            planted: p.planted,
            cleared: p.cleared,
            first_harvest: p.first_harvest,
            last_harvest: p.last_harvest,
        })
    });
    let covers = plan.covers.iter().map(|c| {
        Ok(Covered {
            bed: find(&scenario.beds, |b| &b.name, "bed", &c.bed)?,
            cover: find(&scenario.covers, |k| &k.name, "cover", &c.cover)?,
            from: c.placed,
            until: c.removed,
        })
    });
    Ok(Roster {
        plantings: plantings.collect::<Result<_, String>>()?,
        covers: covers.collect::<Result<_, String>>()?,
        closed_beds: beds_before(old, scenario),
        closed_shelf: old.carried.closed_shelf.clone(),
        known,
        carries_on: plan.life.is_some(),
        start: plan.scenario.start,
        end: end_of(plan),
    })
}

/// The week after a plan's last, its tail included.
pub fn end_of(plan: &YearPlan) -> Week {
    let weeks = plan.scenario.weeks + plan.scenario.tail;
    let weeks = i32::try_from(weeks).expect("horizons are short");
    plan.scenario.start.plus(weeks)
}

/// Index of the entry with that name.
pub fn find<T>(
    list: &[T],
    name: impl Fn(&T) -> &String,
    what: &str,
    wanted: &str,
) -> Result<usize, String> {
    let found = list.iter().position(|entry| name(entry) == wanted);
    found.ok_or_else(|| {
        let help = match what {
            "bed" => "leave it in the scenario; the event `bed out` says from when on it is not to be used",
            "cover" => "leave it in the scenario, with `count: 0` where it is gone",
            _ => "leave it among the models of the scenario",
        };
        format!("the plan names the {what} {wanted:?}, which the scenario lacks\n  help: {help}")
    })
}
