//! What the year starts with: food in store, and what became of the plantings decided on.

use super::lines::{amount, title, wrap};
use crate::plan::{Change, Fate, YearPlan};

/// Food in store at the start; nothing where there is none.
pub fn in_store(plan: &YearPlan) -> String {
    if plan.in_store.is_empty() {
        return String::new();
    }
    let mut out = title("In store at the start");
    for stored in &plan.in_store {
        let eaten: f64 = (plan.draws.iter())
            .filter(|d| d.in_store && (&d.crop, &d.way) == (&stored.crop, &stored.way))
            .flat_map(|d| d.eaten.values())
            .sum();
        let text = format!(
            "{} {} of {}, harvested in {}, keeps until {}; of all that is in store of it {} {} are eaten",
            amount(stored.amount),
            stored.unit,
            stored.food,
            stored.harvested,
            stored.until,
            amount(eaten + 0.0),
            stored.unit
        );
        out += &wrap(&format!("  {}: ", stored.name), &text);
    }
    out
}

/// What is moved, left out and added; nothing where nothing was decided on.
pub fn changes(plan: &YearPlan) -> String {
    if plan.changes.is_empty() {
        return String::new();
    }
    let mut out = title("Changes to what was decided on");
    for fate in [Fate::Kept, Fate::Moved, Fate::LeftOut, Fate::Added] {
        let lines: Vec<&Change> = plan.changes.iter().filter(|c| c.change == fate).collect();
        let m2: f64 = lines.iter().map(|c| c.m2).sum();
        let money: f64 = lines.iter().map(|c| c.money).sum();
        let mut text = format!(
            "{} plantings, {} m², {money:.2} {}",
            lines.len(),
            amount(m2),
            plan.scenario.currency
        );
        if fate != Fate::Kept && !lines.is_empty() {
            let each: Vec<String> = lines.iter().map(|change| told(plan, change)).collect();
            text += &format!(": {}", each.join("; "));
        }
        out += &wrap(&format!("  {:<9} ", fate.name()), &text);
    }
    out
}

/// One change: which planting, and where it goes or went.
fn told(plan: &YearPlan, change: &Change) -> String {
    let place = (change.planting.as_ref())
        .and_then(|id| plan.plantings.iter().find(|p| p.id == *id))
        .map(|p| format!("{} in {}, {}", p.id, p.bed, p.planted));
    match (&change.planned, place) {
        (Some(planned), Some(place)) => format!("{} ({planned}) to {place}", change.crop),
        (Some(planned), None) => format!("{} ({planned})", change.crop),
        (None, Some(place)) => format!("{} as {place}", change.crop),
        (None, None) => change.crop.clone(),
    }
}
