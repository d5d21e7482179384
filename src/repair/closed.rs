//! Beds and parts of the shelf that are out of use.

use super::live::Live;
use crate::domain::*;
use crate::units::Week;

/// Beds that were out of use before, of which an edited scenario does not speak.
pub fn beds_before(old: &Scenario, base: &Scenario) -> Vec<ClosedBed> {
    let earlier = old.carried.closed_beds.iter();
    earlier
        .filter_map(|closed| {
            let name = &old.beds[closed.bed].name;
            let bed = base.beds.iter().position(|bed| bed.name == *name)?;
            Some(ClosedBed { bed, ..*closed })
        })
        .collect()
}

/// Beds that have been out of use, by these events and by earlier ones, or will be.
pub fn beds(old: &Scenario, base: &Scenario, diary: &Diary) -> Vec<ClosedBed> {
    let mut closed = beds_before(old, base);
    for event in &diary.events {
        ClosedBed::note(&mut closed, event);
    }
    closed.sort();
    closed.dedup();
    closed
}

/// By `date` what stood on a bed that went out of use has gone, late or sown in another way though it
/// was, and what was to be planted there since has not been.
pub fn leave(closed: &[ClosedBed], date: Week, all: &mut [Live]) {
    for &ClosedBed { bed, from, to } in closed {
        let here = all.iter_mut().filter(|live| live.bed == bed && from < date);
        for live in here {
            let Some(planted) = live.planted.filter(|week| *week < date) else {
                continue;
            };
            if planted < from && live.free().is_none_or(|free| free > from) {
                live.left.push((from, 0.0));
            } else if (from..=to).contains(&planted) {
                live.dropped = true;
            }
        }
    }
}

/// Parts of the shelf that are out of use from `date` on.
pub fn shelf(old: &Scenario, diary: &Diary, date: Week) -> Vec<ClosedShelf> {
    let mut closed = old.carried.closed_shelf.clone();
    for event in &diary.events {
        ClosedShelf::note(&mut closed, event);
    }
    closed.retain(|c| c.to >= date);
    closed.sort();
    closed.dedup();
    closed
}
