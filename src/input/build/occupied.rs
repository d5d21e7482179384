//! What stood where, once all events are in: no strip held two plantings at once, so that of two that
//! would have, the record must say what became of one.

use super::event::Facts;
use super::names::complain;
use crate::domain::*;
use crate::input::code::*;
use crate::input::diagnostic::Problems;
use crate::input::fields::Fields;
use crate::units::Week;

/// A planting in its strips of a bed in weeks `from..until`.
struct Stay {
    /// Index in the roster; `None` for what was sown in another way.
    planting: Option<usize>,
    called: String,
    bed: BedId,
    strips: Vec<u32>,
    from: Week,
    /// `None`: to this day.
    until: Option<Week>,
}

impl Stay {
    /// Whether the other was there at the same time on one of its strips.
    fn meets(&self, other: &Stay) -> bool {
        self.bed == other.bed
            && self.strips.iter().any(|strip| other.strips.contains(strip))
            && other.until.is_none_or(|until| self.from < until)
            && self.until.is_none_or(|until| other.from < until)
    }
}

/// Complains of sowings on ground that was not free, and of late plantings that stand where another
/// one was planted; events in order of time.
pub fn check(facts: &Facts, events: &[(&Fields, Event)], problems: &mut Problems) {
    let stays = stays(facts, events);
    let mut done: Vec<Stay> = Vec::new();
    let mut closed = facts.roster.closed_beds.clone();
    for (_, event) in events {
        ClosedBed::note(&mut closed, event);
    }
    for (f, event) in events {
        match &event.happening {
            Happening::Sown { .. } => {
                let Some(new) = sown(facts, &event.happening) else {
                    continue;
                };
                if let Some(other) = stays.iter().chain(&done).find(|stay| stay.meets(&new)) {
                    let keys = ["strips", "bed", "planting"];
                    let key = keys.into_iter().find(|k| f.has(k)).unwrap_or("what");
                    let message = match other.until {
                        _ if other.from > new.from => {
                            format!("{} was planted there in {}", other.called, other.from)
                        }
                        Some(until) => format!("{} stands there until {until}", other.called),
                        None => format!("{} stands there", other.called),
                    };
                    let help = "choose other strips, or record what became of it";
                    complain(f, key, E506, message, help, problems);
                }
                if let Some(closed) = closed
                    .iter()
                    .find(|c| c.bed == new.bed && (c.from..=c.to).contains(&new.from))
                {
                    let bed = &facts.scenario.beds[new.bed].name;
                    let message =
                        format!("{bed} is out of use from {} to {}", closed.from, closed.to);
                    let help = "correct this event, or the one that says so";
                    complain(f, "date", E506, message, help, problems);
                }
                done.push(new);
            }
            Happening::Late { plantings, weeks } if *weeks > 0 => {
                let of = |p: &usize| stays.iter().find(|stay| stay.planting == Some(*p));
                for late in plantings.iter().filter_map(of) {
                    late_meets(facts, f, late, &stays, problems);
                }
            }
            _ => {}
        }
    }
}

/// What was sown in another way than planned, once it is in its bed: plants from the shelf go out as
/// many weeks after their sowing as was planned.
fn sown(facts: &Facts, happening: &Happening) -> Option<Stay> {
    let Happening::Sown {
        instead_of,
        crop,
        bed,
        strips,
        sown,
        planted,
        ..
    } = happening
    else {
        return None;
    };
    let meant = instead_of.map(|p| &facts.roster.plantings[p]);
    let like = meant.filter(|m| m.crop == *crop);
    let later = like.map(|m| sown.plus(m.planted.since(m.sown)));
    let from = planted.or(later).filter(|week| facts.by_now(*week))?;
    Some(Stay {
        planting: None,
        called: format!("{} of {from}", facts.scenario.crops[*crop].name),
        bed: *bed,
        strips: strips.clone(),
        from,
        // In the bed where the plan had it, it makes way for what the plan has there next.
        until: meant
            .filter(|m| m.bed == *bed)
            .map(|m| m.cleared.max(from.plus(1))),
    })
}

fn late_meets(facts: &Facts, f: &Fields, late: &Stay, stays: &[Stay], problems: &mut Problems) {
    let meant = late.planting.map(|p| facts.roster.plantings[p].cleared);
    // What was to share its strips from the first is no surprise.
    let surprise = |other: &&Stay| meant.is_some_and(|cleared| other.from >= cleared);
    let other = (stays.iter())
        .filter(|other| other.planting != late.planting)
        .filter(surprise)
        .find(|other| late.meets(other));
    if let (Some(other), Some(until)) = (other, late.until) {
        let message = format!(
            "{} then stands until {until}, where {} was planted in {}",
            late.called, other.called, other.from
        );
        let help = "record what became of the other one: not sown, or sown elsewhere";
        complain(f, "weeks", E508, message, help, problems);
    }
}

/// The roster's plantings that are in their beds by now, as events have left them.
fn stays(facts: &Facts, events: &[(&Fields, Event)]) -> Vec<Stay> {
    let roster = &facts.roster.plantings;
    let mut lost = vec![0.0; roster.len()];
    let mut gone: Vec<Option<Week>> = vec![None; roster.len()];
    let mut late = vec![0; roster.len()];
    let mut there = vec![true; roster.len()];
    for (_, event) in events {
        let mut take = |planting: usize, share: f64| {
            // Shares are decimal fractions: their sums may be off in the last place.
            const ALL: f64 = 1.0 - 1e-9;
            lost[planting] += share;
            if lost[planting] >= ALL {
                gone[planting].get_or_insert(event.week);
            }
        };
        match &event.happening {
            Happening::Lost {
                plantings, share, ..
            } => plantings.iter().for_each(|&p| take(p, *share)),
            Happening::Yield {
                plantings,
                of_forecast,
            } if *of_forecast <= 0.0 => plantings.iter().for_each(|&p| take(p, 1.0)),
            Happening::Late { plantings, weeks } => {
                plantings.iter().for_each(|&p| late[p] += weeks);
            }
            Happening::NotSown { plantings } => {
                plantings.iter().for_each(|&p| there[p] = false);
            }
            Happening::Sown {
                instead_of: Some(planting),
                ..
            } => there[*planting] = false,
            _ => {}
        }
    }
    let by_now = |p: &usize| there[*p] && facts.by_now(roster[*p].planted);
    (0..roster.len())
        .filter(by_now)
        .map(|p| {
            let entry = &roster[p];
            let cleared = entry.cleared.plus(late[p].max(0));
            Stay {
                planting: Some(p),
                called: facts.called(p),
                bed: entry.bed,
                strips: entry.strips.clone(),
                from: entry.planted,
                until: Some(gone[p].map_or(cleared, |gone| gone.min(cleared))),
            }
        })
        .collect()
}
